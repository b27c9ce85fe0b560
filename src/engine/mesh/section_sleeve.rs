//! A sleeve in the bore of a section: a tube that lies against it, meshed by itself and added to the mesh.

use crate::mesh::grade::subdivide;
use crate::mesh::section_grid::{Recess, SectionGrid, between};
use crate::mesh::topology::{Mesh, NodeId};

/// Region of the elements of a sleeve.
pub const SLEEVE_REGION: u8 = 1;

/// Elements through the wall at fineness 1: two, so that it bends as a plate does.
const LAYERS: f64 = 2.0;

/// Growth of the rows beyond a face with the distance from it.
const ROW_GROWTH: f64 = 0.5;

/// A sleeve to be added. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct SleevePlan {
    /// Wall.
    pub wall: f64,
    /// Radius and depth of the nodes of the bore as it stands, towards rising depth, corner and mid-side
    /// alternating: the outside of the sleeve has its nodes there.
    pub bore: Vec<[f64; 2]>,
    /// How far it stands out beyond either end of the bore.
    pub protrusion: f64,
    /// 1 is the default mesh; 2 halves every element size.
    pub fineness: f64,
}

/// Nodes of a sleeve in the mesh it was added to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SleeveNodes {
    /// On the inside, towards rising depth, corner and mid-side alternating.
    pub inside: Vec<NodeId>,
    /// Sides of the outside, towards rising depth.
    pub outside: Vec<[NodeId; 3]>,
    /// On the end beyond the entry face and on that beyond the exit face, from the inside outward.
    pub ends: [Vec<NodeId>; 2],
    /// Height of its layers, mm.
    pub layer: f64,
}

impl SleevePlan {
    /// The sleeve by itself.
    fn mesh(&self) -> Mesh {
        let cuts = subdivide(self.wall, 1, |_| self.wall / (LAYERS * self.fineness));
        let layers = cuts.len() - 1;
        let corners: Vec<f64> = self.bore.iter().step_by(2).map(|at| at[1]).collect();
        let heights = || corners.windows(2).map(|pair| pair[1] - pair[0]);
        let tallest = heights().fold(0.0, f64::max);
        let beyond = |first: f64| {
            subdivide(self.protrusion, 2, |s| (first + ROW_GROWTH / self.fineness * s).min(tallest))
        };
        // Straight on beyond either end.
        let ([top_r, top], [bottom_r, bottom]) = (self.bore[0], self.bore[self.bore.len() - 1]);
        let over = beyond(heights().next().unwrap_or(tallest));
        let under = beyond(heights().next_back().unwrap_or(tallest));
        let over: Vec<f64> = over.iter().rev().map(|s| top - s).collect();
        let under: Vec<f64> = under.iter().map(|s| bottom + s).collect();
        let mut outside: Vec<[f64; 2]> =
            (0..2 * over.len() - 2).map(|half| [top_r, between(&over, half)]).collect();
        outside.extend_from_slice(&self.bore);
        outside.extend((1..2 * under.len() - 1).map(|half| [bottom_r, between(&under, half)]));
        let size = [layers, outside.len() / 2];
        let share = |i: usize| 1.0 - i as f64 / (2 * layers) as f64;
        let place = |i: usize, j: usize| [outside[j][0] - self.wall * share(i), outside[j][1]];
        SectionGrid::new(size, <[Recess; 2]>::default(), place).mesh()
    }
}

/// The mesh with the sleeve of `plan`; its nodes and quadrilaterals come after those of `mesh`.
///
/// # Panics
///
/// With fewer than three nodes of the bore, or when its corners do not rise.
#[must_use]
pub fn with_sleeve(mesh: &Mesh, plan: &SleevePlan) -> (Mesh, SleeveNodes) {
    let corners: Vec<f64> = plan.bore.iter().step_by(2).map(|at| at[1]).collect();
    assert!(
        corners.len() > 1 && corners.windows(2).all(|pair| pair[1] > pair[0]),
        "the bore has an extent"
    );
    let own = plan.mesh();
    let mut mesh = mesh.clone();
    let (first, quads) = (mesh.nodes.len(), mesh.quads.len());
    mesh.nodes.extend_from_slice(&own.nodes);
    mesh.quads.extend(own.quads.iter().map(|nodes| nodes.map(|node| first + node)));
    mesh.regions.quads.resize(quads, 0);
    mesh.regions.quads.resize(mesh.quads.len(), SLEEVE_REGION);
    mesh.regions.triangles.resize(mesh.triangles.len(), 0);
    mesh.regions.relative_thickness.resize(usize::from(SLEEVE_REGION), 1.0);
    let sides = |name: &str| -> Vec<[NodeId; 3]> {
        let edge = own.edge(name).map(|edge| edge.sides.as_slice()).unwrap_or_default();
        edge.iter().map(|side| side.map(|node| first + node)).collect()
    };
    let end = |name: &str| {
        let mut nodes: Vec<NodeId> = sides(name).into_iter().flatten().collect();
        // Columns are numbered from the inside outward.
        nodes.sort_unstable();
        nodes.dedup();
        nodes
    };
    let bore = &own.holes[0];
    let nodes = SleeveNodes {
        inside: bore.edge.iter().map(|node| first + node).collect(),
        outside: sides("rim"),
        ends: [end("entry"), end("exit")],
        layer: plan.wall / bore.layers as f64,
    };
    (mesh, nodes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_sleeve_lies_in_the_bore_row_by_row_and_stands_out_at_both_faces() {
        let plate = SectionGrid::straight(&[2.0, 3.0, 5.0], &[0.0, 0.2, 0.8, 1.0]).mesh();
        // A bore that is a little wider at half depth.
        let bore: Vec<[f64; 2]> =
            [0.0, 0.1, 0.2, 0.5, 0.8, 0.9, 1.0].map(|z: f64| [2.0 + 0.1 * z * (1.0 - z), z]).into();
        let plan = SleevePlan { wall: 0.2, bore, protrusion: 0.5, fineness: 1.0 };
        let (mesh, sleeve) = with_sleeve(&plate, &plan);
        assert_eq!(mesh.nodes[..plate.nodes.len()], plate.nodes[..]);
        let at = |node: NodeId| mesh.nodes[node];
        let outside: Vec<[f64; 2]> = sleeve.outside.iter().flatten().map(|&n| at(n)).collect();
        assert!(outside.windows(2).all(|pair| pair[1][1] >= pair[0][1]), "{outside:?}");
        for node in &plan.bore {
            assert!(
                outside.iter().any(|at| (at[0] - node[0]).hypot(at[1] - node[1]) < 1e-14),
                "{node:?}"
            );
        }
        assert_relative_eq!(outside[0][0], 2.0);
        assert_relative_eq!(outside[0][1], -0.5);
        for (inside, depth) in
            [(sleeve.inside[0], -0.5), (*sleeve.inside.last().expect("some"), 1.5)]
        {
            assert_relative_eq!(at(inside)[0], 1.8, epsilon = 1e-14);
            assert_relative_eq!(at(inside)[1], depth, epsilon = 1e-14);
        }
        for (end, depth) in sleeve.ends.iter().zip([-0.5, 1.5]) {
            assert_eq!(end.len(), 5);
            assert!(end.iter().all(|&node| (at(node)[1] - depth).abs() < 1e-14));
            assert!(end.windows(2).all(|pair| at(pair[1])[0] > at(pair[0])[0]));
        }
        assert_relative_eq!(sleeve.layer, 0.1);
        assert_eq!(mesh.region_of(plate.quads.len()), SLEEVE_REGION);
        assert_eq!(mesh.region_of(0), 0);
    }
}
