//! The section of the metal round one hole: radius against depth, quadrilaterals in rows.
//!
//! ```text
//!   z = 0        entry face                       thin rows at both faces
//!      ┌─┬──┬───┬──────┬─────────┐
//!      ├─┼──┼───┼──────┼─────────┤
//!  bore│ │  │   │      │         │ rim             columns thin at the bore and outside
//!      ├─┼──┼───┼──────┼─────────┤                 the line where a ream is expected
//!      └─┴──┴───┴──────┴─────────┘
//!   z = t        exit face
//!      r = a                    r = b
//! ```
//!
//! Node positions are `[r, z]`, `z` is the depth below the entry face. The columns are numbered
//! like the ring lines round a hole of a plate: [`HoleMesh::layers`] counts columns from the bore
//! outward, [`HoleMesh::sectors`] rows from the entry face down, and the edge of the hole is the
//! bore.

use crate::mesh::grade::subdivide;
use crate::mesh::topology::{HoleMesh, Mesh, NamedEdge, NodeId};

/// Height of the row at a face over the thickness at fineness 1. Over the last hundredth of the
/// thickness the residual hoop stress at the bore changes by a fifth of the yield stress.
const FACE_ROW: f64 = 0.004;
/// Growth of the rows with the distance from the nearest face.
const ROW_GROWTH: f64 = 0.2;
/// Largest height of a row over the smaller of thickness and bore radius, in the middle.
const MIDDLE_ROW: f64 = 0.08;
/// Width of the column at the bore and outside the cut over the radius there. At the corners of the
/// faces the stress turns within a hundredth of the radius.
const FIRST_COLUMN: f64 = 0.004;
/// Growth of the columns with the distance from the bore.
const COLUMN_GROWTH: f64 = 0.25;

/// Requirements on a section mesh. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionPlan {
    /// Radius of the bore.
    pub inner: f64,
    /// Radius of the rim.
    pub outer: f64,
    /// Thickness of the part.
    pub thickness: f64,
    /// Drawn radius of the ring line where a ream is expected.
    pub cut: Option<f64>,
    /// Depths at which rows end, besides the faces, and are thin: ends of a countersink, edges of a
    /// band of pressure.
    pub depths: Vec<f64>,
    /// 1 is the default mesh; 2 halves every element size.
    pub fineness: f64,
}

impl SectionPlan {
    /// A plain ring at the default fineness.
    #[must_use]
    pub fn ring(inner: f64, outer: f64, thickness: f64) -> Self {
        Self { inner, outer, thickness, cut: None, depths: Vec::new(), fineness: 1.0 }
    }

    /// Radii of the columns' borders, and how many lie inside the cut.
    fn columns(&self) -> (Vec<f64>, Option<usize>) {
        let graded = |from: f64, to: f64| {
            let first = FIRST_COLUMN * from / self.fineness;
            let growth = COLUMN_GROWTH / self.fineness;
            subdivide(to - from, 2, |s| first + growth * s).into_iter().map(move |s| from + s)
        };
        match self.cut.filter(|&cut| cut > self.inner && cut < self.outer) {
            None => (graded(self.inner, self.outer).collect(), None),
            Some(cut) => {
                // Fine at the bore and at the cut: what lies between is thin.
                let first = FIRST_COLUMN * self.inner / self.fineness;
                let growth = COLUMN_GROWTH / self.fineness;
                let length = cut - self.inner;
                let inside = subdivide(length, 2, |s| first + growth * s.min(length - s));
                let layers = inside.len() - 1;
                let mut radii: Vec<f64> = inside.iter().map(|s| self.inner + s).collect();
                // The line itself, not one that differs by a rounding.
                radii[layers] = cut;
                radii.extend(graded(cut, self.outer).skip(1));
                (radii, Some(layers))
            }
        }
    }

