//! The sparsity pattern of the tangent and where every value of it comes from.
//!
//! Both are found once for a mesh. The matrix is symmetric and only its lower triangle
//! is kept, in compressed columns of `nalgebra-sparse`, whose arrays the factorization
//! reads as they are. Degree of freedom `2·node + axis`.
//!
//! Values are *gathered*: every pair of coupled nodes knows the element blocks that add up to it,
//! so threads share out the columns and no two of them write the same value.

use nalgebra_sparse::CscMatrix;
use nalgebra_sparse::pattern::SparsityPattern;

use crate::element::kernel::block_count;
use crate::mesh::topology::{Mesh, NodeId};

/// Nodes whose columns one task gathers: a fraction of a millisecond.
const TASK: usize = 256;

/// Marks a pair of nodes that no element couples.
const NO_SOURCE: u32 = u32::MAX;

/// The tangent's lower triangle and the sources of its values.
#[derive(Clone, Debug)]
pub struct Pattern {
    matrix: CscMatrix<f64>,
    /// First pair of every node, and the number of pairs.
    node_start: Vec<u32>,
    /// First source of every pair, and the number of sources.
    pair_start: Vec<u32>,
    /// Twice the number of an element block, plus one when it is the transpose that counts.
    sources: Vec<u32>,
}

impl Default for Pattern {
    /// Of no unknowns.
    fn default() -> Self {
        Self {
            matrix: CscMatrix::zeros(0, 0),
            node_start: vec![0],
            pair_start: vec![0],
            sources: Vec::new(),
        }
    }
}

impl Pattern {
    /// Finds pattern and sources of `mesh`. Blocks are numbered through: those of the
    /// quadrilaterals, then those of the triangles, in the order of
    /// [`block`](crate::element::kernel::block), then those of the layers under sheets, in the order of their
    /// overlaps.
    ///
    /// # Panics
    ///
    /// When the matrix would have more than 2³¹ entries: far beyond the memory of the
    /// meshes this program makes.
    #[must_use]
    pub fn new(mesh: &Mesh) -> Self {
        let nodes = mesh.nodes.len();
        let mut found = Vec::new();
        let mut first = 0;
        for element in &mesh.quads {
            couple(element, &mut first, &mut found);
        }
        for element in &mesh.triangles {
            couple(element, &mut first, &mut found);
        }
        for (high, low, _) in mesh.sheets.iter().flat_map(|sheet| &sheet.overlap) {
            found.push((small(*low), small(*high), small(2 * first)));
            first += 1;
        }
        // Bodies in contact are coupled by no element.
        for &[a, b] in mesh.matings.iter().flat_map(|mating| &mating.pairs) {
            found.push((small(a.min(b)), small(a.max(b)), NO_SOURCE));
        }
        for &[a, b] in &mesh.couplings {
            found.push((small(a.min(b)), small(a.max(b)), NO_SOURCE));
        }
        let (node_start, mut coupled) = by_column(nodes, &found);
        drop(found);
        let mut pairs = vec![0];
        let mut pair_start = Vec::new();
        let mut sources = Vec::with_capacity(coupled.len());
        let (mut offsets, mut rows) = (vec![0], Vec::new());
        for node in 0..nodes {
            let column = &mut coupled[node_start[node]..node_start[node + 1]];
            column.sort_unstable();
            let from = pair_start.len();
            let mut others: Vec<u32> = Vec::new();
            for &(row, source) in &*column {
                if others.last() != Some(&row) {
                    others.push(row);
                    pair_start.push(small(sources.len()));
                }
                if source != NO_SOURCE {
                    sources.push(source);
                }
            }
            debug_assert_eq!(others.first(), Some(&small(node)), "a node couples to itself first");
            for axis in 0..2 {
                let own = 2 * node + axis;
                let lower = others.iter().flat_map(|&row| [2 * row as usize, 2 * row as usize + 1]);
                rows.extend(lower.filter(|&row| row >= own));
                offsets.push(rows.len());
            }
            pairs.push(small(from + others.len()));
        }
        pair_start.push(small(sources.len()));
        let entries = rows.len();
        let pattern =
            SparsityPattern::try_from_offsets_and_indices(2 * nodes, 2 * nodes, offsets, rows)
                .expect("columns are sorted and inside the matrix by construction");
        let matrix = CscMatrix::try_from_pattern_and_values(pattern, vec![0.0; entries])
            .expect("one value an entry");
        Self { matrix, node_start: pairs, pair_start, sources }
    }

    /// The matrix: lower triangle, current values.
    #[must_use]
    pub fn matrix(&self) -> &CscMatrix<f64> {
        &self.matrix
    }

    /// Column offsets, row indices and values of the lower triangle.
    pub(crate) fn columns_mut(&mut self) -> (&[usize], &[usize], &mut [f64]) {
        self.matrix.csc_data_mut()
    }

