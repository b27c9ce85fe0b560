"""Bands of the factor of corner cracks for cases like the published statements, by `hoopset life`; writes bands.csv.

    python3 bands.py PATH-TO-HOOPSET [WORKING-FOLDER]

The residual stress over the depth is that of a section with the mandrel drawn through it; nothing is fitted. Goes on
where a run stopped. Standard library only. Part and loads are invented; what they are like is said in README.md.
"""

import pathlib
import sys

sys.path.append(str(pathlib.Path(__file__).parents[1] / "like-cases"))
from corner_lives import CASE, RESULTS, number, solve, tabulate  # noqa: E402

# A spectrum of gusts and manoeuvres in words of ours: many small loads, few large ones. Invented.
SPECTRUM = """blocks = [
  {{ highest = 0.45, lowest = 0.15, cycles = 200 }},
  {{ highest = 0.7, lowest = 0.1, cycles = 20 }},
  {{ highest = 1.0, lowest = {lowest}, cycles = 1 }},
]"""
COLUMNS = ["study", "thickness", "margin", "expansion", "tension", "course", "flaw", "underload", *RESULTS, "ends",
           "last_depth", "last_length"]
KEYS = 8


def rows():
    base = dict(thickness=6.0, margin=5.0, expansion=0.04, tension=207.0, course="0.1", flaw=1.27, underload=0.0)
    for tension, flaw in ((207.0, 0.5), (207.0, 1.0), (207.0, 2.0), (207.0, 3.0), (138.0, 0.5), (138.0, 2.0)):
        yield dict(base, study="flaw", tension=tension, course="0.5", flaw=flaw)
    for underload in (0.0, 100.0, 200.0):
        yield dict(base, study="underload", underload=underload)
    for flaw in (0.127, 1.27):
        yield dict(base, study="spectrum", thickness=12.0, tension=240.0, course="spectrum", flaw=flaw)


def one(program, folder, row):
    # A section is the hole as drawn: a compression that follows the work is not in it.
    stage = ""
    if row["underload"]:
        stage = '[[stage]]\nload = {{ tension = -{underload}, along = "y" }}\n'.format(**row)
    course = SPECTRUM.format(lowest=-0.1) if row["course"] == "spectrum" else f"load_ratio = {row['course']}"
    margin = 6.0 * row["margin"]
    values = {**row, "stage": stage, "course": course, "at": margin, "width": 30.0 + margin}
    home = folder / "{study}-{thickness}-{margin}-{expansion}-{underload}".format(**row)
    corner, found = solve(program, home, CASE.format(alloy="7075-T651 plate", **values))
    worst = min(corner["places"], key=lambda place: number(place["expanded"]["cycles"]))["expanded"]
    return {**row, **found, "ends": worst["ends"], "last_depth": worst["bore_length"], "last_length": worst["face_length"]}


if __name__ == "__main__":
    tabulate(pathlib.Path(__file__).with_name("bands.csv"), COLUMNS, KEYS, rows(), one)