    /// Fractions by which columns fill a space of `width` mm at a bore of `radius` mm: thin at both
    /// ends.
    #[must_use]
    pub fn fractions(&self, radius: f64, width: f64) -> Vec<f64> {
        let first = FIRST_COLUMN * radius / self.fineness;
        let growth = COLUMN_GROWTH / self.fineness;
        let cuts = subdivide(width, 2, |s| first + growth * s);
        let mut fractions: Vec<f64> = cuts.iter().map(|cut| cut / width).collect();
        fractions.pop();
        fractions.push(1.0);
        fractions
    }

    /// Depths of the rows' borders.
    fn rows(&self) -> Vec<f64> {
        let t = self.thickness;
        let largest = MIDDLE_ROW * t.min(self.inner) / self.fineness;
        let first = (FACE_ROW * t / self.fineness).min(largest);
        let growth = ROW_GROWTH / self.fineness;
        let mut stops: Vec<f64> =
            self.depths.iter().copied().filter(|&depth| depth > 0.0 && depth < t).collect();
        stops.push(t);
        stops.sort_by(f64::total_cmp);
        stops.dedup();
        let mut rows = vec![0.0];
        let mut from = 0.0;
        for to in stops {
            // Thin at faces and at stops alike: a bore ends at the knee of a countersink as it does at a face.
            let size = |s: f64| (first + growth * s.min(to - from - s)).min(largest);
            let cuts = subdivide(to - from, 1, size);
            rows.extend(cuts[1..cuts.len() - 1].iter().map(|s| from + s));
            rows.push(to);
            from = to;
        }
        rows
    }
}

/// The section mesh of `plan`. Its edges are `entry`, `exit` and `rim`; the bore is the edge of
/// its one hole, from the entry face down.
///
/// # Panics
///
/// When radii or thickness are not positive and in order.
#[must_use]
pub fn section(plan: &SectionPlan) -> Mesh {
    assert!(
        0.0 < plan.inner && plan.inner < plan.outer && plan.thickness > 0.0,
        "a section has a bore inside its rim and a thickness"
    );
    let (radii, ream_layers) = plan.columns();
    grid(&radii, &plan.rows(), ream_layers)
}

/// The section mesh with columns at `radii` and rows at `depths`, mm, both rising.
///
/// # Panics
///
/// With fewer than two radii or depths.
#[must_use]
pub fn grid(radii: &[f64], depths: &[f64], ream_layers: Option<usize>) -> Mesh {
    assert!(radii.len() > 1 && depths.len() > 1, "a section has an extent");
    let place = |i: usize, j: usize| [between(radii, i), between(depths, j)];
    lay([radii.len() - 1, depths.len() - 1], place, ream_layers)
}

/// A section whose bore is not straight: `bore` holds its radius at the borders and middles of the
/// rows, which lie at `depths`. Columns fill the space between the bore and the first of the `outer`
/// radii by `fractions`, which rise from 0 to 1, and lie at the `outer` radii beyond, mm.
///
/// # Panics
///
/// When there is not one radius for every half row.
#[must_use]
pub fn fitted(bore: &[f64], fractions: &[f64], outer: &[f64], depths: &[f64]) -> Mesh {
    let (inside, rows) = (fractions.len() - 1, depths.len() - 1);
    assert_eq!(bore.len(), 2 * rows + 1, "one radius for every half row");
    let place = |i: usize, j: usize| {
        let r = if i <= 2 * inside {
            bore[j] + between(fractions, i) * (outer[0] - bore[j])
        } else {
            between(outer, i - 2 * inside)
        };
        [r, between(depths, j)]
    };
    lay([inside + outer.len() - 1, rows], place, None)
}

/// The line of a border, or half-way between two.
fn between(lines: &[f64], half: usize) -> f64 {
    let k = half / 2;
    if half.is_multiple_of(2) { lines[k] } else { 0.5 * (lines[k] + lines[k + 1]) }
}

