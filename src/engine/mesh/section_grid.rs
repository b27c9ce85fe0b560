//! Rows and columns of a section: where their nodes lie, and what spotfaces took of them.
//!
//! ```text
//!              void ┌──────┬──────┐ entry face
//!                   ├──────┼──────┤ rows of the recess
//!      ┌─┬──┬───┬───┼──────┼──────┤ floor
//!  bore│ │  │   │   │      │      │ rim
//!      └─┴──┴───┴───┴──────┴──────┘ exit face
//! ```
//!
//! Half columns and half rows count borders and middles in turn: `i` from the bore outward, `j` from the entry face
//! down. The columns are numbered like the ring lines round a hole of a plate: [`HoleMesh::layers`]
//! counts columns from the bore outward, [`HoleMesh::sectors`] the rows that reach the bore, from the entry face down,
//! and the edge of the hole is the bore. Quads beside a recess come after those rows.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::mesh::topology::{HoleMesh, Mesh, NamedEdge, NodeId};

/// Columns and rows at the corner of bore and face that are no metal any more.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Recess {
    /// Columns, from the bore.
    pub columns: usize,
    /// Rows, from the face.
    pub rows: usize,
}

/// A section laid out in columns and rows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionGrid {
    columns: usize,
    rows: usize,
    /// Radius and depth, mm, by half column, then half row; in a recess they mean nothing.
    places: Vec<[f64; 2]>,
    /// At the entry face and at the exit face.
    recesses: [Recess; 2],
}

impl SectionGrid {
    /// The grid of `columns` and `rows` whose half columns and half rows meet where `place` says, radius and depth
    /// in mm.
    ///
    /// # Panics
    ///
    /// When there is no column, or no row between the recesses.
    #[must_use]
    pub fn new(
        [columns, rows]: [usize; 2],
        recesses: [Recess; 2],
        place: impl Fn(usize, usize) -> [f64; 2],
    ) -> Self {
        let taken = recesses[0].rows + recesses[1].rows;
        assert!(columns > 0 && rows > taken, "a section has an extent");
        let lattice = (0..=2 * columns).flat_map(|i| (0..=2 * rows).map(move |j| (i, j)));
        let places = lattice.map(|(i, j)| place(i, j)).collect();
        Self { columns, rows, places, recesses }
    }

    /// Straight columns at `radii` and rows at `depths`, mm, both rising.
    ///
    /// # Panics
    ///
    /// With fewer than two radii or depths.
    #[must_use]
    pub fn straight(radii: &[f64], depths: &[f64]) -> Self {
        assert!(radii.len() > 1 && depths.len() > 1, "a section has an extent");
        let size = [radii.len() - 1, depths.len() - 1];
        Self::new(size, <[Recess; 2]>::default(), |i, j| [between(radii, i), between(depths, j)])
    }

    /// Columns and rows, those of recesses included.
    #[must_use]
    pub fn size(&self) -> [usize; 2] {
        [self.columns, self.rows]
    }

    /// Recesses at the entry face and at the exit face.
    #[must_use]
    pub fn recesses(&self) -> [Recess; 2] {
        self.recesses
    }

    /// Radius and depth of half column `i` and half row `j`, mm.
    #[must_use]
    pub fn place(&self, i: usize, j: usize) -> [f64; 2] {
        self.places[i * (2 * self.rows + 1) + j]
    }

    /// Rows that reach the bore.
    #[must_use]
    pub fn bore_rows(&self) -> Range<usize> {
        self.recesses[0].rows..self.rows - self.recesses[1].rows
    }

    /// Depth of half row `j` at radius `r`, mm.
    #[must_use]
    pub fn depth_at(&self, j: usize, r: f64) -> f64 {
        let after = (1..2 * self.columns).find(|&i| self.place(i, j)[0] >= r);
        let after = after.unwrap_or(2 * self.columns);
        let ([r0, z0], [r1, z1]) = (self.place(after - 1, j), self.place(after, j));
        // Rows are straight wherever no floor was cut; there nothing is divided.
        if z0.total_cmp(&z1).is_eq() { z0 } else { z0 + (z1 - z0) * (r - r0) / (r1 - r0) }
    }

    /// Whether half column `i` and half row `j` meet in a recess, off its floor and wall.
    fn is_void(&self, i: usize, j: usize) -> bool {
        let [entry, exit] = self.recesses;
        (i < 2 * entry.columns && j < 2 * entry.rows)
            || (i < 2 * exit.columns && j > 2 * (self.rows - exit.rows))
    }

