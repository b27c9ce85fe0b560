"""Polar meshes: circles round the hole that give way to the outline of the plate.

A rectangle of logical cells (layer, sector) is mapped onto the plate, mid-side nodes and all, so
the library's curved elements lie on the circle of the hole and on the straight outline.
"""

import numpy as np
from skfem import MeshQuad, MeshQuad2, MeshTri2


def graded(first, total, count):
    """`count` steps in geometric progression from `first` that add up to `total`."""
    low, high = 1e-3, 1e3
    for _ in range(200):
        q = np.sqrt(low * high)
        size = first * np.sum(q ** np.arange(count))
        low, high = (q, high) if size < total else (low, q)
    return first * q ** np.arange(count)


def mapped(radii, angles, centre, triangles):
    """Mesh of the plate; `radii(angle)` gives the layer radii along the ray at `angle`."""
    layers, sectors = len(radii(angles[0])) - 1, len(angles) - 1
    flat = MeshQuad.init_tensor(np.arange(layers + 1.0), np.arange(sectors + 1.0))
    curved = MeshTri2.from_mesh(flat.to_meshtri()) if triangles else MeshQuad2.from_mesh(flat)
    s, t = curved.doflocs
    places = np.empty_like(curved.doflocs)
    for value in np.unique(t):
        here = t == value
        angle = np.interp(value, np.arange(sectors + 1.0), angles)
        r = np.interp(s[here], np.arange(layers + 1.0), radii(angle))
        places[0, here] = centre[0] + r * np.cos(angle)
        places[1, here] = centre[1] + r * np.sin(angle)
    # Nodes on the mirror line or the outline are there but for rounding.
    places[np.abs(places) < 1e-12] = 0.0
    return type(curved)(doflocs=places, t=curved.t)


def ray(angle, box):
    """Distance from the origin to the rectangle `box` (left, right, top) along `angle`."""
    left, right, top = box
    c, s = np.cos(angle), np.sin(angle)
    ways = [right / c if c > 1e-12 else np.inf, -left / c if c < -1e-12 else np.inf,
            top / s if s > 1e-12 else np.inf]
    return min(ways)


def plate(radius, box, level, triangles=False, quarter=False, around=None):
    """Upper half (or quarter) of a rectangle about a hole at the origin.

    `level` halves every element; with `around` that is the level of the sectors, and `level` that of the layers
    alone. First layer 0.8 % of the radius at level 1.
    """
    left, right, top = box
    last = np.pi / 2 if quarter else np.pi
    stops = [0.0, np.arctan2(top, right), np.pi / 2]
    if not quarter:
        stops += [np.pi - np.arctan2(top, left), np.pi]
    wanted = np.radians(5.0) / (around or level)
    angles = [0.0]
    for start, end in zip(stops, stops[1:]):
        count = int(np.ceil((end - start) / wanted - 1e-9))
        angles += list(start + (end - start) * np.arange(1, count + 1) / count)
    angles[-1] = last

    ring = 1.0 + min(1.4, 0.75 * (min(box) / radius - 1.0))  # outer radius of the circles / a
    circles = 24 * level
    near = graded(0.008 / level, ring - 1.0, circles)
    rest = 10 * level

    def radii(angle):
        far = graded(near[-1], ray(angle, box) / radius - ring, rest)
        return radius * np.concatenate([[1.0], 1.0 + np.cumsum(near), ring + np.cumsum(far)])

    return mapped(radii, angles, (0.0, 0.0), triangles)


def annulus(inner, outer, layers, sectors, growth=1.0):
    """Quarter of a ring; the last layer is `growth` times as thick as the first."""
    steps = growth ** (np.arange(layers) / max(layers - 1, 1))
    r = inner + (outer - inner) * np.concatenate([[0.0], np.cumsum(steps) / np.sum(steps)])
    angles = np.linspace(0.0, np.pi / 2, sectors + 1)
    return mapped(lambda _: r, angles, (0.0, 0.0), False)
