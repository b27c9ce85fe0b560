"""Meshes of 27-node hexahedra around a quarter-elliptical crack.

The crack lies in the plane y = 0. Lengths are in units of the plate thickness. A point of that plane is
given by its distance x from the bore and its distance z from the face the crack starts at; the front is
x = c cos(phi), z = a sin(phi). The plane mesh is carried away from the crack plane on circles about the
axis of the hole (or on straight lines when there is no hole). The half box round the front holds a web of
elements; those at the front are collapsed to wedges and have their middle nodes at the quarter points.
"""

from dataclasses import dataclass

import numpy as np

# Parametric angles, degrees, at the corner nodes along the front: fine near the free faces.
ANGLES = np.array([0, 3, 8, 15, 24, 34, 45, 56, 66, 75, 82, 87, 90], dtype=float)


@dataclass(frozen=True)
class Shape:
    """One geometry, all lengths in units of the plate thickness.

    `hole` is the radius (None: no hole, three planes of symmetry, an embedded ellipse in a block);
    `a` the depth along the bore, `c` the length along the face; `cracks` 1 or 2; `thickness` of the
    plate; `width` and `height` half the plate (None: a round plate of twenty times hole and crack).
    """

    hole: float | None
    a: float
    c: float
    cracks: int = 2
    thickness: float = 1.0
    width: float | None = None
    height: float | None = None

    @property
    def half_turn(self):
        """Angle that the mesh spans about the axis of the hole, in radians."""
        return np.pi if self.cracks == 1 else np.pi / 2


@dataclass(frozen=True)
class Fineness:
    """Counts of elements; `twice()` is the finer mesh that measures the error."""

    angles: tuple = tuple(ANGLES)
    box: float = 0.16  # half width of the box round the front, relative to the smaller semi-axis
    sides: int = 1  # elements along either side of the box; the one element beside it allows no other number
    top: int = 2  # elements along its top
    rings: tuple = (0.0, 0.2, 0.55, 1.0)
    growth: float = 2.0  # largest ratio of neighbouring elements in the plane
    layers: int = 8  # away from the crack plane, a quarter turn
    far: int = 6  # from the neighbourhood of the crack to the edge of the plate


@dataclass
class Mesh:
    """Nodes (n, 3); elements (m, 27) in tensor order (along the front, across, away).

    `plane` (n, 2) holds x and z of each node before it was carried round the hole. `web` marks elements
    round the front; `faces` (f, 9) are the crack faces, `rim` (g, 9) the
    outer edge of the plate. `front` (2 n_phi + 1) are the nodes of the front,
    `normal` (2 n_phi + 1, 2) its normal in the plane; `station` (n) the index along the front and `reach`
    (n) the distance from it over the box, both -1 outside the web.
    """

    nodes: np.ndarray
    plane: np.ndarray
    elements: np.ndarray
    web: np.ndarray
    faces: np.ndarray
    rim: np.ndarray
    front: np.ndarray
    normal: np.ndarray
    angles: np.ndarray
    station: np.ndarray
    reach: np.ndarray


def halves(values):
    """Insert the middle between neighbours: corner nodes become corner and middle nodes."""
    values = np.asarray(values, dtype=float)
    out = np.empty((2 * len(values) - 1, *values.shape[1:]))
    out[::2] = values
    out[1::2] = 0.5 * (values[1:] + values[:-1])
    return out


def graded(length, first, growth):
    """Fractions from 0 to 1 of a line whose elements grow from `first` by at most `growth`."""
    ratio = length / first
    count = 1
    while (growth**count - 1) / (growth - 1) < ratio and count < 12:
        count += 1
    sizes = growth ** np.arange(count)
    return np.concatenate([[0.0], np.cumsum(sizes) / sizes.sum()])