    /// The mesh. Its edges are `rim`, and `entry` and `exit`, floors of recesses included; the bore is the edge of
    /// its one hole, from the entry face down.
    #[must_use]
    pub fn mesh(&self) -> Mesh {
        let Self { columns, rows, recesses: [above, below], .. } = *self;
        let mut mesh = Mesh::default();
        // There is none in the middle of a quad.
        let mut numbers = vec![vec![usize::MAX; 2 * rows + 1]; 2 * columns + 1];
        for (i, column) in numbers.iter_mut().enumerate() {
            for (j, number) in column.iter_mut().enumerate() {
                if (i % 2 == 0 || j % 2 == 0) && !self.is_void(i, j) {
                    *number = mesh.nodes.len();
                    mesh.nodes.push(self.place(i, j));
                }
            }
        }
        let through = self.bore_rows();
        let block = (0..columns).flat_map(|column| through.clone().map(move |row| (column, row)));
        let over = (above.columns..columns).flat_map(|c| (0..above.rows).map(move |r| (c, r)));
        let under =
            (below.columns..columns).flat_map(|c| (rows - below.rows..rows).map(move |r| (c, r)));
        for (column, row) in block.chain(over).chain(under) {
            let (i, j) = (2 * column, 2 * row);
            let places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)];
            mesh.quads.push(places.map(|(di, dj)| numbers[i + di][j + dj]));
        }
        // Material on the left, with r to the right and z up.
        let across = |column: usize, j: usize| [0, 1, 2].map(|k| numbers[2 * column + k][j]);
        let entry = (0..columns)
            .map(|column| across(column, if column < above.columns { 2 * above.rows } else { 0 }));
        let exit = (0..columns).rev().map(|column| {
            let taken = if column < below.columns { below.rows } else { 0 };
            let [a, b, c] = across(column, 2 * (rows - taken));
            [c, b, a]
        });
        let rim = (0..rows).map(|row| [0, 1, 2].map(|k| numbers[2 * columns][2 * row + k]));
        let named =
            |name: &str, sides: Vec<[NodeId; 3]>| NamedEdge { name: name.to_owned(), sides };
        mesh.edges = vec![
            named("entry", entry.collect()),
            named("rim", rim.collect()),
            named("exit", exit.collect()),
        ];
        mesh.holes = vec![HoleMesh {
            edge: numbers[0][2 * through.start..=2 * through.end].to_vec(),
            closed: false,
            first_quad: 0,
            sectors: through.len(),
            layers: columns,
            ream_layers: None,
        }];
        mesh
    }
}

/// The line of a border, or half-way between two.
#[must_use]
pub(crate) fn between(lines: &[f64], half: usize) -> f64 {
    let k = half / 2;
    if half.is_multiple_of(2) { lines[k] } else { 0.5 * (lines[k] + lines[k + 1]) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    #[test]
    fn what_recesses_take_is_no_metal() {
        let radii = [1.0, 1.5, 2.0, 3.0];
        let depths = [0.0, 0.2, 0.6, 1.0, 1.1];
        let plain = SectionGrid::straight(&radii, &depths);
        let recesses = [Recess { columns: 2, rows: 1 }, Recess { columns: 1, rows: 1 }];
        let grid = SectionGrid::new([3, 4], recesses, |i, j| plain.place(i, j));
        let mesh = grid.mesh();
        assert_eq!(mesh.quads.len(), 3 * 2 + 1 + 2);
        // Rings of rectangular section (Pappus).
        let ring = |quad: &[NodeId; 8]| {
            let ([r0, z0], [r1, z1]) = (mesh.nodes[quad[0]], mesh.nodes[quad[2]]);
            PI * (r1 * r1 - r0 * r0) * (z1 - z0)
        };
        let volume: f64 = mesh.quads.iter().map(ring).sum();
        let whole = PI * 8.0 * 1.1;
        let taken = PI * (3.0 * 0.2 + (1.5_f64.powi(2) - 1.0) * 0.1);
        assert_relative_eq!(volume, whole - taken, max_relative = 1e-12);
        let bore = &mesh.holes[0];
        assert_eq!([bore.sectors, bore.layers, bore.edge.len()], [2, 3, 5]);
        let ends = [bore.edge[0], bore.edge[4]].map(|node| mesh.nodes[node]);
        assert_eq!(ends, [[1.0, 0.2], [1.0, 1.0]]);
        // Every node belongs to a quad.
        let mut used = vec![false; mesh.nodes.len()];
        mesh.quads.iter().flatten().for_each(|&node| used[node] = true);
        assert!(used.into_iter().all(|used| used));
        let floor = &mesh.edge("entry").expect("a section has it").sides;
        assert_eq!(floor.len(), 3);
        assert_relative_eq!(mesh.nodes[floor[1][2]][1], 0.2);
        assert_relative_eq!(mesh.nodes[floor[2][0]][1], 0.0);
    }
}
