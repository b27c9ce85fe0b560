//! A mesh as a `.vtu` file: points and cells, nothing else.
//!
//! The node order of the mesh, corners then mid-sides, is that of the format.

use crate::mesh::grid_file::{CellKind, Cells, grid_file};
use crate::mesh::topology::Mesh;

/// The bytes of a `.vtu` file of `mesh`; `scale` is the length of the file's unit in mm.
#[must_use]
pub fn vtu(mesh: &Mesh, scale: f64) -> Vec<u8> {
    let points: Vec<f64> =
        mesh.nodes.iter().flat_map(|at| [at[0] / scale, at[1] / scale, 0.0]).collect();
    grid_file(&points, &cells(mesh), &[])
}

/// The elements of `mesh`, quadrilaterals first.
#[must_use]
pub fn cells(mesh: &Mesh) -> Cells {
    let mut cells = Cells::default();
    mesh.quads.iter().for_each(|nodes| cells.add(nodes, CellKind::QuadraticQuad));
    mesh.triangles.iter().for_each(|nodes| cells.add(nodes, CellKind::QuadraticTriangle));
    cells
}