def ellipse(shape, phi):
    """Front points and unit normals in the plane, at parametric angles in radians."""
    point = np.stack([shape.c * np.cos(phi), shape.a * np.sin(phi)], axis=-1)
    normal = np.stack([shape.a * np.cos(phi), shape.c * np.sin(phi)], axis=-1)
    # Exactly along the faces at the two ends, so that the extended front stays on them.
    normal[np.abs(normal) < 1e-12] = 0.0
    return point, normal / np.linalg.norm(normal, axis=-1, keepdims=True)


def box_width(shape, fine):
    """Half width of the box round the front: inside the ellipse, the plate and the smallest radius of curvature."""
    small = min(shape.a, shape.c)
    curvature = small**2 / max(shape.a, shape.c)
    return min(fine.box * small, 0.45 * curvature, 0.5 * (shape.thickness - shape.a))


def rectangle(shape, point, normal):
    """Where the normals of the front meet the rectangle round the crack; and the index of its corner."""
    gap = shape.thickness - shape.a
    reach = shape.c + max(min(gap, 2.0 * shape.c), 0.3 * min(shape.a, shape.c))
    corner = np.array([reach, shape.thickness])
    index = int(np.argmin(np.linalg.norm(point[::2] - corner, axis=1)))
    # The normal through the corner, not the nearest point, when the ellipse turns away.
    miss = np.abs(normal[::2, 0] * (corner - point[::2])[:, 1] - normal[::2, 1] * (corner - point[::2])[:, 0])
    index = 2 * int(np.clip(np.argmin(miss), 2, len(miss) - 3))
    target = np.empty_like(point)
    low, high = slice(0, index + 1), slice(index, None)
    rise = point[low, 1] + normal[low, 1] / normal[low, 0] * (reach - point[low, 0])
    target[low] = np.stack([np.full_like(rise, reach), rise * shape.thickness / rise[-1]], axis=1)
    run = point[high, 0] + normal[high, 0] / normal[high, 1] * (shape.thickness - point[high, 1])
    target[high] = np.stack([run * reach / run[0], np.full_like(run, shape.thickness)], axis=1)
    target[index] = corner
    return target, index, reach


def levels(shape, length, first, count):
    """Distances from the crack plane, (2 count + 1, n): elements grow in a geometric series from `first`.

    `length` (n) is the way from the crack plane to the plane of symmetry or round the hole.
    """
    low, high = np.full_like(length, 1e-3), np.full_like(length, 60.0)
    for _ in range(80):
        ratio = np.sqrt(low * high)
        total = first * sum(ratio**k for k in range(count))
        low, high = np.where(total < length, ratio, low), np.where(total < length, high, ratio)
    sizes = np.stack([first * ratio**k for k in range(count)])
    sizes[-1] += length - sizes.sum(axis=0)
    return halves(np.concatenate([np.zeros((1, len(length))), np.cumsum(sizes, axis=0)]))


def carried(shape, plane, away, blend, corners):
    """Points (n, 3) of plane coordinates (n, 2) at a distance `away` (n) along the circles.

    In a plate of given width the circles turn into its outline where `blend` (n) goes from 0 to 1;
    `corners` are the angle that the corner of the outline should have and the one a line of the mesh has.
    """
    if shape.hole is None:
        return np.stack([plane[:, 0], away, plane[:, 1]], axis=1)
    radius = shape.hole + plane[:, 0]
    angle = away / radius
    if shape.width is not None:
        angle = angle + blend * (np.interp(angle, corners[0], corners[1]) - angle)
        with np.errstate(divide="ignore"):
            outline = np.minimum(shape.width / np.abs(np.cos(angle)), shape.height / np.abs(np.sin(angle)))
        radius = radius + blend * (outline - radius)
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    return np.stack([x, y, plane[:, 1]], axis=1)


