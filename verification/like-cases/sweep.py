"""Factors of corner cracks for cases like the published tests, by `hoopset life`; writes factors.csv and the table of README.md.

    python3 sweep.py PATH-TO-HOOPSET [WORKING-FOLDER]
    python3 sweep.py --table        the table of README.md from factors.csv as it stands

Goes on where a run stopped. Standard library only. Nothing is fitted: alloys, expansions, edge margins, stresses and flaws
are those of the lists below, the mandrel is that of docs/section.md, everything else but the mesh is the default of the program.
"""

import csv
import itertools
import math
import pathlib
import sys

from corner_lives import CASE, RESULTS, solve, tabulate

# Tensile yield stress L, A basis, MPa: the handbook values of the alloy library.
ALLOYS = {"2024-T351 plate": 331.0, "7075-T651 plate": 476.0}
# Expansion and edge margin e/D.
WORK = ((0.03, 2.0), (0.04, 3.0), (0.04, 2.0), (0.03, 3.0))
SHARES = (0.4, 0.5, 0.6)
FLAWS = (0.127, 1.27)
PUBLISHED = (1.5, 15.0)
COLUMNS = ["alloy", "expansion", "margin", "share", "flaw", "tension", *RESULTS, "overlaps", "credited"]
KEYS = 5


def cases():
    """The middle stress of all cases first."""
    shares = sorted(SHARES, key=lambda share: abs(share - 0.5))
    for share, (expansion, margin), alloy, flaw in itertools.product(shares, WORK, ALLOYS, FLAWS):
        yield {"alloy": alloy, "expansion": expansion, "margin": margin, "share": share, "flaw": flaw,
               "tension": round(share * ALLOYS[alloy], 1)}


def one(program, folder, row):
    text = CASE.format(width=60.0, thickness=6.0, at=6.0 * row["margin"], stage="", course="load_ratio = 0.1", **row)
    corner, found = solve(program, folder / "{alloy:.4}-{expansion}-{margin}".format(**row), text)
    overlaps = found["low"] <= PUBLISHED[1] and found["high"] >= PUBLISHED[0]
    return {**row, **found, "overlaps": overlaps, "credited": corner["flaws"][0]["plain_cycles"]}


def write_page(path):
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


if __name__ == "__main__":
    table = pathlib.Path(__file__).with_name("factors.csv")
    if sys.argv[1:] != ["--table"]:
        tabulate(table, COLUMNS, KEYS, cases(), one)
    write_page(table)
