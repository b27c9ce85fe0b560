"""Pack the lines of the table into the file that the program carries: python pack.py TABLE.jsonl FILE.

The file: one line of JSON (axes, scale, error), then little-endian 16-bit integers in the order cracks (1, 2), radius,
aspect, depth, angle, place (x first). What the run left out is filled in:
one crack of the smallest depth from two; another radius by the ratio to the first radius, which changes slowly and is
interpolated from the geometries at hand. Every filled geometry is listed.
"""

import argparse
import json
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline

import basis
from mesh import ANGLES
from table import ASPECTS, DEPTHS, NU, RADII

FIRST = RADII.index(0.5)
LARGEST = 32000


def interpolate(nodes, values, at):
    """Polynomial through up to three nodes, along the first axis."""
    return sum(
        values[i] * np.prod([(at - nodes[j]) / (nodes[i] - nodes[j]) for j in range(len(nodes)) if j != i])
        for i in range(len(nodes))
    )


def depth_place(depth):
    """Variable in which coefficients change evenly towards the far face."""
    return -np.log(1.05 - np.asarray(depth))


def fill(table):
    """Fill what is missing (nan) in place; give back the geometries that were."""
    filled = []
    for x in range(len(ASPECTS)):
        for r in range(len(RADII)):
            if np.isnan(table[0, r, x, 0]).all():
                table[0, r, x, 0] = table[1, r, x, 0]
    places = depth_place(DEPTHS)
    for cracks in (1, 0):
        for r in range(len(RADII)):
            known = ~np.isnan(table[cracks, r, :, :, 0, 0])
            if known.all() or not known.any():
                continue
            columns = [d for d in range(len(DEPTHS)) if known[[0, 2, 4], d].all()]
            if len(columns) < 3:
                raise SystemExit(f"radius {RADII[r]}, {cracks + 1} cracks: too few geometries to fill from")
            change = table[cracks, r] - table[cracks, FIRST]
            for x in range(len(ASPECTS)):
                for d in range(len(DEPTHS)):
                    if known[x, d]:
                        continue
                    rows = [
                        interpolate(np.log(np.array(ASPECTS)[[0, 2, 4]]), change[[0, 2, 4], k], np.log(ASPECTS[x]))
                        for k in columns
                    ]
                    added = CubicSpline(places[columns], np.array(rows))(places[d])
                    table[cracks, r, x, d] = table[cracks, FIRST, x, d] + added
                    filled.append((cracks + 1, RADII[r], ASPECTS[x], DEPTHS[d]))
    return filled


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("table", type=Path)
    parser.add_argument("file", type=Path)
    arguments = parser.parse_args()
    angles = ANGLES[1:-1]
    shape = (2, len(RADII), len(ASPECTS), len(DEPTHS), len(angles), len(basis.X) * len(basis.Z))
    table, coarse = np.full(shape, np.nan), {}
    for text in arguments.table.read_text().splitlines():
        if not text.strip():
            continue
        row = json.loads(text)
        place = (row["cracks"] - 1, RADII.index(row["r/t"]), ASPECTS.index(row["a/c"]), DEPTHS.index(row["a/t"]))
        if row["stage"] == "fine":
            table[place] = row["basis"]
        else:
            coarse[place] = np.array(row["uniform"][1:-1])
    computed = int(np.count_nonzero(~np.isnan(table[..., 0, 0])))
    filled = fill(table)
    whole = [r for r in range(len(RADII)) if not np.isnan(table[:, r]).any()]
    table = table[:, whole]
    scale = float(np.abs(table).max() / LARGEST)
    # K of unit pressure over that of the embedded ellipse is the sum of all coefficients.
    error = max((np.abs(u / table[p[0], whole.index(p[1]), p[2], p[3]].sum(axis=1) - 1).max() for p, u in coarse.items()), default=None)
    head = {
        "radii": [RADII[r] for r in whole], "aspects": ASPECTS, "depths": DEPTHS, "angles": angles.tolist(),
        "x": basis.X.tolist(), "z": basis.Z.tolist(), "poisson": NU, "scale": scale,
        "computed": computed, "filled": len(filled),
    }
    numbers = np.round(table / scale).astype("<i2")
    arguments.file.write_bytes(json.dumps(head).encode() + b"\n" + numbers.tobytes())
    print(f"{computed} geometries computed, {len(filled)} filled in: {filled}")
    print(f"radii {head['radii']}; largest change from a coarser mesh: {error}")


if __name__ == "__main__":
    main()
