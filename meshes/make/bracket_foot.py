"""bracket-foot.vtu: linear quadrilaterals round one hole, base 64 through meshio."""

import meshio
import numpy as np

from shapes import o_grid

points, cells = o_grid(60.0, 60.0, (12.0, 30.0), 2.85, first=0.0125, ratio=1.12, sectors=80,
                       widest=0.25)
points = np.c_[points, np.zeros(len(points))]
meshio.Mesh(points, [("quad", cells.astype(np.int32))]).write(
    "bracket-foot.vtu", binary=True, compression=None
)
print(len(points), "points", len(cells), "cells")