    /// Adds a stiffness between the degrees of freedom `a` and `b`, which are coupled, or on the diagonal
    /// where they are one.
    pub(crate) fn add(&mut self, a: usize, b: usize, value: f64) {
        let (row, column) = (a.max(b), a.min(b));
        let (offsets, rows, values) = self.matrix.csc_data_mut();
        let own = offsets[column]..offsets[column + 1];
        let place = rows[own.clone()].partition_point(|&other| other < row);
        debug_assert_eq!(rows.get(own.start + place), Some(&row), "they are coupled");
        values[own.start + place] += value;
    }

    /// Sets every value to the sum of the blocks it comes from: those of the quadrilaterals and, numbered
    /// on from them, of the triangles and of the layers under sheets.
    pub(crate) fn gather(&mut self, blocks: [&[[f64; 4]]; 3]) {
        let Self { matrix, node_start, pair_start, sources } = self;
        let (offsets, _, values) = matrix.csc_data_mut();
        let sources = Sources { offsets, node_start, pair_start, list: sources, blocks };
        sources.gather(0, node_start.len() - 1, values);
    }
}

/// Where values come from.
#[derive(Clone, Copy)]
struct Sources<'a> {
    offsets: &'a [usize],
    node_start: &'a [u32],
    pair_start: &'a [u32],
    list: &'a [u32],
    blocks: [&'a [[f64; 4]]; 3],
}

impl Sources<'_> {
    /// Fills the columns of the nodes `from..to`, whose values are `values`.
    fn gather(self, from: usize, to: usize, values: &mut [f64]) {
        if to - from > TASK {
            let middle = from.midpoint(to);
            let split = self.offsets[2 * middle] - self.offsets[2 * from];
            let (low, high) = values.split_at_mut(split);
            rayon::join(|| self.gather(from, middle, low), || self.gather(middle, to, high));
            return;
        }
        let mut rest = values;
        for node in from..to {
            let pairs = self.node_start[node] as usize..self.node_start[node + 1] as usize;
            // The column of y has all rows of the column of x but the first.
            let size = 2 * pairs.len();
            let (columns, others) = rest.split_at_mut(2 * size - 1);
            let (of_x, of_y) = columns.split_at_mut(size);
            for (k, pair) in pairs.enumerate() {
                let [xx, xy, yx, yy] = self.sum(pair);
                (of_x[2 * k], of_x[2 * k + 1]) = (xx, yx);
                if k > 0 {
                    of_y[2 * k - 1] = xy;
                }
                of_y[2 * k] = yy;
            }
            rest = others;
        }
    }

    /// Sum of the blocks of a pair, the row of the higher node first.
    fn sum(self, pair: usize) -> [f64; 4] {
        let mut sum = [0.0; 4];
        let range = self.pair_start[pair] as usize..self.pair_start[pair + 1] as usize;
        for &source in &self.list[range] {
            let index = (source >> 1) as usize;
            let [quads, triangles, layers] = self.blocks;
            let block = match index.checked_sub(quads.len()) {
                None => quads[index],
                Some(rest) => match rest.checked_sub(triangles.len()) {
                    None => triangles[rest],
                    Some(rest) => layers[rest],
                },
            };
            let [xx, xy, yx, yy] = block;
            let add = if source & 1 == 0 { block } else { [xx, yx, xy, yy] };
            for (sum, add) in sum.iter_mut().zip(add) {
                *sum += add;
            }
        }
        sum
    }
}

/// Adds the pairs of one element, whose first block has the number `first`: lower node, higher
/// node, source.
fn couple(nodes: &[NodeId], first: &mut usize, found: &mut Vec<(u32, u32, u32)>) {
    let mut index = *first;
    for (a, &node) in nodes.iter().enumerate() {
        for &other in &nodes[..=a] {
            let turned = node < other;
            found.push((
                small(node.min(other)),
                small(node.max(other)),
                small(2 * index + usize::from(turned)),
            ));
            index += 1;
        }
    }
    *first += block_count(nodes.len());
}

/// Sorts pairs by their lower node: where each node starts, then higher node and source.
fn by_column(nodes: usize, found: &[(u32, u32, u32)]) -> (Vec<usize>, Vec<(u32, u32)>) {
    let mut start = vec![0; nodes + 1];
    for &(column, ..) in found {
        start[column as usize + 1] += 1;
    }
    for node in 0..nodes {
        start[node + 1] += start[node];
    }
    let mut next = start.clone();
    let mut sorted = vec![(0, 0); found.len()];
    for &(column, row, source) in found {
        let at = &mut next[column as usize];
        sorted[*at] = (row, source);
        *at += 1;
    }
    (start, sorted)
}

fn small(index: usize) -> u32 {
    u32::try_from(index).expect("the matrix has fewer than 2³¹ entries")
}
