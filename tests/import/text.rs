//! Mesh files as text, small enough to read.

use std::fmt::Write;

/// A `.vtu` file as text: points in a plane, cells as their type and points.
pub(crate) fn vtu(points: &[[f64; 2]], cells: &[(u8, Vec<usize>)]) -> String {
    vtu_in_space(&points.iter().map(|&[x, y]| [x, y, 0.0]).collect::<Vec<_>>(), cells)
}

/// The same with points anywhere.
pub(crate) fn vtu_in_space(points: &[[f64; 3]], cells: &[(u8, Vec<usize>)]) -> String {
    let mut lines = [const { String::new() }; 4];
    for [x, y, z] in points {
        writeln!(lines[0], "{x:?} {y:?} {z:?}").unwrap();
    }
    let mut end = 0;
    for (kind, nodes) in cells {
        nodes.iter().for_each(|node| write!(lines[1], "{node} ").unwrap());
        end += nodes.len();
        write!(lines[2], "{end} ").unwrap();
        write!(lines[3], "{kind} ").unwrap();
    }
    let [points_text, connectivity, offsets, types] = lines;
    format!(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\">\n<UnstructuredGrid>\n\
         <Piece NumberOfPoints=\"{}\" NumberOfCells=\"{}\">\n<Points>\n\
         <DataArray type=\"Float64\" NumberOfComponents=\"3\" format=\"ascii\">\n{points_text}\
         </DataArray>\n</Points>\n<Cells>\n\
         <DataArray type=\"Int64\" Name=\"connectivity\" format=\"ascii\">{connectivity}</DataArray>\n\
         <DataArray type=\"Int64\" Name=\"offsets\" format=\"ascii\">{offsets}</DataArray>\n\
         <DataArray type=\"UInt8\" Name=\"types\" format=\"ascii\">{types}</DataArray>\n\
         </Cells>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>\n",
        points.len(),
        cells.len()
    )
}

/// Linear quadrilaterals round a hole of radius 1 at (5, 5) in a square of 10, on `sectors`
/// spokes (a multiple of 8) and the given radii; the last line is the square.
pub(crate) fn square_with_hole(
    sectors: usize,
    radii: &[f64],
) -> (Vec<[f64; 2]>, Vec<(u8, Vec<usize>)>) {
    let mut points = Vec::new();
    for line in 0..=radii.len() {
        for sector in 0..sectors {
            let angle = std::f64::consts::TAU * sector as f64 / sectors as f64;
            let (sine, cosine) = angle.sin_cos();
            let radius = radii.get(line).copied().unwrap_or(5.0 / cosine.abs().max(sine.abs()));
            let near = |x: f64| if (x - x.round()).abs() < 1e-12 { x.round() } else { x };
            points.push([near(5.0 + radius * cosine), near(5.0 + radius * sine)]);
        }
    }
    let mut cells = Vec::new();
    for line in 0..radii.len() {
        for sector in 0..sectors {
            let next = (sector + 1) % sectors;
            let at = |line: usize, sector: usize| line * sectors + sector;
            let nodes =
                vec![at(line, sector), at(line + 1, sector), at(line + 1, next), at(line, next)];
            cells.push((9, nodes));
        }
    }
    (points, cells)
}
