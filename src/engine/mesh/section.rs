//! The section of the metal round one hole: radius against depth, quadrilaterals in rows.
//!
//! ```text
//!   z = 0        entry face                       thin rows at both faces
//!      ┌─┬──┬───┬──────┬─────────┐
//!      ├─┼──┼───┼──────┼─────────┤
//!  bore│ │  │   │      │         │ rim             columns thin at the bore
//!      ├─┼──┼───┼──────┼─────────┤
//!      └─┴──┴───┴──────┴─────────┘
//!   z = t        exit face
//!      r = a                    r = b
//! ```
//!
//! Node positions are `[r, z]`, `z` is the depth below the entry face. Nodes and elements are those of
//! [`SectionGrid`].

use crate::mesh::grade::subdivide;
use crate::mesh::section_grid::SectionGrid;

/// Height of the row at a face over the thickness at fineness 1. Over the last hundredth of the
/// thickness the residual hoop stress at the bore changes by a fifth of the yield stress. Half of it changes the corners by
/// half a percent of the yield stress, 0.004 by more than one.
const FACE_ROW: f64 = 0.002;
/// Growth of the rows with the distance from the nearest face.
const ROW_GROWTH: f64 = 0.2;
/// Largest height of a row over the smaller of thickness and bore radius, in the middle.
const MIDDLE_ROW: f64 = 0.08;
/// Width of the column at a bore or wall over the radius of the bore. At the corners of the
/// faces the stress turns within a hundredth of the radius: twice as wide moves the exit face by more than one percent of
/// the yield stress.
const FIRST_COLUMN: f64 = 0.002;
/// Growth of the columns with the distance from the bore: in the skin, in the metal that yields, and beyond. The middle one
/// decides what an evenly grown ring takes: 0.35 moves that by a third of a percent.
const COLUMN_GROWTHS: [f64; 3] = [0.35, 0.25, 0.4];
/// Distances from the bore at which the growth changes, over its radius.
const REACHES: [f64; 2] = [0.2, 2.0];

/// Requirements on a section mesh. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionPlan {
    /// Radius of the bore.
    pub inner: f64,
    /// Radius of the rim.
    pub outer: f64,
    /// Thickness of the part.
    pub thickness: f64,
    /// Depths at which rows end, besides the faces, and are thin: ends of a countersink, edges of a
    /// band of pressure.
    pub depths: Vec<f64>,
    /// Radii at which columns end, besides bore and rim, and are thin: walls of spotfaces.
    pub walls: Vec<f64>,
    /// 1 is the default mesh; 2 halves every element size.
    pub fineness: f64,
}

impl SectionPlan {
    /// A plain ring at the default fineness.
    #[must_use]
    pub fn ring(inner: f64, outer: f64, thickness: f64) -> Self {
        Self { inner, outer, thickness, depths: Vec::new(), walls: Vec::new(), fineness: 1.0 }
    }

    /// Radii of the columns' borders.
    fn columns(&self) -> Vec<f64> {
        let mut radii = vec![self.inner];
        let mut from = self.inner;
        for to in stops(&self.walls, self.inner, self.outer) {
            // Thin at bore and walls; coarse at the rim.
            let to_wall = |s: f64| if to < self.outer { s.min(to - from - s) } else { s };
            let cuts = subdivide(to - from, 2, |s| self.width(self.inner, to_wall(s)));
            radii.extend(cuts[1..cuts.len() - 1].iter().map(|s| from + s));
            radii.push(to);
            from = to;
        }
        radii
    }

    /// Width of a column at a distance from a bore of `radius`, mm.
    fn width(&self, radius: f64, distance: f64) -> f64 {
        let [skin, wide] = REACHES.map(|reach| reach * radius);
        let parts =
            [distance.min(skin), (distance.min(wide) - skin).max(0.0), (distance - wide).max(0.0)];
        let grown: f64 = COLUMN_GROWTHS.iter().zip(parts).map(|(growth, part)| growth * part).sum();
        (FIRST_COLUMN * radius + grown) / self.fineness
    }

    /// Fractions by which columns fill a space of `width` mm from a bore of `radius` mm outward, thin at that bore.
    #[must_use]
    pub fn fractions(&self, radius: f64, width: f64) -> Vec<f64> {
        let cuts = subdivide(width, 2, |s| self.width(radius, s));
        let mut fractions: Vec<f64> = cuts.iter().map(|cut| cut / width).collect();
        fractions.pop();
        fractions.push(1.0);
        fractions
    }

    /// The rows and columns.
    ///
    /// # Panics
    ///
    /// When radii or thickness are not positive and in order.
    #[must_use]
    pub fn grid(&self) -> SectionGrid {
        assert!(
            0.0 < self.inner && self.inner < self.outer && self.thickness > 0.0,
            "a section has a bore inside its rim and a thickness"
        );
        SectionGrid::straight(&self.columns(), &self.rows())
    }

    /// Depths of the rows' borders.
    fn rows(&self) -> Vec<f64> {
        let t = self.thickness;
        let largest = MIDDLE_ROW * t.min(self.inner) / self.fineness;
        let first = (FACE_ROW * t / self.fineness).min(largest);
        let growth = ROW_GROWTH / self.fineness;
        let mut rows = vec![0.0];
        let mut from = 0.0;
        for to in stops(&self.depths, 0.0, t) {
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

/// Those of `inside` that lie between `from` and `to`, rising, then `to`.
fn stops(inside: &[f64], from: f64, to: f64) -> Vec<f64> {
    let mut stops: Vec<f64> = inside.iter().copied().filter(|&at| at > from && at < to).collect();
    stops.push(to);
    stops.sort_by(f64::total_cmp);
    stops.dedup();
    stops
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::topology::NodeId;
    use approx::assert_relative_eq;

    #[test]
    fn rows_and_columns_are_thin_where_the_stress_turns() {
        let plan = SectionPlan { walls: vec![7.0], ..SectionPlan::ring(2.85, 15.0, 6.0) };
        let mesh = plan.grid().mesh();
        let bore = &mesh.holes[0];
        let depth = |node: NodeId| mesh.nodes[node][1];
        let in_first_tenth = bore.edge.iter().filter(|&&node| depth(node) <= 0.6).count();
        assert!(in_first_tenth >= 9, "four rows and more: {in_first_tenth} nodes");
        let columns: Vec<f64> = (0..bore.layers)
            .map(|layer| mesh.nodes[mesh.quads[bore.quad(layer, 0)][0]][0])
            .collect();
        assert!(columns.iter().filter(|&&r| r <= 1.03 * 2.85).count() >= 3);
        let wall = columns.iter().position(|&r| r >= 7.0).expect("inside the rim");
        assert_relative_eq!(columns[wall], 7.0);
        for side in [columns[wall] - columns[wall - 1], columns[wall + 1] - columns[wall]] {
            assert!(side < 0.03, "thin at the wall: {side}");
        }
    }

    #[test]
    fn the_quads_fill_the_rectangle_once() {
        let plan =
            SectionPlan { depths: vec![1.0], fineness: 0.5, ..SectionPlan::ring(1.0, 5.0, 2.0) };
        let mesh = plan.grid().mesh();
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
