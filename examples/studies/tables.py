"""Writes the tables of README.md from the tables of the solved studies.

    python3 tables.py RESULTS      # the folder that run.sh solved into; no packages needed
"""

import csv
import sys
from pathlib import Path

HERE = Path(__file__).parent
ALLOYS = ["2024-T351 plate", "7475-T7351 plate", "7050-T7451 plate", "7075-T651 plate"]
MARGINS = ["1.2", "1.5", "2", "3"]
EXPANSIONS = ["2", "3", "3.5", "4", "5"]
LAWS = ["isotropic", "as given", "kinematic"]
ORDERS = ["A, B, C", "middle first", "middle last"]
SPACINGS = ["2", "2.5", "3", "4", "5"]
SEARCHES = ["least-expansion", "smallest-margin"]
STRESSES = ["100", "125", "150", "175", "200"]


def rows(results, study):
    name = "search.csv" if study in SEARCHES else "table.csv"
    with open(results / study / name, newline="") as file:
        return [row for row in csv.DictReader(line for line in file if not line.startswith("#"))]


def same(cell, value):
    try:
        return abs(float(cell) - float(value)) < 1e-9
    except ValueError:
        return cell == value


def one(table, **wanted):
    found = [row for row in table if all(same(row[key], value) for key, value in wanted.items())]
    (row,) = found
    return row


def shown(row, number, digits=0):
    if row["status"] != "done":
        return "failed"
    value = f"{float(row[number]):.{digits}f}"
    return value.replace("-", "−")


def line(cells):
    return "| " + " | ".join(cells) + " |"


def margins(table):
    numbers = [("edge_hoop", 0), ("depth", 2), ("peak_tension", 0)]
    for margin in MARGINS:
        cells = [shown(one(table, edge_margin=margin, expansion=4, alloy=alloy, hardening="as given"), number, digits)
                 for number, digits in numbers for alloy in ALLOYS]
        yield line([margin, *cells])


def expansions(table):
    for number, words in (("peak_tension", "largest tension MPa"), ("edge_hoop", "hoop stress at the hole MPa")):
        for margin in MARGINS:
            cells = [shown(one(table, edge_margin=margin, expansion=expansion, alloy=ALLOYS[-1], hardening="as given"), number)
                     for expansion in EXPANSIONS]
            yield line([f"{words}, e/D {margin}", *cells])


def laws(table):
    for alloy in ALLOYS:
        of = {law: one(table, edge_margin=2, expansion=4, alloy=alloy, hardening=law) for law in LAWS}
        cells = [shown(of[law], number, 2) for number in ("over_yield", "depth") for law in LAWS]
        yield line([alloy, *cells])


def orders(table):
    places = [("middle_to_neighbour", "middle hole, towards its neighbour", ORDERS),
              ("outer_to_neighbour", "outer hole, towards the middle", ORDERS),
              ("tension_between", "largest tension between the holes", [ORDERS[0], ORDERS[2]])]
    for number, words, which in places:
        for place, order in enumerate(which):
            cells = [shown(one(table, spacing=spacing, expansion=4, order=order, hardening="as given"), number)
                     for spacing in SPACINGS]
            yield line([words if place == 0 else "", order, *cells])


def factors(table):
    for margin in ("1.5", "2", "3"):
        for expansion in ("2", "3", "4", "5"):
            of = [one(table, edge_margin=margin, expansion=expansion, stress=stress) for stress in STRESSES]
            yield line([margin, expansion, *(factor(row) for row in of)])


def factor(row):
    if row["status"] != "done":
        return "failed"
    if not row["factor"]:
        return "no end"
    value = float(row["factor"])
    return f"{value:.1f}" if value < 20 else f"{value:.0f}"


def bracket(row, axis):
    """The answer of a search, and the interval that the error stated leaves."""
    if not row[f"{axis}_holds"]:
        return "none"
    value = f"{float(row[f'{axis}_holds']):.2f}"
    ends = [row[f"{axis}_{end}_with_error"] for end in ("low", "high")]
    if all(ends):
        value += " ({:.2f} to {:.2f})".format(*map(float, ends))
    until = row[f"{axis}_holds_until"]
    return value + (f", up to {float(until):.1f}" if until else "")


def least(table):
    for margin in MARGINS:
        yield line([margin, *(bracket(one(table, edge_margin=margin, alloy=alloy), "expansion") for alloy in (ALLOYS[0], ALLOYS[-1]))])


def smallest(table):
    for expansion in ("3", "4", "5"):
        of = [one(table, expansion=expansion, alloy=alloy) for alloy in (ALLOYS[0], ALLOYS[-1])]
        yield line([expansion, *(bracket(row, "edge_margin") for row in of)])


def tolerances(table):
    for name in dict.fromkeys(row["deviation"] for row in table):
        cells = [name]
        for number, digits in (("first_edge", 0), ("first_depth", 2), ("last_edge", 0), ("depth", 2), ("peak_tension", 0)):
            cells += [shown(one(table, deviation=name, alloy=alloy), number, digits) for alloy in (ALLOYS[0], ALLOYS[-1])]
        yield line(cells)


def main():
    results = Path(sys.argv[1])
    page = HERE / "README.md"
    text = page.read_text()
    tables = [("margins", margins, "edge-margin"), ("expansions", expansions, "edge-margin"),
              ("laws", laws, "edge-margin"), ("orders", orders, "spacing"),
              ("least", least, "least-expansion"), ("smallest", smallest, "smallest-margin"),
              ("factors", factors, "worth"), ("tolerances", tolerances, "tolerances")]
    for name, make, study in tables:
        start, end = f"<!-- {name} -->\n", f"<!-- end of {name} -->"
        before, rest = text.split(start)
        old, after = rest.split(end)
        head = "".join(old.splitlines(keepends=True)[:2])
        text = before + start + head + "\n".join(make(rows(results, study))) + "\n" + end + after
    page.write_text(text)


main()