/// A mesh of columns and rows whose nodes lie where `place` has the half columns and half rows.
fn lay(
    [columns, rows]: [usize; 2],
    place: impl Fn(usize, usize) -> [f64; 2],
    ream_layers: Option<usize>,
) -> Mesh {
    let mut mesh = Mesh::default();
    // Number of the node at half columns i and half rows j; there is none in the middle of a quad.
    let mut numbers = vec![vec![usize::MAX; 2 * rows + 1]; 2 * columns + 1];
    for (i, column) in numbers.iter_mut().enumerate() {
        for (j, number) in column.iter_mut().enumerate() {
            if i % 2 == 0 || j % 2 == 0 {
                *number = mesh.nodes.len();
                mesh.nodes.push(place(i, j));
            }
        }
    }
    for column in 0..columns {
        for row in 0..rows {
            let (i, j) = (2 * column, 2 * row);
            let places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)];
            mesh.quads.push(places.map(|(di, dj)| numbers[i + di][j + dj]));
        }
    }
    let side = |from: [usize; 2], step: [usize; 2]| -> [NodeId; 3] {
        [0, 1, 2].map(|k| numbers[from[0] + k * step[0]][from[1] + k * step[1]])
    };
    // Material on the left, with r to the right and z up.
    let entry = (0..columns).map(|k| side([2 * k, 0], [1, 0])).collect();
    let rim = (0..rows).map(|k| side([2 * columns, 2 * k], [0, 1])).collect();
    let exit = (0..columns).rev().map(|k| {
        let [a, b, c] = side([2 * k, 2 * rows], [1, 0]);
        [c, b, a]
    });
    mesh.edges = vec![
        NamedEdge { name: "entry".to_owned(), sides: entry },
        NamedEdge { name: "rim".to_owned(), sides: rim },
        NamedEdge { name: "exit".to_owned(), sides: exit.collect() },
    ];
    mesh.holes = vec![HoleMesh {
        edge: numbers[0].clone(),
        closed: false,
        first_quad: 0,
        sectors: rows,
        layers: columns,
        ream_layers,
    }];
    mesh
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn rows_and_columns_are_thin_where_the_stress_turns() {
        let plan = SectionPlan { cut: Some(3.0), ..SectionPlan::ring(2.85, 15.0, 6.0) };
        let mesh = section(&plan);
        let bore = &mesh.holes[0];
        let depth = |node: NodeId| mesh.nodes[node][1];
        let in_first_tenth = bore.edge.iter().filter(|&&node| depth(node) <= 0.6).count();
        assert!(in_first_tenth >= 9, "four rows and more: {in_first_tenth} nodes");
        let columns: Vec<f64> = (0..bore.layers)
            .map(|layer| mesh.nodes[mesh.quads[bore.quad(layer, 0)][0]][0])
            .collect();
        assert!(columns.iter().filter(|&&r| r <= 1.03 * 2.85).count() >= 3);
        assert_relative_eq!(columns[bore.ream_layers.expect("asked for")], 3.0);
    }

    #[test]
    fn the_quads_fill_the_rectangle_once() {
        let mesh = section(&SectionPlan {
            depths: vec![1.0],
            fineness: 0.5,
            ..SectionPlan::ring(1.0, 5.0, 2.0)
        });
        let area: f64 = mesh
            .quads
            .iter()
            .map(|quad| {
                let corners = [0, 1, 2, 3].map(|k| mesh.nodes[quad[k]]);
                let cross = |a: [f64; 2], b: [f64; 2]| a[0] * b[1] - a[1] * b[0];
                0.5 * (0..4).map(|k| cross(corners[k], corners[(k + 1) % 4])).sum::<f64>()
            })
            .sum();
        assert_relative_eq!(area, 8.0, max_relative = 1e-13);
        assert!(mesh.holes[0].edge.iter().any(|&n| (mesh.nodes[n][1] - 1.0).abs() < 1e-15));
        let named = |name: &str| mesh.edge(name).expect("a section has it").sides.len();
        assert_eq!(named("entry"), mesh.holes[0].layers);
        assert_eq!(named("rim"), mesh.holes[0].sectors);
        assert_eq!(named("exit"), named("entry"));
    }
}
