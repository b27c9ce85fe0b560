"""Shared by the scripts of corner-crack lives: the case file, its life by `hoopset life`, a table that goes on where a run stopped.

The residual stress over the depth is that of a section with the mandrel drawn through it (docs/section.md); nothing is
fitted. Part and loads are invented. Standard library only.
"""

import csv
import json
import math
import pathlib
import subprocess
import sys
import tempfile

CASE = """title = "Like case"
units = "mm-MPa"
[plate]
width = {width}
height = 80.0
thickness = {thickness}
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
{stage}[life]
load = {{ tension = {tension}, along = "y" }}
{course}
initial_flaw = {flaw}
edge_cracks = false
[section]
friction = 0.05
land = 3.0
support = {{ inner_diameter = 9.0, outer_diameter = 18.0 }}
[numerics]
fineness = 0.6
"""
# Columns that `solve` gives.
RESULTS = ["plain", "expanded", "factor", "low", "median", "high"]


def number(value):
    """A number of `life.json`; none is a life without an end."""
    return math.inf if value is None else value


def solve(program, home, text):
    """The part `corner_crack` of the life of a case file, and its columns `RESULTS`.

    One folder `home` serves all cases with the same stages: these are solved once.
    """
    home.mkdir(parents=True, exist_ok=True)
    (home / "case.toml").write_text(text)
    subprocess.run([program, "life", "case.toml"], cwd=home, check=True, capture_output=True)
    life = json.loads((home / "case-life" / "life.json").read_text())
    corner = life["corner_crack"]
    factors = [number(value) for value in corner["drawn"]["life_improvement_factors"]]
    columns = {
        "plain": number(corner["plain_cycles"]), "expanded": number(corner["expanded_cycles"]),
        "factor": number(corner["life_improvement_factor"]),
        "low": factors[0], "median": factors[2], "high": factors[-1],
    }
    return corner, columns


def tabulate(path, columns, keys, rows, one):
    """Write the table `path` of all `rows`; `one(program, folder, row)` completes a row that is not there yet.

    `keys` is the number of leading columns that name a row. Program and working folder come from the command line.
    """
    program = str(pathlib.Path(sys.argv[1]).resolve())
    folder = pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else tempfile.mkdtemp())
    done = {}
    if path.exists():
        with path.open() as file:
            done = {tuple(row[name] for name in columns[:keys]): row for row in csv.DictReader(file)}
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        for row in rows:
            row = done.get(tuple(str(row[name]) for name in columns[:keys])) or one(program, folder, row)
            short = {k: f"{v:.6g}" if k not in columns[:keys] and isinstance(v, float) else v for k, v in row.items()}
            writer.writerow(short)
            file.flush()
            print(short, flush=True)
