"""The two models: a plate with one or two corner cracks at its hole, and an embedded ellipse for the check."""

import numpy as np

from elasticity import Model
from front import Front
from mesh import build


def supports(shape, mesh, odd=""):
    """Fixed degrees of freedom (3 n): planes of symmetry, and what holds the plate in place.

    `odd` names the directions, "x" or "z" or both, in which the load of an embedded ellipse changes sign.
    """
    x, y, z = mesh.nodes.T
    grain = 1e-7 * min(shape.a, shape.c)
    fixed = np.zeros((len(x), 3), dtype=bool)
    inside = (mesh.plane[:, 0] / shape.c) ** 2 + (mesh.plane[:, 1] / shape.a) ** 2 < 1.0 - 1e-9
    if shape.hole is None:
        for axis, place in ((0, x), (2, z)):
            if "xyz"[axis] in odd:
                fixed[:, 2 - axis] |= place < grain
                fixed[:, 1] |= place < grain
            else:
                fixed[:, axis] |= place < grain
        fixed[:, 1] |= (y < grain) & ~inside
        if odd == "xz":
            # What is left is a turn about y, which no pressure drives.
            fixed[np.argmax(np.where((y < grain) & (z < grain), x, -np.inf)), 2] = True
        return fixed.reshape(-1)
    ligament = (np.abs(y) < grain) & ((x < 0) | ~inside)
    fixed[:, 1] = ligament
    far = np.argmax(np.where(ligament & (z < grain), x, -np.inf))
    fixed[far, 2] = True
    if shape.cracks == 2:
        fixed[:, 0] = np.abs(x) < grain
    else:
        above = np.argmax(np.where(ligament & (z > shape.thickness - grain), x, -np.inf))
        fixed[[far, above], 0] = True
    return fixed.reshape(-1)


def solve(shape, fine, nu, odd="", **reference):
    """Model and front of one geometry, factorized and solved. Call `model.release()` afterwards."""
    mesh = build(shape, fine)
    model = Model(mesh, nu, supports(shape, mesh, odd))
    model.factorize()
    return model, Front(model, mesh, **reference)
