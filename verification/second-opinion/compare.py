"""Holds hoopset's results against those of the general-purpose library.

    python compare.py take DIR LEVEL      # copies what is compared out of a hoopset results folder
    python compare.py table               # agreement.csv, the tables of README.md, the charts

hoopset's level is its fineness. Differences are hoopset less library.
"""

import csv
import json
import sys
import tomllib
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
RESULTS = HERE / "results"
CASES = ["edge-hole", "edge-hole-strain", "square-plate", "hinge-plate-finite", "edge-hole-finite"]
LEVELS = [1, 2]
SAMPLES = [0.0, 0.5, 1.0, 2.0, 4.0]  # mm from the hole edge
WORDS = {"0": "away from the edge", "90": "across", "180": "towards the edge"}
KEYS = ["edge_hoop", "peak_compression", "compression_depth", "peak_tension", "plastic_extent",
        "reverse_yield_extent"]


def take(folder, level):
    summary = json.loads((folder / "summary.json").read_text())
    assert summary["complete"]
    name = case_of(folder)
    full, out = summary["stages"]["1-expand-A-full"], summary["stages"]["1-expand-A"]
    hole, numbers = out["holes"]["A"], {}
    for angle, path in out["paths"]["A"].items():
        first = {"peak_compression": "hoop", "peak_tension": "hoop"}
        numbers[angle] = {k: path[k][first[k]] if k in first else path[k] for k in KEYS}
    result = dict(
        case=f"{name}.toml", level=level, program=summary["program"],
        at_full=dict(mean_pressure=full["holes"]["A"]["mean_pressure"],
                     mandrel_shift=full["holes"]["A"]["mandrel_shift"][0]),
        retained_expansion=hole["retained_expansion"], paths=numbers,
        edge_bulge=out["edges"].get("left", {}).get("bulge"), unknowns=summary["mesh"]["unknowns"],
        increments=out["increments"], iterations=out["iterations"])
    (RESULTS / f"{name}-hoopset-{level}.json").write_text(json.dumps(result, indent=1) + "\n")
    with open(folder / "paths.csv", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["stage"] == "1-expand-A"]
    with open(RESULTS / f"{name}-hoopset-{level}-paths.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["angle_deg", "distance_mm", "hoop_MPa"])
        table.writerows([r["angle_deg"], f"{float(r['distance']):.6f}", f"{float(r['hoop']):.4f}"]
                        for r in rows)


def case_of(folder):
    with open(folder / "case.toml", "rb") as file:
        title = tomllib.load(file)["title"]
    for name in CASES:
        if case(name)["title"] == title:
            return name
    raise SystemExit(f"no case of ours: {title}")


def case(name):
    with open(HERE / f"{name}.toml", "rb") as file:
        return tomllib.load(file)


def stored(name, code, level):
    result = json.loads((RESULTS / f"{name}-{code}-{level}.json").read_text())
    paths = {}
    with open(RESULTS / f"{name}-{code}-{level}-paths.csv", newline="") as file:
        for row in csv.DictReader(file):
            angle = f"{float(row['angle_deg']):.0f}"
            paths.setdefault(angle, []).append((float(row["distance_mm"]), float(row["hoop_MPa"])))
    return result, {angle: np.array(points).T for angle, points in paths.items()}


def rows_of(name, level):
    """(path, quantity, unit, hoopset, library) of one case and level."""
    ours, our_paths = stored(name, "hoopset", level)
    theirs, their_paths = stored(name, "library", level)
    a, b = ours["at_full"], theirs["at_full"]
    yield ("", "mean pressure at full size", "MPa", a["mean_pressure"], b["mean_pressure"])
    yield ("", "retained expansion", "%", 100 * ours["retained_expansion"], 100 * theirs["retained_expansion"])
    if theirs["edge_bulge"] is not None:
        yield ("", "mandrel shift at full size", "mm", a["mandrel_shift"], b["mandrel_shift"])
        yield ("", "bulge of the left edge", "mm", ours["edge_bulge"], theirs["edge_bulge"])
    for angle, numbers in theirs["paths"].items():
        if angle == "90" and theirs["edge_bulge"] is None:
            continue  # the square plate: the same path again
        where = WORDS[angle] if theirs["edge_bulge"] is not None else "outward"
        x, hoop = their_paths[angle]
        for at in SAMPLES:
            if at < x[-1]:
                yield (where, f"hoop at {at:g} mm", "MPa", np.interp(at, *our_paths[angle]), np.interp(at, x, hoop))
        for key in KEYS[1:]:
            unit = "MPa" if "peak" in key else "mm"
            yield (where, key.replace("_", " "), unit, ours["paths"][angle][key], numbers[key])


def worst(name, level):
    """Root mean square over the distance, largest, and where, of the difference in hoop, MPa."""
    found = {}
    ours, theirs = stored(name, "hoopset", level)[1], stored(name, "library", level)[1]
    for angle, (x, hoop) in theirs.items():
        d = np.interp(x, *ours[angle]) - hoop
        at = int(np.argmax(np.abs(d)))
        found[angle] = (np.sqrt(np.trapezoid(d**2, x) / (x[-1] - x[0])), d[at], x[at])
    return found


def shown(what):
    """Whether the page shows a quantity; `agreement.csv` has them all."""
    return what not in {"hoop at 0.5 mm", "hoop at 2 mm", "hoop at 4 mm", "peak compression"}


def lines_of(name):
    """The table of one case in Markdown."""
    yield_stress = case(name)["material"]["yield_stress"]
    yield f"**{case(name)['title']}** (`{name}.toml`, yield stress {yield_stress:g} MPa)"
    yield ""
    yield "| path | quantity | | hoopset 1 | library 1 | hoopset 2 | library 2 | difference | relative |"
    yield "|---|---|---|---|---|---|---|---|---|"
    for coarse, fine in zip(*(rows_of(name, level) for level in LEVELS)):
        where, what, unit, p, q = fine
        if not shown(what):
            continue
        share = 100 * (p - q) / (yield_stress if unit == "MPa" else abs(q))
        digits = {"MPa": 1, "%": 4, "mm": 3 if where else 5}[unit]
        values = " | ".join(f"{v:.{digits}f}" for v in (coarse[3], coarse[4], p, q))
        line = f"| {where} | {what} | {unit} | {values} | {p - q:+.{digits}f} | {share:+.2f} % |"
        yield line.replace("-", "−").replace("| +0.00 % |", "| 0.00 % |").replace("| −0.00 % |", "| 0.00 % |")


def spread_of(name):
    """Root mean square and largest difference of hoop over each path, per cent of yield stress."""
    yield_stress = case(name)["material"]["yield_stress"]
    found = [worst(name, level) for level in LEVELS]
    for angle in found[0]:
        cells = []
        for level in found:
            rms, most, at = level[angle]
            cells.append(f"{100 * rms / yield_stress:.2f} | {100 * most / yield_stress:+.2f} at {at:.2f} mm")
        yield f"| {case(name)['title']} | {angle}° | " + " | ".join(cells).replace("-", "−") + " |"


def table():
    rows = []
    for name in CASES:
        for level in LEVELS:
            for where, what, unit, p, q in rows_of(name, level):
                rows.append([name, level, where, what, unit, f"{p:.6g}", f"{q:.6g}", f"{p - q:.4g}"])
            for angle, (rms, most, at) in worst(name, level).items():
                path = f"{angle} degrees"
                rows.append([name, level, path, "hoop, root mean square", "MPa", "", "", f"{rms:.4g}"])
                rows.append([name, level, path, f"hoop, largest, at {at:.3f} mm", "MPa", "", "", f"{most:.4g}"])
    with open(HERE / "agreement.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["case", "level", "path", "quantity", "unit", "hoopset", "library", "difference"])
        out.writerows(rows)
    agreement = "\n\n".join("\n".join(lines_of(name)) for name in CASES)
    head = ["| case | path | rms, level 1 | largest, level 1 | rms, level 2 | largest, level 2 |", "|---|---|---|---|---|---|"]
    spread = "\n".join(head + [line for name in CASES for line in spread_of(name)])
    page = HERE / "README.md"
    text = page.read_text()
    for name, new in (("agreement", agreement), ("spread", spread)):
        start, end = f"<!-- {name}: from compare.py -->", f"<!-- end of {name} -->"
        before, rest = text.split(start)
        text = before + start + "\n" + new + "\n" + end + rest.split(end)[1]
    page.write_text(text)


if __name__ == "__main__":
    if sys.argv[1] == "take":
        take(Path(sys.argv[2]), int(sys.argv[3]))
    else:
        from charts import chart
        table()
        for name in CASES[:3]:
            chart(name, LEVELS[-1])
