#!/usr/bin/env bash
# Stops what slurm-up.sh has started under $1.
set -u
folder=${1:?folder of the state}
for file in slurmd.pid slurmctld.pid munge/munged.pid; do
    if [ -f "$folder/$file" ]; then kill "$(cat "$folder/$file")" 2>/dev/null; fi
done
sleep 1
exit 0
