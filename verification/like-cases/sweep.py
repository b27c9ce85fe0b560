"""Factors of corner cracks for cases like the published tests, by `hoopset life`; writes factors.csv beside this file.

    python3 sweep.py PATH-TO-HOOPSET [WORKING-FOLDER]

Goes on where a run stopped. Standard library only. Nothing is fitted: alloys, expansions, edge margins, stresses and flaws
are those of the list below, everything else is the default of the program.
"""

import csv
import itertools
import json
import math
import pathlib
import subprocess
import sys
import tempfile

# Tensile yield stress L, A basis, MPa: the handbook values of the alloy library.
ALLOYS = {"2024-T351 plate": 331.0, "7075-T651 plate": 476.0}
# Expansion and edge margin e/D.
WORK = ((0.03, 2.0), (0.04, 3.0), (0.04, 2.0), (0.03, 3.0))
SHARES = (0.4, 0.5, 0.6)
FLAWS = (0.127, 1.27)
PUBLISHED = (1.5, 15.0)

CASE = """title = "Like case"
units = "mm-MPa"
[plate]
width = 60.0
height = 80.0
thickness = 6.0
alloy = "{alloy}"
[[hole]]
name = "A"
at = [{at}, 40.0]
starting_diameter = 5.7
[[stage]]
expand = "A"
applied_expansion = {expansion}
[[stage]]
ream = "A"
diameter = 6.0
[life]
load = {{ tension = {tension}, along = "y" }}
load_ratio = 0.1
initial_flaw = {flaw}
edge_cracks = false
[numerics]
fineness = 0.5
"""
COLUMNS = ["alloy", "expansion", "margin", "share", "flaw", "tension", "plain", "expanded", "factor", "low", "median",
           "high", "overlaps", "credited", "through_factor"]


def number(value):
    """A number of the file; none is a life without an end."""
    return math.inf if value is None else value


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    folder = pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    path = pathlib.Path(__file__).with_name("factors.csv")
    done = {}
    if path.exists():
        with path.open() as file:
            done = {tuple(row[key] for key in COLUMNS[:5]): row for row in csv.DictReader(file)}
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        for (expansion, margin), alloy, share, flaw in itertools.product(WORK, ALLOYS, SHARES, FLAWS):
            key = tuple(map(str, (alloy, expansion, margin, share, flaw)))
            row = done.get(key) or one(program, folder, alloy, share, flaw, expansion, margin)
            writer.writerow(row)
            file.flush()
            print(key, row["factor"], row["low"], row["high"], row["overlaps"], flush=True)


def one(program, folder, alloy, share, flaw, expansion, margin):
    tension = round(share * ALLOYS[alloy], 1)
    text = CASE.format(alloy=alloy, at=6.0 * margin, expansion=expansion, tension=tension, flaw=flaw)
    (folder / "case.toml").write_text(text)
    subprocess.run([program, "life", "case.toml"], cwd=folder, check=True, capture_output=True)
    life = json.loads((folder / "case-life" / "life.json").read_text())
    corner = life["corner_crack"]
    factors = [number(value) for value in corner["drawn"]["life_improvement_factors"]]
    low, median, high = factors[0], factors[2], factors[-1]
    return {
        "alloy": alloy, "expansion": expansion, "margin": margin, "share": share, "flaw": flaw, "tension": tension,
        "plain": corner["plain_cycles"], "expanded": corner["expanded_cycles"],
        "factor": number(corner["life_improvement_factor"]), "low": low, "median": median, "high": high,
        "overlaps": low <= PUBLISHED[1] and high >= PUBLISHED[0],
        "credited": corner["flaws"][0]["plain_cycles"],
        "through_factor": number(life.get("life_improvement_factor")),
    }


if __name__ == "__main__":
    main()
