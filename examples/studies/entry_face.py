"""Runs the draws of the entry-face study; writes its table into README.md and its figure.

    python3 entry_face.py HOOPSET RESULTS      # the program, and a folder to solve into; matplotlib for the figure

A draw that is solved already is not solved again.
"""

import csv
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
BASE = "as it is"
CAP = "support = { inner_diameter = 9.0, outer_diameter = 18.0 }\n"
# Group, name, and pairs (line of the base case, line in its place).
DRAWS = [
    ("", BASE, []),
    ("lead taper, half angle", "1°", [("lead_angle = 2.0", "lead_angle = 1.0")]),
    ("lead taper, half angle", "4°", [("lead_angle = 2.0", "lead_angle = 4.0")]),
    ("trail taper, half angle", "2°", [("trail_angle = 4.0", "trail_angle = 2.0")]),
    ("trail taper, half angle", "8°", [("trail_angle = 4.0", "trail_angle = 8.0")]),
    ("land", "1.5 mm", [("land = 3.0", "land = 1.5")]),
    ("land", "6 mm", [("land = 3.0", "land = 6.0")]),
    ("friction", "0", [("friction = 0.05", "friction = 0.0")]),
    ("friction", "0.1", [("friction = 0.05", "friction = 0.1")]),
    ("friction", "0.2", [("friction = 0.05", "friction = 0.2")]),
    ("thickness", "3 mm", [("thickness = 6.0", "thickness = 3.0")]),
    ("thickness", "12 mm", [("thickness = 6.0", "thickness = 12.0")]),
    ("expansion", "3 %", [("mandrel_diameter = 5.52", "mandrel_diameter = 5.471")]),
    ("expansion", "5 %", [("mandrel_diameter = 5.52", "mandrel_diameter = 5.585")]),
    ("support", "held at the rim", [(CAP, "")]),
    ("rim", "free", [('rim = "flat"', 'rim = "free"')]),
    ("direction", "enters at the exit face", [('enters = "entry"', 'enters = "exit"')]),
    ("ream", "to 6 mm", [("[numerics]", '[[stage]]\nream = "A"\ndiameter = 6.0\n\n[numerics]')]),
    ("ream", "to 6.4 mm", [("[numerics]", '[[stage]]\nream = "A"\ndiameter = 6.4\n\n[numerics]')]),
    ("passes", "a second one, from the exit face", [("[numerics]", """[[stage]]
draw = "A"
mandrel_diameter = 5.52
sleeve_thickness = 0.20
friction = 0.05
enters = "exit"
support = { inner_diameter = 9.0, outer_diameter = 18.0 }

[numerics]""")]),
    ("tool", "grows evenly", [('draw = "A"', 'expand = "A"')]
     + [(line, "") for line in ("lead_angle = 2.0\n", "trail_angle = 4.0\n", "land = 3.0\n", "friction = 0.05\n",
                                'enters = "entry"\n', CAP)]),
]
SKIN = 0.05


def solve(program, results, number, changes):
    text = (HERE / "entry-face.toml").read_text()
    for line, other in changes:
        assert text.count(line) == 1, line
        text = text.replace(line, other)
    case, out = results / f"draw-{number:02}.toml", results / f"draw-{number:02}"
    if not (out / "hoop-map.csv").exists() or case.read_text() != text:
        case.write_text(text)
        subprocess.run([program, "section", case, "--out", out], check=True, stdout=subprocess.DEVNULL)
    return out


def bore(out):
    """Depth over the thickness and hoop stress at the bore after the last stage."""
    with open(out / "hoop-map.csv", newline="") as file:
        rows = list(csv.DictReader(file))
    last = [row for row in rows if row["stage"] == rows[-1]["stage"] and float(row["distance"]) == 0.0]
    depth = [float(row["depth"]) for row in last]
    return [z / depth[-1] for z in depth], [float(row["hoop"]) for row in last]


