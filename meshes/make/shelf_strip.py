"""shelf-strip.vtu: linear triangles round two holes, as text through meshio."""

import meshio
import numpy as np

from shapes import circle, graded, scatter, smooth

WIDTH, HEIGHT = 50.0, 30.0
HOLES = [(np.array([15.0, 15.0]), 2.5), (np.array([33.0, 14.0]), 3.0)]
AROUND = 60

rings, ends = [], []
for centre, radius in HOLES:
    depths = graded(0.04 * radius, 1.25, 1.0 * radius)
    for number, depth in enumerate(depths):
        # Every other ring is turned by half a step, so that triangles are even.
        turn = (number % 2) * np.pi / AROUND
        angles = np.linspace(0, 2 * np.pi, AROUND, endpoint=False) + turn
        rings.append(circle(centre, radius + depth, angles))
    ends.append((centre, radius + depths[-1]))
size = 2 * np.pi * ends[0][1] / AROUND
border, free, _ = scatter(WIDTH, HEIGHT, ends, 3.0, 1.3 * size, 0.2)
fixed = np.vstack(rings + [border])


def inside(at):
    return np.all([np.hypot(*(at - centre).T) > radius for centre, radius in HOLES], axis=0)


points, cells = smooth(np.vstack([fixed, free]), len(fixed), inside)
points = np.c_[points.round(9), np.zeros(len(points))]
meshio.Mesh(points, [("triangle", cells)]).write("shelf-strip.vtu", binary=False)
print(len(points), "points", len(cells), "cells")
