"""Both hoop profiles on the same axes, and their difference below."""

import matplotlib

matplotlib.use("Agg")
matplotlib.rcParams["svg.hashsalt"] = "second opinion"  # the same bytes in every run
import matplotlib.pyplot as plt
import numpy as np

# Okabe and Ito: told apart with any colour vision.
COLOURS = {"0": "#0072B2", "90": "#009E73", "180": "#D55E00"}
MARKERS = {"0": "o", "90": "s", "180": "^"}
LONGEST = 12.0  # mm


def chart(name, level):
    from compare import HERE, WORDS, case, stored

    ours, theirs = stored(name, "hoopset", level), stored(name, "library", level)
    yield_stress = case(name)["material"]["yield_stress"]
    alone = theirs[0]["edge_bulge"] is None
    figure, (top, low) = plt.subplots(
        2, 1, figsize=(7.2, 5.6), sharex=True, height_ratios=[2.6, 1], layout="constrained")
    for angle, (x, hoop) in theirs[1].items():
        if alone and angle == "90":
            continue
        word = "outward" if alone else WORDS[angle]
        colour = COLOURS[angle]
        top.plot(*ours[1][angle], color=colour, lw=1.4, label=f"{word}: hoopset")
        # Marks about evenly spaced to the eye.
        shown = [int(np.argmin(np.abs(x - at))) for at in np.linspace(0, min(x[-1], LONGEST), 45)]
        top.plot(x[shown], hoop[shown], MARKERS[angle], color=colour, ms=4, mfc="none", ls="",
                 label=f"{word}: library")
        low.plot(x, np.interp(x, *ours[1][angle]) - hoop, color=colour, lw=1.0)
    top.set_title(f"{case(name)['title']}\nresidual hoop stress after 4 % applied expansion, level {level}",
                  fontsize=11)
    top.set_ylabel("hoop stress, MPa")
    top.axhline(0, color="0.6", lw=0.6)
    top.legend(fontsize=8, ncols=1 if alone else 3, loc="lower right")
    low.axhspan(-0.01 * yield_stress, 0.01 * yield_stress, color="0.9", zorder=0)
    low.text(LONGEST - 0.1, -0.009 * yield_stress, "band: ±1 % of yield stress", fontsize=7, ha="right", va="bottom")
    low.set_ylabel("difference, MPa\n(hoopset − library)")
    low.set_xlabel("distance from the edge of the hole, mm")
    low.set_xlim(0, LONGEST)
    figure.savefig(HERE / f"{name}.svg", metadata={"Date": None})
    figure.savefig(HERE / f"{name}.png", dpi=120, metadata={"Software": None})
    plt.close(figure)