def mean(share, hoop, low, high):
    """Mean between two shares of the depth, straight between the nodes."""
    total, count = 0.0, 2000
    for k in range(count):
        at = low + (k + 0.5) / count * (high - low)
        i = next(i for i in range(1, len(share)) if share[i] >= at)
        part = (at - share[i - 1]) / (share[i] - share[i - 1])
        total += hoop[i - 1] + part * (hoop[i] - hoop[i - 1])
    return total / count


def largest_pull(out):
    with open(out / "travel.csv", newline="") as file:
        return max(float(row["pull_force"]) for row in csv.DictReader(file))


def signed(value):
    return f"{value:.0f}".replace("-", "−")


def lines(curves, pulls):
    for (group, name, _), (share, hoop), pull in zip(DRAWS, curves, pulls):
        entry, middle, exit_ = (mean(share, hoop, *ends) for ends in ((0, SKIN), (0.45, 0.55), (1 - SKIN, 1)))
        force = "" if name == "grows evenly" else f"{pull / 1000:.1f}"
        cells = [group, name, signed(hoop[0]), signed(entry), signed(middle), signed(exit_), signed(hoop[-1]),
                 f"{entry / middle:.2f}", force]
        yield "| " + " | ".join(cells) + " |"


# Panels of the figure, with the value that the base case has.
PANELS = {"lead taper, half angle": "2°", "friction": "0.05", "thickness": "6 mm", "tool": "drawn through"}
# Colours and dashes of the program's own charts.
LOOKS = [("#1a4c9e", "-"), ("#ce5c0a", "--"), ("#109492", "-."), ("#24202c", ":")]


def draw_figure(curves):
    import matplotlib

    matplotlib.use("svg")
    import matplotlib.pyplot as plt

    plt.rcParams.update({"svg.hashsalt": "hoopset", "font.size": 11, "axes.edgecolor": "#1c1e24"})
    figure, axes = plt.subplots(1, len(PANELS), figsize=(13, 5.6), sharey=True)
    for axis, (group, base) in zip(axes, PANELS.items()):
        chosen = [(base, 0)] + [(name, k) for k, (of, name, _) in enumerate(DRAWS) if of == group]
        if group != "tool":
            chosen.sort(key=lambda one: float(one[0].rstrip("° m")))
        for (name, k), (colour, dashes) in zip(chosen, LOOKS):
            share, hoop = curves[k]
            axis.plot(hoop, [100 * s for s in share], dashes, color=colour, label=name, linewidth=1.8)
        axis.axvline(0, color="#60687480", linewidth=1)
        axis.grid(color="#dee0e4")
        axis.set_xlim(-600, 300)
        axis.set_title(group, fontsize=12)
        axis.set_xlabel("hoop stress at the bore, MPa")
        axis.legend(loc="upper center", bbox_to_anchor=(0.5, -0.16), ncol=2, frameon=False)
    axes[0].set_ylabel("depth, % of the thickness (0: entry face)")
    axes[0].set_ylim(102, -2)
    figure.suptitle("What the bore keeps after the draw, one change at a time", x=0.01, ha="left", weight="bold")
    figure.tight_layout()
    figure.savefig(HERE / "entry-face.svg", metadata={"Date": None})


def main():
    program, results = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    results.mkdir(exist_ok=True)
    outs = [solve(program, results, number, changes) for number, (_, _, changes) in enumerate(DRAWS)]
    curves, pulls = [bore(out) for out in outs], [largest_pull(out) for out in outs]
    page = HERE / "README.md"
    before, rest = page.read_text().split("<!-- faces -->\n")
    old, after = rest.split("<!-- end of faces -->")
    head = "".join(old.splitlines(keepends=True)[:2])
    page.write_text(before + "<!-- faces -->\n" + head + "\n".join(lines(curves, pulls)) + "\n<!-- end of faces -->" + after)
    draw_figure(curves)


main()
