"""Points and cells of plates with holes, with numpy and scipy only. Lengths in mm."""

import numpy as np
from scipy.optimize import brentq
from scipy.spatial import Delaunay


def graded(first, ratio, reach, widest=np.inf):
    """Distances from a hole edge: steps `first`, `first * ratio`, ... but none above `widest`,
    up to about `reach`."""
    distances, step = [0.0], first
    while distances[-1] + 0.5 * step < reach:
        distances.append(distances[-1] + step)
        step = min(step * ratio, widest)
    return np.array(distances)


def circle(centre, radius, angles):
    return np.c_[centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)]


def spread(first, count, length):
    """Distances of `count` steps in geometric growth, the first near `first`, to `length`."""
    growth = brentq(lambda q: first * np.sum(q ** np.arange(1, count + 1)) - length, 0.1, 10.0)
    steps = first * growth ** np.arange(1, count + 1)
    return np.cumsum(steps) * length / steps.sum()


def o_grid(width, height, centre, radius, first, ratio, sectors, widest=np.inf):
    """Linear quadrilaterals: spokes from a hole to the edges of a rectangle, circles near the
    hole, blending into the rectangle further out. Returns points and cells."""
    stops = {0.0, 0.5 * np.pi, np.pi, 1.5 * np.pi}
    for corner in [(0, 0), (width, 0), (width, height), (0, height)]:
        stops.add(np.arctan2(corner[1] - centre[1], corner[0] - centre[0]) % (2 * np.pi))
    stops = sorted(stops) + [2 * np.pi]
    angles = []
    for a, b in zip(stops, stops[1:]):
        count = max(1, round(sectors * (b - a) / (2 * np.pi)))
        angles.extend(np.linspace(a, b, count, endpoint=False))
    angles = np.array(angles)
    cosine, sine = np.cos(angles), np.sin(angles)
    with np.errstate(divide="ignore"):
        walls = np.array([
            np.where(cosine > 1e-12, (width - centre[0]) / cosine, np.inf),
            np.where(cosine < -1e-12, -centre[0] / cosine, np.inf),
            np.where(sine > 1e-12, (height - centre[1]) / sine, np.inf),
            np.where(sine < -1e-12, -centre[1] / sine, np.inf),
        ])
    edge = walls.min(axis=0)
    room = 0.65 * (edge.min() - radius)
    near = graded(first * radius, ratio, room, widest)
    rings = [circle(centre, radius + depth, angles) for depth in near]
    # Beyond the circles: to the rectangle in steps that begin as the last ring ends and grow
    # in each direction as they must.
    last, step = radius + near[-1], near[-1] - near[-2]
    count = len(graded(step * ratio, 1.2, np.median(edge) - last)) - 1
    far = np.array([spread(step, count, length) for length in edge - last]).T
    for away in last + far:
        rings.append(np.c_[centre[0] + away * cosine, centre[1] + away * sine])
    points, n = np.vstack(rings), len(angles)
    # The rectangle to the last digit.
    for axis, size in ((0, width), (1, height)):
        for wall in (0.0, size):
            points[np.abs(points[:, axis] - wall) < 1e-9 * size, axis] = wall
    cells = [
        [k * n + j, (k + 1) * n + j, (k + 1) * n + (j + 1) % n, k * n + (j + 1) % n]
        for k in range(len(rings) - 1)
        for j in range(n)
    ]
    return points, np.array(cells)


def scatter(width, height, holes, reach, size, growth, seed=1):
    """Points between the rings of `holes` and the edges of a rectangle, `size` apart at the
    rings and further apart away from them. `holes` are (centre, radius of the last ring)."""
    def wanted(at):
        away = np.min([np.hypot(*(at - centre).T) - last for centre, last in holes], axis=0)
        return np.minimum(size + growth * np.maximum(away, 0.0), reach)

    border = []
    for a, b in [((0, 0), (width, 0)), ((width, 0), (width, height)),
                 ((width, height), (0, height)), ((0, height), (0, 0))]:
        a, b = np.array(a, float), np.array(b, float)
        length, along = np.hypot(*(b - a)), [0.0]
        while along[-1] < length:
            at = a + (b - a) * along[-1] / length
            along.append(along[-1] + wanted(at[None])[0])
        along = np.array(along[:-1]) * length / along[-1]
        border.append(a + np.outer(along, (b - a) / length))
    border = np.vstack(border)

    # Dart throwing: a point stays when nothing nearer than wanted is there already.
    random = np.random.default_rng(seed)
    kept = [border]
    for centre, last in holes:
        n = max(24, int(2 * np.pi * last / size))
        kept.append(circle(centre, last, np.linspace(0, 2 * np.pi, n, endpoint=False)))
    kept = list(np.vstack(kept))
    for at in random.uniform((0, 0), (width, height), (60000, 2)):
        spacing = wanted(at[None])[0]
        if min(at[0], width - at[0], at[1], height - at[1]) < 0.6 * spacing:
            continue
        if any(np.hypot(*(at - centre)) < last + 0.7 * size for centre, last in holes):
            continue
        if np.hypot(*(np.array(kept) - at).T).min() > 0.8 * spacing:
            kept.append(at)
    kept = np.array(kept)
    rings = sum(max(24, int(2 * np.pi * last / size)) for _, last in holes)
    return border, kept[len(border) + rings:], wanted


def smooth(points, fixed, inside, rounds=40):
    """Moves free points to the middle of their neighbours, triangulating anew each time."""
    for _ in range(rounds):
        cells = triangles(points, inside)
        total, count = np.zeros_like(points), np.zeros(len(points))
        for a, b in ((0, 1), (1, 2), (2, 0)):
            for here, there in ((a, b), (b, a)):
                np.add.at(total, cells[:, here], points[cells[:, there]])
                np.add.at(count, cells[:, here], 1)
        free = np.arange(len(points)) >= fixed
        free &= count > 0
        points = points.copy()
        points[free] = total[free] / count[free, None]
    return points, triangles(points, inside)


def triangles(points, inside):
    cells = Delaunay(points).simplices
    corners = points[cells]
    middle = corners.mean(axis=1)
    sides = corners[:, [1, 2]] - corners[:, [0, 0]]
    area = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
    # Three points of a straight edge make no triangle.
    return cells[inside(middle) & (np.abs(area) > 1e-9)]
