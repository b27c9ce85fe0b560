"""Faces that press on each other: python contact.py. K at 5 and 80 degrees with contact solved for on the crack faces.

The contact pressure is found from the compliance of the face nodes: it is not negative, the gap is not negative, and
one of them is zero everywhere (non-negative least squares). Beside it superposition alone, and the rule of the program: one
pressure beside the closed tip that brings K there to zero.
"""

from dataclasses import replace

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.optimize import nnls

from elasticity import FACE_VALUES
from mesh import Fineness, Shape
from offgrid import hole, residual
from plate import solve

TIPS = (5.0, 80.0)


def at_tips(front, intensity):
    """K at the two angles of growth."""
    return CubicSpline(front.angles[1:-1], intensity[1:-1])(TIPS)


def compliance(model, nodes):
    """Openings (n, n) of the face nodes under unit forces there."""
    out = np.empty((len(nodes), len(nodes)))
    for start in range(0, len(nodes), 64):
        some = nodes[start : start + 64]
        loads = np.zeros((model.size, len(some)))
        loads[3 * some + 1, np.arange(len(some))] = 1.0
        out[:, start : start + 64] = model.solve(loads)[3 * nodes + 1]
    return 0.5 * (out + out.T)


def shares(faces, nodes):
    """Shape functions (n, p) of the face nodes at the quadrature points."""
    number = {node: k for k, node in enumerate(nodes)}
    points = faces.weights.shape[1]
    out = np.zeros((len(nodes), len(faces.places)))
    for f, element in enumerate(faces.nodes):
        for n, node in enumerate(element):
            if node in number:
                out[number[node], f * points : (f + 1) * points] += FACE_VALUES[n]
    return out


def by_rule(front, a, c, superposed):
    """The rule of the program (`src/engine/fatigue/front/tips.rs`)."""
    x, z = np.minimum(front.faces.places / (c, a), 1.0).T
    beside = [at_tips(front, front.weight @ p) for p in (x**2 * (1 - z), z**2 * (1 - x))]
    out = superposed.copy()
    for closed, other in ((0, 1), (1, 0)):
        if superposed[closed] < 0 < superposed[other]:
            out[other] -= superposed[closed] / beside[closed][closed] * beside[closed][other]
    return out


def rows(r, aspect, depth, cracks):
    a, c = depth, depth / aspect
    model, front = solve(Shape(r, a, c, cracks), replace(Fineness(), layers=8), 0.33)
    nodes = np.unique(front.faces.nodes)
    nodes = nodes[model.number[3 * nodes + 1] >= 0]
    flexible = compliance(model, nodes)
    model.release()
    value = shares(front.faces, nodes)
    weight = front.faces.weights.reshape(-1)
    mass = (value * weight) @ value.T
    root = np.linalg.cholesky(flexible)
    x, z = front.faces.places.T
    for entry in (0.0, 0.2, 0.45):
        for load in (0.15, 0.2, 0.25, 0.3, 0.35):
            field = residual(x / r) * (1 - (1 - entry) * np.maximum(1 - 2 * z, 0))
            stress = load * hole(x / r) + field
            superposed = at_tips(front, front.weight @ stress)
            force = value @ (stress * weight)
            contact, _ = nnls(root.T, -root.T @ force, maxiter=20 * len(nodes))
            pressure = value.T @ np.linalg.solve(mass, contact)
            solved = at_tips(front, front.weight @ (stress + pressure))
            yield entry, load, superposed, solved, by_rule(front, a, c, superposed)


def main():
    print("| r/t, a/c, a/t, cracks | entry | load | superposed | contact solved | rule |")
    print("|---|---|---|---|---|---|")
    for shape in ((0.5, 1.0, 0.45, 1), (0.5, 0.45, 0.68, 2)):
        for entry, load, *three in rows(*shape):
            if min(three[0]) < 0 and max(three[1]) > 0.01:
                cells = " | ".join(" ".join(f"{k:+.3f}" for k in one) for one in three)
                print(f"| {' '.join(map(str, shape))} | {entry} | {load} | {cells} |", flush=True)


if __name__ == "__main__":
    main()
