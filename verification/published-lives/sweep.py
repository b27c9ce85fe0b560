"""Lives for cases like the published tests, by `hoopset life`; writes lives.csv beside this file.

    python3 sweep.py PATH-TO-HOOPSET [WORKING-FOLDER]

Standard library only. Part and loads are invented; what they are like is said in README.md.
"""

import csv
import json
import pathlib
import subprocess
import sys
import tempfile

CASE = """title = "{title}"
units = "mm-MPa"
[plate]
width = 60.0
height = 80.0
thickness = 6.0
alloy = "{alloy}"
[[hole]]
name = "A"
at = [{at}, 40.0]
starting_diameter = 6.0
[[stage]]
expand = "A"
applied_expansion = {expansion}
{stage}
[life]
load = {{ tension = {tension}, along = "y" }}
load_ratio = {ratio}
cracks = "{cracks}"
initial_flaw = {flaw}
[numerics]
fineness = 0.7
increments = 16
hardening_bracket = false
"""


def rows():
    base = dict(alloy="7075-T651 plate", margin=3.0, expansion=0.04, tension=150.0, ratio=0.1, flaw=1.0,
                cracks="one", underload=0.0)
    for margin in (3.0, 2.0, 1.5, 1.2):
        for expansion in (0.02, 0.03, 0.04, 0.05):
            for tension in (150.0, 200.0):
                yield dict(base, study="edge", margin=margin, expansion=expansion, tension=tension)
    for tension in (138.0, 207.0):
        for flaw in (0.5, 1.0, 2.0, 3.0):
            yield dict(base, study="flaw", margin=5.0, tension=tension, ratio=0.5, flaw=flaw)
    for underload in (0.0, 50.0, 100.0, 150.0, 200.0):
        yield dict(base, study="underload", margin=5.0, tension=207.0, ratio=0.1, underload=underload)


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    folder = pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else tempfile.mkdtemp())
    out = []
    for number, row in enumerate(rows()):
        stage = ""
        if row["underload"]:
            stage = '[[stage]]\nload = {{ tension = -{underload}, along = "y" }}\n'.format(**row)
        name = folder / f"case-{number}.toml"
        name.write_text(CASE.format(title=f"case {number}", at=6.0 * row["margin"], stage=stage, **row))
        subprocess.run([program, "life", str(name), "--threads", "1"], check=True, capture_output=True)
        found = json.loads((folder / f"case-{number}-life" / "life.json").read_text())
        worst = found["governing"]
        place = next(p for p in found["places"] if p["angle_deg"] == worst["angle_deg"])
        row.update(
            plain_cycles=found["plain_cycles"],
            expanded_cycles=found["expanded_cycles"],
            factor=found["life_improvement_factor"],
            worst_deg=worst["angle_deg"],
            edge_hoop=place["residual_edge_hoop"],
            ends=place["expanded"]["ends"],
            last_length=place["expanded"]["last_length"],
        )
        out.append(row)
        print(row, flush=True)
    with (pathlib.Path(__file__).parent / "lives.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, out[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(
            {k: f"{v:.6g}" if isinstance(v, float) else ("" if v is None else v) for k, v in row.items()} for row in out
        )


main()
