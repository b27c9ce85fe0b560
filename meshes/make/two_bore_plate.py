"""two-bore-plate.vtu: 8-node quadrilaterals round two holes and 6-node triangles between them;
appended raw data and 8-byte sizes, through VTK's own writer."""

import numpy as np
import vtk
from vtk.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray

from shapes import circle, graded, scatter, smooth

WIDTH, HEIGHT = 48.0, 32.0
HOLES = [(np.array([14.0, 16.0]), 2.5), (np.array([34.0, 16.0]), 2.5)]
SECTORS = 48

points, quads, last_lines, ends = [], [], [], []
for centre, radius in HOLES:
    depths = graded(0.025 * radius, 1.22, 1.3 * radius)
    angles = np.linspace(0, 2 * np.pi, 2 * SECTORS, endpoint=False)
    numbers = {}

    def node(line, j):
        """Number of the node on half line `line`, half sector `j`."""
        key = (line, j % (2 * SECTORS))
        if key not in numbers:
            depth = np.interp(0.5 * line, range(len(depths)), depths)
            points.append(circle(centre, radius + depth, angles[key[1]: key[1] + 1])[0])
            numbers[key] = len(points) - 1
        return numbers[key]

    for k in range(len(depths) - 1):
        for s in range(SECTORS):
            i, j = 2 * k, 2 * s
            quads.append([node(a, b) for a, b in (
                (i, j), (i + 2, j), (i + 2, j + 2), (i, j + 2),
                (i + 1, j), (i + 2, j + 1), (i + 1, j + 2), (i, j + 1))])
    outer = 2 * (len(depths) - 1)
    last_lines.append([node(outer, j) for j in range(2 * SECTORS)])
    ends.append((centre, radius + depths[-1]))

size = 2 * np.pi * ends[0][1] / SECTORS
border, free, _ = scatter(WIDTH, HEIGHT, ends, 3.0, 1.1 * size, 0.2)
corners = [number for line in last_lines for number in line[::2]]
plane = np.vstack([np.array(points)[corners], border, free])


def inside(at):
    # Chords of the last ring lie inside its circle: a triangle of three of its corners is out.
    return np.all([np.hypot(*(at - centre).T) > last * np.cos(np.pi / SECTORS)
                   for centre, last in ends], axis=0)


plane, cells = smooth(plane, len(corners) + len(border), inside)
ids = corners + [len(points) + k for k in range(len(plane) - len(corners))]
points = np.vstack([points, plane[len(corners):]])
middles = {}
for line in last_lines:
    for k in range(0, 2 * SECTORS, 2):
        middles[frozenset((line[k], line[(k + 2) % (2 * SECTORS)]))] = line[k + 1]
points, triangles = list(points), []
for cell in cells:
    a, b, c = (ids[k] for k in cell)
    sides = []
    for pair in ((a, b), (b, c), (c, a)):
        key = frozenset(pair)
        if key not in middles:
            points.append(0.5 * (points[pair[0]] + points[pair[1]]))
            middles[key] = len(points) - 1
        sides.append(middles[key])
    triangles.append([a, b, c, *sides])

grid = vtk.vtkUnstructuredGrid()
spots = vtk.vtkPoints()
spots.SetDataTypeToDouble()
spots.SetData(numpy_to_vtk(np.c_[np.array(points), np.zeros(len(points))], deep=True))
grid.SetPoints(spots)
grid.Allocate(len(quads) + len(triangles))
for kind, cells in ((vtk.VTK_QUADRATIC_TRIANGLE, triangles), (vtk.VTK_QUADRATIC_QUAD, quads)):
    for cell in cells:
        grid.InsertNextCell(kind, len(cell), cell)
writer = vtk.vtkXMLUnstructuredGridWriter()
writer.SetFileName("two-bore-plate.vtu")
writer.SetInputData(grid)
writer.SetDataModeToAppended()
writer.EncodeAppendedDataOff()
writer.SetCompressorTypeToNone()
writer.SetHeaderTypeToUInt64()
writer.Write()
print(len(points), "points", len(quads), "quadrilaterals", len(triangles), "triangles")
