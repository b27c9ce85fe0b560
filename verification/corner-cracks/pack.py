"""Pack the lines of one or of two cracks into a file that the program carries: python pack.py TABLE.jsonl FILE --cracks 1

The file: one line of JSON (axes, scale, error), then little-endian 16-bit integers in the order cracks, radius,
aspect, depth, angle, place (x first). What the run left out is filled in:
one crack of the smallest depth from two; another radius by the ratio to the first radius, which changes slowly and is
interpolated from the geometries at hand. Every filled geometry is listed. A number of cracks, a radius or an aspect that is
still not whole is left out.
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
            if known.all() or not known.any() or np.isnan(table[cracks, FIRST]).any():
                continue
            columns = [d for d in range(len(DEPTHS)) if known[[0, 2, 4], d].all()]
            if len(columns) < 3:
                continue  # too few geometries to fill from
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
    parser.add_argument("--cracks", type=int, choices=(1, 2), required=True)
    parser.add_argument("--radii", type=float, nargs=2, required=True, help="range of r/t in which `error` holds")
    parser.add_argument("--error", type=float, required=True, help="of K over the largest on the front, as tested")
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
    table, kept = whole(table, arguments.cracks)
    scale = float(np.abs(table).max() / LARGEST)
    head = {
        **kept, "depths": DEPTHS, "angles": angles.tolist(),
        "x": basis.X.tolist(), "z": basis.Z.tolist(), "poisson": NU, "scale": scale,
        "valid_radii": arguments.radii, "error": arguments.error,
    }
    numbers = np.round(table / scale).astype("<i2")
    arguments.file.write_bytes(json.dumps(head).encode() + b"\n" + numbers.tobytes())
    print(f"{computed} geometries computed, {len(filled)} filled in: {filled}")
    print(f"kept {kept}; largest change of K of unit pressure from a coarser mesh: {mesh_error(table, kept, coarse)}")


def whole(table, wanted):
    """The part of the table for `wanted` cracks that has every geometry, and its axes: cracks, radii, aspects."""
    known = ~np.isnan(table[..., 0, 0]).any(axis=3)  # cracks, radius, aspect
    cracks = [wanted - 1]
    aspects = [x for x in range(len(ASPECTS)) if known[cracks, FIRST, x].all()]
    radii = [r for r in range(len(RADII)) if known[np.ix_(cracks, [r], aspects)].all()]
    names = {"cracks": [n + 1 for n in cracks], "radii": [RADII[r] for r in radii], "aspects": [ASPECTS[x] for x in aspects]}
    return table[np.ix_(cracks, radii, aspects)], names


def mesh_error(table, kept, coarse):
    """Largest difference of K of unit pressure, the sum of all coefficients, to a coarser mesh."""
    errors = [0.0]
    for (cracks, r, x, d), uniform in coarse.items():
        names = (cracks + 1 in kept["cracks"], RADII[r] in kept["radii"], ASPECTS[x] in kept["aspects"])
        if all(names):
            at = kept["cracks"].index(cracks + 1), kept["radii"].index(RADII[r]), kept["aspects"].index(ASPECTS[x]), d
            errors.append(np.abs(uniform / table[at].sum(axis=1) - 1).max())
    return max(errors)


if __name__ == "__main__":
    main()
