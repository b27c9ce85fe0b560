# %% [markdown]
# Residual hoop stress of the demonstration, as a figure for a paper: run, read, draw.
# Cells are marked with `# %%`, so that editors run them one by one; as a script it writes the figure.

# %%
import sys
from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt

import hoopset

# %% The case, as a file, a text or a dictionary.
case = {
    "title": "Hinge plate, edge hole",
    "units": "mm-MPa",
    "plate": {"width": 60.0, "height": 60.0, "thickness": 6.0, "alloy": "2024-T351 plate"},
    "hole": [{"name": "A", "at": [12.0, 30.0], "starting_diameter": 5.70}],
    "stage": [
        {"expand": "A", "mandrel_diameter": 5.52, "sleeve_thickness": 0.20},
        {"ream": "A", "diameter": 6.00},
    ],
}
result = hoopset.run(case, progress=True)
stage = result.last
print(stage.headlines[["hole", "angle_deg", "edge_hoop", "compression_depth", "peak_tension"]])

# %% Field and paths side by side.
figure, (left, right) = plt.subplots(1, 2, figsize=(7.2, 3.1), layout="constrained")
x, y = stage.nodes.T
hoop = stage.fields["hoop_about_nearest_hole"]
levels = range(-450, 451, 50)
for mirror in (1, -1):  # the modelled half, and its image below the line y = 30
    filled = left.tricontourf(x, 30 + mirror * (y - 30), stage.flat_triangles, hoop, levels, cmap="RdBu_r")
left.set(xlim=(0, 24), ylim=(18, 42), aspect="equal", xlabel="x (mm)", ylabel="y (mm)")
figure.colorbar(filled, ax=left, label="Hoop stress (MPa)")
for angle, style in [(0, "-"), (90, "--"), (180, ":")]:
    path = stage.path("A", angle)
    right.plot(path["distance"], path["hoop"], style, color="black", label=f"{angle}°")
right.axhline(0, color="grey", linewidth=0.6)
right.set(xlim=(0, 12), xlabel="Distance from the edge (mm)", ylabel="Hoop stress (MPa)")
right.legend(title="Direction", frameon=False)

# %%
target = Path(sys.argv[1] if len(sys.argv) > 1 else "residual-hoop.png")
figure.savefig(target, dpi=200)
print(f"figure: {target}")
