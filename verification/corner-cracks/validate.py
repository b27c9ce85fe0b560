"""Check the model against what is known: python validate.py [ellipse] [plate] [meshes].

`ellipse`: exact solutions for embedded ellipses, six pressures. `plate`: rows of a published table of high-order
three-dimensional finite elements, read off its graphs. `meshes`: two meshes of the same geometry.
"""

import argparse
from dataclasses import replace

import numpy as np
from scipy.interpolate import CubicSpline

from front import remote_tension
from mesh import Fineness, Shape
from plate import solve
from table import coefficients

FINE = replace(Fineness(), layers=10)
# Remote tension has to make the stress concentration of the hole too.
AROUND = replace(Fineness(), layers=16)

# K/sqrt(pi a) of an embedded ellipse at 0, 30, 45, 60, 90 degrees; Ferrers potentials, computed independently.
ELLIPSES = {
    ("1", "", 0.25): (0.466286, 0.688376, 0.796173, 0.872342, 0.932572),
    ("1", "", 0.5): (0.583876, 0.671553, 0.734185, 0.783956, 0.825726),
    ("1", "", 1.0): (0.636620, 0.636620, 0.636620, 0.636620, 0.636620),
    ("z/a", "z", 0.25): (0, 0.181868, 0.297477, 0.399189, 0.492770),
    ("z/a", "z", 0.5): (0, 0.193001, 0.298400, 0.390239, 0.474618),
    ("z/a", "z", 1.0): (0, None, 0.300105, None, 0.424413),
    ("x/c", "x", 0.25): (0.421030, 0.538291, 0.508339, 0.393838, 0),
    ("x/c", "x", 0.5): (0.463309, 0.461489, 0.411947, 0.311037, 0),
    ("xz/ac", "xz", 0.25): (0, 0.153264, 0.204688, 0.194224, 0),
    ("xz/ac", "xz", 0.5): (0, 0.153079, 0.193246, 0.178701, 0),
    ("xz/ac", "xz", 1.0): (0, None, 0.169765, None, 0),
    ("(z/a)^2", "", 0.25): (0.015166, 0.104451, 0.215719, 0.340348, 0.475019),
    ("(z/a)^2", "", 0.5): (0.032489, 0.117759, 0.216631, 0.325163, 0.441335),
    ("(z/a)^2", "", 1.0): (0.042441, None, 0.212207, None, 0.381972),
    ("(x/c)^2", "", 0.25): (0.395113, 0.443076, 0.350272, 0.206078, 0.030333),
    ("(x/c)^2", "", 0.5): (0.418457, 0.370313, 0.283518, 0.173180, 0.045947),
}
PRESSURES = {
    "1": lambda x, z: np.ones_like(x),
    "z/a": lambda x, z: z,
    "x/c": lambda x, z: x,
    "xz/ac": lambda x, z: x * z,
    "(z/a)^2": lambda x, z: z**2,
    "(x/c)^2": lambda x, z: x**2,
}

# F = K/(S sqrt(pi a/Q)) of one corner crack under remote tension: half width over radius, a/c, a/t, r/t; the values at
# 5, 10, 22.5, 45, 67.5, 80, 85 degrees were read off graphs to 0.5 % (second row 0.8 %).
# Source: Gautam, Kirby, Hochhalter & Zhe (2025), arXiv:2506.01173. Height of the plate not stated; taken as twice the width.
PLATES = [
    (4.0, 0.5, 0.2, 0.8, (1.491, 1.482, 1.561, 1.885, 2.366, 2.722, 2.889)),
    (15.0, 1.333, 0.8, 0.8, (None, None, 1.568, 1.524, 1.610, 1.827, 1.977)),
    (2.8, 0.8, 0.7, 1.25, (2.532, 2.445, 2.329, 2.362, 2.690, 3.112, 3.374)),
    (4.6, 4.0, 0.5, 1.5, (1.534, 1.528, 1.489, 1.358, 1.129, 0.978, 0.953)),
    (10.0, 5.0, 0.4, 1.0, (1.293, 1.293, 1.272, 1.168, 0.949, 0.789, 0.745)),
    (15.0, 5.0, 0.2, 0.667, (1.281, 1.283, 1.256, 1.158, 0.936, 0.775, 0.734)),
]
DEGREES = (5.0, 10.0, 22.5, 45.0, 67.5, 80.0, 85.0)


def show(title, found, known, scale=None):
    """Print a row of values and of errors in per cent of `scale` (by default of each value)."""
    errors = [
        "    –" if k is None else f"{100 * (f - k) / (scale or k):+5.2f}" if (scale or k) else f"{f:5.3f}"
        for f, k in zip(found, known)
    ]
    print(f"| {title} | {' '.join(f'{f:.4f}' for f in found)} | {' '.join(errors)} |", flush=True)


def ellipses():
    cache = {}
    print("| embedded ellipse | K/sqrt(pi a) at 0, 30, 45, 60, 90 degrees | error, % of the largest on the front |")
    print("|---|---|---|")
    for (name, odd, aspect), known in ELLIPSES.items():
        pressure = PRESSURES[name]
        if (odd, aspect) not in cache:
            shape = Shape(None, aspect, 1.0, thickness=10.0)
            model, front = solve(shape, FINE, 0.3, odd, reference=lambda x, z: pressure(x, z / aspect))
            model.release()
            cache[odd, aspect] = front
        front = cache[odd, aspect]
        k = front.intensity(lambda x, z: pressure(x, z / aspect)) / np.sqrt(np.pi * aspect)
        found = CubicSpline(front.angles, k)([0, 30, 45, 60, 90])
        show(f"a/c {aspect}, {name}", found, known, max(v for v in known if v is not None))


def plates():
    print("| plate b/r, a/c, a/t, r/t | F at 5, 10, 22.5, 45, 67.5, 80, 85 degrees | error, % |")
    print("|---|---|---|")
    for wide, aspect, depth, radius, known in PLATES:
        shape = Shape(radius, depth, depth / aspect, 1, width=wide * radius, height=2 * wide * radius)
        model, front = solve(shape, AROUND, 0.33)
        k = front.of_forces(remote_tension(model.mesh, model.size))
        model.release()
        q = 1 + 1.464 * min(aspect, 1 / aspect) ** 1.65
        spline = CubicSpline(front.angles[1:-1], k[1:-1] / np.sqrt(np.pi * depth / q))
        show(f"{wide:g}, {aspect:g}, {depth:g}, {radius:g}", spline(DEGREES), known)


def meshes():
    print("| r/t, a/c, a/t, cracks | unknowns | K of unit pressure, fine mesh over finer, -1, % |")
    print("|---|---|---|")
    for radius, aspect, depth, cracks in [
        (0.5, 0.5, 0.3, 1), (0.25, 2.0, 0.75, 2), (2.0, 0.25, 0.55, 2), (1.0, 1.0, 0.95, 1), (0.5, 0.25, 0.95, 2),
    ]:
        shape = Shape(radius, depth, depth / aspect, cracks)
        a, _ = coefficients(shape)
        b, _ = coefficients(shape, "finer")
        difference = 100 * (np.array(a["uniform"]) / np.array(b["uniform"]) - 1)[1:-1]
        print(f"| {radius} {aspect} {depth} {cracks} | {a['unknowns']} {b['unknowns']} | {np.round(difference, 2)} |", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", default=["ellipse", "plate", "meshes"])
    parts = parser.parse_args().parts
    for name, part in (("ellipse", ellipses), ("plate", plates), ("meshes", meshes)):
        if name in parts:
            part()