def corner_angles(shape, first, count):
    """Angles of the mesh lines nearest to the corners of the plate, and of the corners, with both ends."""
    if shape.width is None:
        return None
    lines = levels(shape, np.array([shape.half_turn * shape.width]), first, count)[::2, 0] / shape.width
    corner = np.arctan2(shape.height, shape.width)
    wanted = [corner] if shape.cracks == 2 else [corner, np.pi - corner]
    found = [lines[np.argmin(np.abs(lines - w))] for w in wanted]
    ends = [0.0], [shape.half_turn]
    return np.concatenate([ends[0], found, ends[1]]), np.concatenate([ends[0], wanted, ends[1]])


def brick(grid, i, j, k):
    """Node numbers (27) of the element whose first corner is (2i, 2j, 2k) of a grid of numbers."""
    return grid[2 * i : 2 * i + 3, 2 * j : 2 * j + 3, 2 * k : 2 * k + 3].reshape(27)


def build(shape, fine):
    """The mesh of one geometry."""
    if fine.sides != 1:
        raise ValueError("elements along the sides of the box would not fit the one beside it")
    phi = np.radians(halves(fine.angles))
    n_phi = len(fine.angles) - 1
    point, normal = ellipse(shape, phi)
    box = box_width(shape, fine)
    target, corner, reach = rectangle(shape, point, normal)
    size = (shape.hole or 0.0) + shape.c + shape.thickness
    edge = 20.0 * size if shape.width is None else shape.width - (shape.hole or 0.0)

    # Plane mesh: lines from the middle of the ellipse through the front to the rectangle.
    inner = point - box * normal
    outer = point + box * normal
    core = 1.0 - graded(np.sqrt(shape.a * shape.c) - box, box, fine.growth)[::-1]
    # A few wide steps are enough towards the middle, where nothing is steep.
    lines = [s * inner for s in halves(core)]
    first_box = len(lines) - 1
    across = np.linspace(-box, box, 2 * fine.top + 1)
    lines += [point + d * normal for d in across[1:]]
    last_box = len(lines) - 1
    gap = np.max(np.linalg.norm(target - outer, axis=1))
    lines += [outer + s * (target - outer) for s in halves(graded(gap, 1.5 * box, fine.growth))[1:]]
    near = np.stack(lines, axis=1)  # (phi, across, 2)
    right = target[: corner + 1]
    # Elements towards the edge grow with the distance from the tip on the face, as the stress before a long crack does.
    first, last = reach - shape.c, edge - shape.c
    stations = shape.c + first * (last / first) ** np.linspace(0.0, 1.0, fine.far + 1)
    far = np.stack([np.stack([np.full(len(right), x), right[:, 1]], axis=1) for x in halves(stations)], axis=1)

    count = fine.layers if shape.half_turn < 3 else int(np.ceil(1.35 * fine.layers))
    corners = corner_angles(shape, box, count)
    coordinates, plane, blocks, station, depth = [], [], [], [], []

    def add(points, away, index, reached):
        """Append a grid of points; give back their numbers before merging."""
        first = sum(len(p) for p in plane)
        flat = points.reshape(-1, 2)
        plane.append(flat)
        blend = np.clip((flat[:, 0] - stations[-2]) / (stations[-1] - stations[-2]), 0.0, 1.0)
        coordinates.append(carried(shape, flat, away.reshape(-1), blend, corners))
        station.append(np.broadcast_to(index, away.shape).reshape(-1))
        depth.append(np.broadcast_to(reached, away.shape).reshape(-1))
        return first + np.arange(len(flat)).reshape(away.shape)

    def extrude(grid):
        radius = grid[..., 0].reshape(-1) + (shape.hole or 0.0)
        length = np.full_like(radius, 20.0 * size) if shape.hole is None else shape.half_turn * radius
        away = levels(shape, length, box, count).reshape(-1, *grid.shape[:2])
        away = np.moveaxis(away, 0, -1)
        points = np.broadcast_to(grid[:, :, None, :], (*away.shape, 2))
        return add(points, away, -1, -1.0)

    near_grid, far_grid = extrude(near), extrude(far)
    faces = []
    for i in range(n_phi):
        for j in range((near.shape[1] - 1) // 2):
            in_box = first_box <= 2 * j < last_box
            for k in range(count):
                if not (in_box and k == 0):
                    blocks.append(brick(near_grid, i, j, k))
            if 2 * j < first_box:
                faces.append(near_grid[2 * i : 2 * i + 3, 2 * j : 2 * j + 3, 0].reshape(9))
    for i in range(corner // 2):
        for j in range(fine.far):
            blocks += [brick(far_grid, i, j, k) for k in range(count)]
    rim = [far_grid[2 * i : 2 * i + 3, -1, 2 * k : 2 * k + 3].reshape(9) for i in range(corner // 2) for k in range(count)]
    plain = len(blocks)

    # Web: polar inside, the half box outside. From the crack face (-d) over the top to the ligament (+d).
    side = np.linspace(0.0, 1.0, 2 * fine.sides + 1)
    top = np.linspace(-1.0, 1.0, 2 * fine.top + 1)
    square = np.concatenate(
        [
            np.stack([-np.ones_like(side), side], axis=1)[:-1],
            np.stack([top, np.ones_like(top)], axis=1),
            np.stack([np.ones_like(side), side[::-1]], axis=1)[1:],
        ]
    )
    turn = np.pi * (1.0 - np.linspace(0.0, 1.0, len(square)))
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    rings = halves(fine.rings)
    rings[1] = rings[2] / 4.0
    web = np.stack([s * ((1 - s**2) * circle + s**2 * square) for s in rings])
    web[0] = 0.0
    web[-1] = square
    web = box * np.moveaxis(web, 0, 1)  # (turn, ring, 2)
    points = point[:, None, None, :] + web[None, :, :, :1] * normal[:, None, None, :]
    away = np.broadcast_to(web[None, :, :, 1], points.shape[:3])
    web_grid = add(
        points, away, np.arange(len(phi))[:, None, None], np.broadcast_to(rings[None, None, :], away.shape)
    )
    for i in range(n_phi):
        for j in range((len(square) - 1) // 2):
            for k in range(len(fine.rings) - 1):
                # Turned so that the Jacobian is positive like that of the other blocks.
                blocks.append(web_grid[2 * i : 2 * i + 3, 2 * j : 2 * j + 3, 2 * k : 2 * k + 3].transpose(0, 1, 2).reshape(27))
        for k in range(len(fine.rings) - 1):
            faces.append(web_grid[2 * i : 2 * i + 3, 0, 2 * k : 2 * k + 3].reshape(9))

    coordinates, plane = np.concatenate(coordinates), np.concatenate(plane)
    station, depth = np.concatenate(station), np.concatenate(depth)
    used = np.unique(np.concatenate([np.concatenate(blocks), np.concatenate(faces)]))
    # Nodes at the same place are one node. The smallest distance of two nodes is far above the grain.
    grain = 1e-6 * box
    key = np.round(coordinates[used] / grain).astype(np.int64)
    _, chosen, number = np.unique(key, axis=0, return_index=True, return_inverse=True)
    renumber = np.full(len(coordinates), -1)
    renumber[used] = number.reshape(-1)
    place = used[chosen]
    merged_station, merged_depth = np.full(len(place), -1), np.full(len(place), -1.0)
    in_web = station >= 0
    merged_station[renumber[in_web]] = station[in_web]
    merged_depth[renumber[in_web]] = depth[in_web]
    elements = renumber[np.array(blocks)]
    return Mesh(
        nodes=coordinates[place],
        plane=plane[place],
        elements=elements,
        web=np.arange(len(elements)) >= plain,
        faces=renumber[np.array(faces)],
        rim=renumber[np.array(rim)],
        front=renumber[web_grid[:, 0, 0]],
        normal=normal,
        angles=np.degrees(phi),
        station=merged_station,
        reach=merged_depth,
    )
