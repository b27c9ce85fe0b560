"""Reads files that hoopset wrote with two other libraries and compares what they find.
Usage: python make/read_back.py FILE.vtu ..."""

import sys

import meshio
import numpy as np
import vtk
from vtk.util.numpy_support import vtk_to_numpy

for name in sys.argv[1:]:
    mesh = meshio.read(name)
    reader = vtk.vtkXMLUnstructuredGridReader()
    reader.SetFileName(name)
    reader.Update()
    grid = reader.GetOutput()
    points = vtk_to_numpy(grid.GetPoints().GetData())
    assert np.array_equal(points, mesh.points)
    assert grid.GetNumberOfCells() == sum(len(block.data) for block in mesh.cells)
    area = 0.0
    for block in mesh.cells:
        sides = {"quad8": 4, "triangle6": 3}[block.type]
        corners = mesh.points[block.data[:, :sides], :2]
        ahead = np.roll(corners, -1, axis=1)
        area += 0.5 * np.sum(corners[..., 0] * ahead[..., 1] - corners[..., 1] * ahead[..., 0])
    arrays = grid.GetPointData().GetNumberOfArrays()
    assert arrays == len(mesh.point_data)
    print(f"{name}: {len(points)} points, {grid.GetNumberOfCells()} cells, {arrays} fields, "
          f"area within corners {area:.3f}")
