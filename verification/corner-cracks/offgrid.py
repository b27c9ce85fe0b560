"""Stress intensities away from the grid of the table, for its interpolation test: python offgrid.py FILE.json

The stress of every check is written as a formula here and in `tests/fatigue/influence.rs`; distances in units of the thickness.
"""

import argparse
import json
from pathlib import Path

import numpy as np

# cracks, r/t, a/c, a/t: between the nodes in every direction
GEOMETRIES = [
    (1, 0.35, 0.7, 0.3),
    (1, 0.8, 1.4, 0.57),
    (2, 0.35, 0.3, 0.57),
    (1, 0.3, 0.3, 0.77),
    (2, 0.8, 0.7, 0.91),
    (1, 2.0, 0.7, 0.1),
    (1, 0.25, 2.8, 0.91),
    (1, 0.8, 0.3, 0.3),
    (1, 0.8, 2.8, 0.77),
    (1, 2.0, 1.4, 0.57),
    (1, 0.3, 1.4, 0.91),
    (1, 2.0, 0.3, 0.91),
    (2, 2.0, 1.4, 0.3),
    (2, 0.3, 2.8, 0.77),
    (2, 0.8, 0.3, 0.1),
    (2, 2.0, 0.7, 0.77),
]


def hole(rho):
    """Elastic hoop stress beside a hole under remote tension, distance over radius. Kirsch (1898)."""
    s = 1 / (1 + rho)
    return 1 + 0.5 * s**2 + 1.5 * s**4


def residual(rho):
    """Like the residual hoop stress of an expanded hole: a kink at reverse yielding, tension beyond."""
    fall = 0.8 + 0.2 * rho / 0.25
    rise = (1 + 0.35) * np.exp(-(((rho - 0.25) / 0.85) ** 2)) - 0.35 * np.exp(-(rho - 0.25) / 3)
    return -np.where(rho < 0.25, fall, rise)


def share(z, entry):
    """Share of the middle's residual stress: `entry` at the face, one from 0.3 of the thickness on."""
    return entry + (1 - entry) * np.minimum(z / 0.3, 1)


FIELDS = {
    "uniform": lambda r, x, z: np.ones_like(x),
    "hole": lambda r, x, z: hole(x / r),
    "residual": lambda r, x, z: residual(x / r),
    "residual, entry 0.4": lambda r, x, z: residual(x / r) * share(z, 0.4),
    "residual, entry 0": lambda r, x, z: residual(x / r) * share(z, 0.0),
    "load and residual": lambda r, x, z: 0.4 * hole(x / r) + residual(x / r) * share(z, 0.4),
}


def main():
    from table import coefficients
    from mesh import Shape

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    path = parser.parse_args().file
    rows = json.loads(path.read_text()) if path.exists() else []
    for cracks, r, aspect, depth in GEOMETRIES[len(rows) :]:
        _, front = coefficients(Shape(r, depth, depth / aspect, cracks))
        fields = {
            name: np.round(front.intensity(lambda x, z: field(r, x, z))[1:-1], 5).tolist()
            for name, field in FIELDS.items()
        }
        rows.append({"cracks": cracks, "r/t": r, "a/c": aspect, "a/t": depth, "intensity": fields})
        text = ",\n".join(json.dumps(row) for row in rows)
        path.write_text(f"[\n{text}\n]\n")
        print(cracks, r, aspect, depth, flush=True)


if __name__ == "__main__":
    main()
