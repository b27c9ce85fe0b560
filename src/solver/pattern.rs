//! The sparsity pattern of the tangent and the way of every element block into it.
//!
//! Both are found once for a mesh. The matrix is symmetric and only its lower triangle
//! is kept, in compressed columns of `nalgebra-sparse`, whose arrays the factorization
//! reads as they are. Degree of freedom `2·node + axis`.
//!
//! Floor 3, `solver`.

use nalgebra_sparse::CscMatrix;
use nalgebra_sparse::pattern::SparsityPattern;

use crate::element::kernel::ElementSystem;
use crate::mesh::topology::{Mesh, NodeId};

/// Marks the entry above the diagonal of a node's own block, which is not stored.
const SKIPPED: u32 = u32::MAX;

/// The tangent's lower triangle and the scatter map of every element.
#[derive(Clone, Debug)]
pub struct Pattern {
    matrix: CscMatrix<f64>,
    /// For each quadrilateral, blocks `(a, b ≤ a)` row by row, four entries each.
    quad_targets: Vec<[u32; 144]>,
    /// The same for each triangle.
    triangle_targets: Vec<[u32; 84]>,
}

impl Pattern {
    /// Finds pattern and scatter map of `mesh`.
    ///
    /// # Panics
    ///
    /// When the matrix would have more than 2³² entries: far beyond the memory of the
    /// meshes this program makes.
    #[must_use]
    pub fn new(mesh: &Mesh) -> Self {
        let columns = node_columns(mesh);
        let unknowns = 2 * mesh.nodes.len();
        let mut offsets = Vec::with_capacity(unknowns + 1);
        let mut rows = Vec::new();
        offsets.push(0);
        for (node, below) in columns.iter().enumerate() {
            for axis in 0..2 {
                for &other in below {
                    if other == node && axis == 1 {
                        rows.push(2 * node + 1);
                    } else {
                        rows.extend([2 * other, 2 * other + 1]);
                    }
                }
                offsets.push(rows.len());
            }
        }
        assert!(rows.len() < SKIPPED as usize, "the matrix has more than 2³² entries");
        let find = |row: usize, column: usize| -> u32 {
            let range = offsets[column]..offsets[column + 1];
            let place = rows[range.clone()].binary_search(&row).map(|k| range.start + k);
            u32::try_from(place.expect("every block of an element is in the pattern"))
                .expect("checked against 2³² above")
        };
        let quad_targets = mesh.quads.iter().map(|nodes| targets(nodes, &find)).collect();
        let triangle_targets = mesh.triangles.iter().map(|nodes| targets(nodes, &find)).collect();
        let entries = rows.len();
        let pattern =
            SparsityPattern::try_from_offsets_and_indices(unknowns, unknowns, offsets, rows)
                .expect("columns are sorted and inside the matrix by construction");
        let matrix = CscMatrix::try_from_pattern_and_values(pattern, vec![0.0; entries])
            .expect("one value an entry");
        Self { matrix, quad_targets, triangle_targets }
    }

    /// The matrix: lower triangle, current values.
    #[must_use]
    pub fn matrix(&self) -> &CscMatrix<f64> {
        &self.matrix
    }

    /// Column offsets, row indices and values of the lower triangle.
    pub fn columns_mut(&mut self) -> (&[usize], &[usize], &mut [f64]) {
        self.matrix.csc_data_mut()
    }

    /// Sets every value to zero.
    pub fn clear(&mut self) {
        self.matrix.values_mut().fill(0.0);
    }

    /// Adds the stiffness of quadrilateral `index`.
    pub fn add_quad(&mut self, index: usize, system: &ElementSystem<8>) {
        add(self.matrix.values_mut(), &self.quad_targets[index], system);
    }

    /// Adds the stiffness of triangle `index`.
    pub fn add_triangle(&mut self, index: usize, system: &ElementSystem<6>) {
        add(self.matrix.values_mut(), &self.triangle_targets[index], system);
    }
}

/// For every node, itself and the higher nodes it shares an element with, rising.
fn node_columns(mesh: &Mesh) -> Vec<Vec<NodeId>> {
    let mut columns: Vec<Vec<NodeId>> = vec![Vec::new(); mesh.nodes.len()];
    let mut couple = |nodes: &[NodeId]| {
        for &low in nodes {
            columns[low].extend(nodes.iter().copied().filter(|&high| high >= low));
        }
    };
    mesh.quads.iter().for_each(|nodes| couple(nodes));
    mesh.triangles.iter().for_each(|nodes| couple(nodes));
    for column in &mut columns {
        column.sort_unstable();
        column.dedup();
    }
    columns
}

fn targets<const N: usize, const T: usize>(
    nodes: &[NodeId; N],
    find: &impl Fn(usize, usize) -> u32,
) -> [u32; T] {
    let mut targets = [SKIPPED; T];
    let mut next = 0;
    for a in 0..N {
        for b in 0..=a {
            for (i, j) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                let (row, column) = (2 * nodes[a] + i, 2 * nodes[b] + j);
                // The block of a node with itself is symmetric: its upper entry is skipped.
                if !(a == b && j > i) {
                    targets[next] = find(row.max(column), row.min(column));
                }
                next += 1;
            }
        }
    }
    targets
}

fn add<const N: usize, const T: usize>(
    values: &mut [f64],
    targets: &[u32; T],
    system: &ElementSystem<N>,
) {
    let mut next = 0;
    for a in 0..N {
        for b in 0..=a {
            for value in system.stiffness[a][b] {
                let target = targets[next];
                if target != SKIPPED {
                    values[target as usize] += value;
                }
                next += 1;
            }
        }
    }
}
