"""encodings/*.vtu: one small mesh in every encoding of two writers, and a field on it."""

import meshio
import numpy as np
import vtk
from vtk.util.numpy_support import numpy_to_vtk

from shapes import o_grid

points, cells = o_grid(12.0, 10.0, (6.0, 5.0), 1.0, first=0.2, ratio=1.6, sectors=20)
points = np.c_[points, np.zeros(len(points))]
warmth = np.hypot(points[:, 0], points[:, 1])

mesh = meshio.Mesh(points, [("quad", cells)], point_data={"warmth": warmth})
mesh.write("encodings/meshio-text.vtu", binary=False)
mesh.write("encodings/meshio-base64.vtu", binary=True, compression=None)
mesh.write("encodings/meshio-base64-zlib.vtu", binary=True, compression="zlib")

for name, mode, raw, packed, size, big, single in [
    ("text", "ascii", False, False, 32, False, False),
    ("base64", "binary", False, False, 32, False, False),
    ("base64-sizes8", "binary", False, False, 64, False, True),
    ("base64-zlib", "binary", False, True, 32, False, False),
    ("base64-big-endian", "binary", False, False, 32, True, False),
    ("appended-base64", "appended", False, False, 64, False, False),
    ("appended-base64-zlib", "appended", False, True, 64, False, False),
    ("appended-raw", "appended", True, False, 32, False, False),
    ("appended-raw-sizes8", "appended", True, False, 64, False, True),
    ("appended-raw-zlib-big-endian", "appended", True, True, 64, True, False),
    ("appended-raw-lz4", "appended", True, "lz4", 64, False, False),
]:
    grid = vtk.vtkUnstructuredGrid()
    spots = vtk.vtkPoints()
    if single:
        spots.SetDataTypeToFloat()
    else:
        spots.SetDataTypeToDouble()
    values = points.astype(np.float32) if single else points
    spots.SetData(numpy_to_vtk(values, deep=True))
    grid.SetPoints(spots)
    grid.Allocate(len(cells))
    for cell in cells:
        grid.InsertNextCell(vtk.VTK_QUAD, 4, list(cell))
    field = numpy_to_vtk(warmth, deep=True)
    field.SetName("warmth")
    grid.GetPointData().AddArray(field)
    writer = vtk.vtkXMLUnstructuredGridWriter()
    writer.SetFileName(f"encodings/vtk-{name}.vtu")
    writer.SetInputData(grid)
    {"ascii": writer.SetDataModeToAscii, "binary": writer.SetDataModeToBinary,
     "appended": writer.SetDataModeToAppended}[mode]()
    (writer.EncodeAppendedDataOff if raw else writer.EncodeAppendedDataOn)()
    if packed == "lz4":
        writer.SetCompressorTypeToLZ4()
    elif packed:
        writer.SetCompressorTypeToZLib()
    else:
        writer.SetCompressorTypeToNone()
    (writer.SetHeaderTypeToUInt64 if size == 64 else writer.SetHeaderTypeToUInt32)()
    (writer.SetByteOrderToBigEndian if big else writer.SetByteOrderToLittleEndian)()
    writer.SetBlockSize(1024)
    writer.Write()
