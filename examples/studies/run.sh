#!/usr/bin/env bash
# Solves the studies of this folder, with all their charts in the results, and writes the charts and tables of README.md. Seven
# minutes on two cores.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"
hoopset=${HOOPSET:-../../target/release/hoopset}
results=${RESULTS:-../../target/studies}
mkdir -p "$results"
for study in edge-margin spacing least-expansion smallest-margin worth tolerances; do
    "$hoopset" study "$study.toml" --out "$results/$study"
done
# Those that README.md shows.
cp "$results"/edge-margin/figures/03-*.svg edge-margin.svg
cp "$results"/spacing/figures/01-*.svg spacing.svg
cp "$results/least-expansion/figures/border.svg" least-expansion.svg
cp "$results/smallest-margin/figures/border.svg" smallest-margin.svg
cp "$results/worth/figures/01-factor.svg" worth.svg
cp "$results"/tolerances/figures/01-*.svg tolerances.svg
python3 tables.py "$results"
python3 entry_face.py "$hoopset" "$results/entry-face"
