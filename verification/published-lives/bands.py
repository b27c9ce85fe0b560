"""Bands of the factor of corner cracks for cases like the published statements, by `hoopset life`; writes bands.csv.

    python3 bands.py PATH-TO-HOOPSET [WORKING-FOLDER]

The residual stress over the depth is that of a section with the mandrel drawn through it; nothing is fitted. Goes on
where a run stopped. Standard library only. Part and loads are invented; what they are like is said in README.md.
"""

import csv
import json
import math
import pathlib
import subprocess
import sys
import tempfile

CASE = """title = "{study}"
units = "mm-MPa"
[plate]
width = {width}
height = 80.0
thickness = {thickness}
alloy = "7075-T651 plate"
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
{section}[numerics]
fineness = 0.6
"""
SECTION = """[section]
friction = 0.05
land = 3.0
support = { inner_diameter = 9.0, outer_diameter = 18.0 }
"""
# A spectrum of gusts and manoeuvres in words of ours: many small loads, few large ones. Invented.
SPECTRUM = """blocks = [
  {{ highest = 0.45, lowest = 0.15, cycles = 200 }},
  {{ highest = 0.7, lowest = 0.1, cycles = 20 }},
  {{ highest = 1.0, lowest = {lowest}, cycles = 1 }},
]"""
COLUMNS = ["study", "thickness", "margin", "expansion", "tension", "course", "flaw", "underload", "plain", "expanded", "factor",
           "low", "median", "high", "ends", "last_depth", "last_length"]


def rows():
    base = dict(thickness=6.0, margin=5.0, expansion=0.04, tension=207.0, course="0.1", flaw=1.27, underload=0.0)
    for tension, flaw in ((207.0, 0.5), (207.0, 1.0), (207.0, 2.0), (207.0, 3.0), (138.0, 0.5), (138.0, 2.0)):
        yield dict(base, study="flaw", tension=tension, course="0.5", flaw=flaw)
    for underload in (0.0, 100.0, 200.0):
        yield dict(base, study="underload", underload=underload)
    for flaw in (0.127, 1.27):
        yield dict(base, study="spectrum", thickness=12.0, tension=240.0, course="spectrum", flaw=flaw)


def text(row):
    # A section is the hole as drawn: a compression that follows the work is not in it.
    stage = ""
    if row["underload"]:
        stage = '[[stage]]\nload = {{ tension = -{underload}, along = "y" }}\n'.format(**row)
    course = SPECTRUM.format(lowest=-0.1) if row["course"] == "spectrum" else f"load_ratio = {row['course']}"
    values = {**row, "course": course}
    return CASE.format(stage=stage, section=SECTION, at=6.0 * row["margin"], width=30.0 + 6.0 * row["margin"], **values)


def number(value):
    return math.inf if value is None else value


def one(program, folder, row):
    home = folder / "{study}-{thickness}-{margin}-{expansion}-{underload}".format(**row)
    home.mkdir(parents=True, exist_ok=True)
    (home / "case.toml").write_text(text(row))
    subprocess.run([program, "life", "case.toml"], cwd=home, check=True, capture_output=True)
    corner = json.loads((home / "case-life" / "life.json").read_text())["corner_crack"]
    factors = [number(value) for value in corner["drawn"]["life_improvement_factors"]]
    worst = min(corner["places"], key=lambda place: number(place["expanded"]["cycles"]))
    row.update(plain=corner["plain_cycles"], expanded=corner["expanded_cycles"],
               factor=number(corner["life_improvement_factor"]), low=factors[0], median=factors[2], high=factors[-1],
               ends=worst["expanded"]["ends"], last_depth=worst["expanded"]["bore_length"],
               last_length=worst["expanded"]["face_length"])
    return row


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    folder = pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else tempfile.mkdtemp())
    path = pathlib.Path(__file__).with_name("bands.csv")
    key = COLUMNS[:8]
    done = {}
    if path.exists():
        with path.open() as file:
            done = {tuple(row[name] for name in key): row for row in csv.DictReader(file)}
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        for row in rows():
            row = done.get(tuple(str(row[name]) for name in key)) or one(program, folder, row)
            writer.writerow({k: f"{v:.6g}" if k in COLUMNS[8:14] and isinstance(v, float) else v for k, v in row.items()})
            file.flush()
            print(row, flush=True)


if __name__ == "__main__":
    main()
