"""From integration points to what is compared: hoop stress along the layers' rays, and sizes.

In every element the point values are fitted by a function linear (triangles) or bilinear (quadrilaterals) in the
element's own coordinates, in polar components about the hole; the fits are averaged at the corners
that elements share. hoopset recovers otherwise: this is a different reading of a different mesh.
"""

import numpy as np

YIELDED = 2e-5  # equivalent plastic strain that counts as yielded, the same in both programs


def fit(body):
    """Matrix (points, corners) that takes point values of one element to its corners."""
    X = body.basis.X
    corners = body.mesh.t.shape[0]
    if corners == 4:
        terms = lambda x, y: np.stack([np.ones_like(x), x, y, x * y], axis=-1)
        at = np.array([[0, 1, 1, 0], [0, 0, 1, 1]], float)
    else:
        terms = lambda x, y: np.stack([np.ones_like(x), x, y], axis=-1)
        at = np.array([[0, 1, 0], [0, 0, 1]], float)
    return terms(*at) @ np.linalg.pinv(terms(*X))


def at_corners(body, values, crossed=None):
    """Values at the mesh's corner nodes from values at the points (flat array).

    Elements that are `crossed` by a plastic front count only at corners that no other element has: their
    fit goes through points on both sides of a kink.
    """
    local = values.reshape(body.elements, body.points) @ fit(body).T
    t = body.mesh.t.T
    size = body.mesh.doflocs.shape[1]

    def mean(weight):
        weights = np.repeat(weight, t.shape[1])
        total = np.bincount(t.ravel(), weights * local.ravel(), minlength=size)
        count = np.bincount(t.ravel(), weights, minlength=size)
        return total / np.maximum(count, 1), count > 0

    everyone, _ = mean(np.ones(body.elements))
    if crossed is None:
        return everyone
    own_side, known = mean(1.0 - crossed)
    return np.where(known, own_side, everyone)


def crossed(body, *flows):
    """Whether a front of one of these plastic strains at the points runs through an element."""
    found = np.zeros(body.elements, bool)
    for flow in flows:
        yielded = (flow.reshape(body.elements, body.points) > 0).sum(axis=1)
        found |= (yielded > 0) & (yielded < body.points)
    return found


def polar(body, stress):
    """Radial, hoop and shear stress at the points."""
    x, y = body.position
    r = np.hypot(x, y)
    c, s = x / r, y / r
    xx, yy, _, xy = stress
    return (xx * c**2 + yy * s**2 + 2 * xy * s * c, xx * s**2 + yy * c**2 - 2 * xy * s * c,
            (yy - xx) * s * c + xy * (c**2 - s**2))


def along(body, nodal, angle, radius, moved=None):
    """Distance from the hole edge and values at the corner nodes on the ray at `angle`, radians.

    With `moved`, the displacement (2, corners) of the corners, the distance is that in the part as it stands.
    """
    corner = np.unique(body.mesh.t)
    x, y = body.mesh.doflocs[:, corner]
    on = np.abs(x * np.sin(angle) - y * np.cos(angle)) < 1e-8
    on &= x * np.cos(angle) + y * np.sin(angle) > 0
    r = np.hypot(x[on], y[on])
    order = np.argsort(r)
    which = corner[on][order]
    if moved is None:
        return r[order] - radius, nodal[which]
    now = body.mesh.doflocs[:, which] + moved[:, which]
    return np.hypot(*(now - now[:, :1])), nodal[which]


def crossing(distance, value, level=0.0, start=0):
    """First distance at which `value` passes `level` beyond index `start`; None if it does not."""
    above = value[start:] > level
    change = np.flatnonzero(above[1:] != above[:-1])
    if change.size == 0:
        return None
    i = start + change[0]
    share = (level - value[i]) / (value[i + 1] - value[i])
    return float(distance[i] + share * (distance[i + 1] - distance[i]))


def path_numbers(distance, hoop, p, reverse):
    first = int(np.argmax(hoop < 0))
    depth = crossing(distance, hoop, start=first)
    own = hoop if depth is None else hoop[distance <= depth]
    reach = lambda q: 0.0 if q[0] <= YIELDED else (crossing(distance, q, YIELDED) or distance[-1])
    return dict(
        edge_hoop=float(hoop[0]), peak_compression=float(own.min()),
        compression_depth=depth, peak_tension=float(hoop.max()),
        plastic_extent=float(reach(p)), reverse_yield_extent=float(reach(reverse)))


def mean_diameter(points, whole):
    """Mean over all directions of the diameter of the displaced edge, about its middle.

    `points` (2, n), rising angle; `whole` mirrors them to the full circle. The middle is that of
    the line through the nodes: their plain mean would lean to where they lie closer, and the mean
    diameter shrinks with the square of that.
    """
    x, y = whole(points)
    order = np.argsort(np.arctan2(y - y.mean(), x - x.mean()))
    x, y = x[order], y[order]
    length = np.hypot(np.roll(x, -1) - x, np.roll(y, -1) - y)
    middle = [np.sum(0.5 * (q + np.roll(q, -1)) * length) / np.sum(length) for q in (x, y)]
    angle = np.arctan2(y - middle[1], x - middle[0])
    order = np.argsort(angle)
    r = np.hypot(x - middle[0], y - middle[1])[order]
    at = np.linspace(-np.pi, np.pi, 721)[:-1]
    return 2 * np.mean(np.interp(at, angle[order], r, period=2 * np.pi))
