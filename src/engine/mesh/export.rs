//! A mesh as a `.vtu` file: points, cells, and the thickness of every cell where there are several.
//!
//! The node order of the mesh, corners then mid-sides, is that of the format.

use crate::mesh::grid_file::{CellKind, Cells, FieldArray, Numbers, grid_file};
use crate::mesh::topology::Mesh;

/// The bytes of a `.vtu` file of `mesh`, of a plate of `thickness` (mm); `scale` is the length of the
/// file's unit in mm.
#[must_use]
pub fn vtu(mesh: &Mesh, thickness: f64, scale: f64) -> Vec<u8> {
    let points: Vec<f64> =
        mesh.nodes.iter().flat_map(|at| [at[0] / scale, at[1] / scale, 0.0]).collect();
    let regions: Vec<u8> = (0..mesh.element_count()).map(|at| mesh.region_of(at)).collect();
    let relative = |region: u8| mesh.regions.thickness_of(region);
    let stepped = regions.iter().any(|&region| (relative(region) - 1.0).abs() > f64::EPSILON);
    let of_cells = stepped.then(|| FieldArray {
        name: "thickness".to_owned(),
        components: 1,
        numbers: Numbers::Float(
            regions.iter().map(|&region| relative(region) * thickness / scale).collect(),
        ),
    });
    grid_file(&points, &cells(mesh), [&[], of_cells.as_slice()])
}

/// The elements of `mesh`, quadrilaterals first.
#[must_use]
pub fn cells(mesh: &Mesh) -> Cells {
    let mut cells = Cells::default();
    mesh.quads.iter().for_each(|nodes| cells.add(nodes, CellKind::QuadraticQuad));
    mesh.triangles.iter().for_each(|nodes| cells.add(nodes, CellKind::QuadraticTriangle));
    cells
}
