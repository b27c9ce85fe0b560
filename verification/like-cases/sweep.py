"""Factors of corner cracks for cases like the published tests, by `hoopset life`; writes factors.csv and the table of README.md.

    python3 sweep.py PATH-TO-HOOPSET [WORKING-FOLDER]
    python3 sweep.py --table        the table of README.md from factors.csv as it stands

Goes on where a run stopped. Standard library only. Nothing is fitted: alloys, expansions, edge margins, stresses and flaws
are those of the lists below, the mandrel is that of docs/section.md, everything else but the mesh is the default of the program.
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
[section]
friction = 0.05
land = 3.0
support = {{ inner_diameter = 9.0, outer_diameter = 18.0 }}
[numerics]
fineness = 0.6
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
        # The middle stress of all cases first.
        shares = sorted(SHARES, key=lambda share: abs(share - 0.5))
        for share, (expansion, margin), alloy, flaw in itertools.product(shares, WORK, ALLOYS, FLAWS):
            key = tuple(map(str, (alloy, expansion, margin, share, flaw)))
            row = done.get(key) or one(program, folder, alloy, share, flaw, expansion, margin)
            writer.writerow(row)
            file.flush()
            print(key, row["factor"], row["low"], row["high"], row["overlaps"], flush=True)
    tabulate(path)


def tabulate(path):
    """Write the rows of the file `path` between the marks of README.md."""
    with path.open() as file:
        rows = list(csv.DictReader(file))
    lines = ["| alloy | expansion % | e/D | stress, share of yield | MPa | flaw mm | plain, cycles | expanded | factor | band "
             "| plain, 0.127 mm |", "|---" * 11 + "|"]
    for row in rows:
        cells = [row["alloy"].split(" ")[0], f"{100 * float(row['expansion']):g}", f"{float(row['margin']):g}", row["share"],
                 f"{float(row['tension']):.0f}", row["flaw"]]
        cells += [life(row[name]) for name in ("plain", "expanded")]
        cells.append(short(row["factor"]))
        cells += [f"{short(row['low'])} to {short(row['high'])}", life(row["credited"])]
        lines.append("| " + " | ".join(cells) + " |")
    page = path.with_name("README.md")
    before, rest = page.read_text().split("<!-- cases -->\n")
    after = rest.split("<!-- end of cases -->")[1]
    page.write_text(before + "<!-- cases -->\n" + "\n".join(lines) + "\n<!-- end of cases -->" + after)


def life(text):
    return f"{float(text):,.0f}".replace(",", " ") if text and float(text) < math.inf else "no end"


def short(text):
    value = float(text)
    return "no end" if value == math.inf else f"{value:.0f}" if value >= 20 else f"{value:.1f}"


def one(program, folder, alloy, share, flaw, expansion, margin):
    tension = round(share * ALLOYS[alloy], 1)
    text = CASE.format(alloy=alloy, at=6.0 * margin, expansion=expansion, tension=tension, flaw=flaw)
    # One folder for each work: the stages are solved once for all its loads and flaws.
    home = folder / f"{alloy[:4]}-{expansion}-{margin}"
    home.mkdir(exist_ok=True)
    (home / "case.toml").write_text(text)
    subprocess.run([program, "life", "case.toml"], cwd=home, check=True, capture_output=True)
    life = json.loads((home / "case-life" / "life.json").read_text())
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
    if sys.argv[1:] == ["--table"]:
        tabulate(pathlib.Path(__file__).with_name("factors.csv"))
    else:
        main()
