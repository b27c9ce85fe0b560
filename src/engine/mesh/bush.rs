//! Rings of a bush, added to a mesh whose hole it is put into.
//!
//! Its nodes stand at the directions of the nodes of the edge it faces, as that edge stands, on exact
//! circles: so it fits holes that were drilled, expanded or reamed, with a pair of nodes at every
//! place (`mating`). Its layers come before those of what is outside, and the edge of the hole is its
//! bore from then on. Numbers of nodes stay, new ones follow.

use crate::mesh::mating::Mating;
use crate::mesh::topology::{HoleMesh, Mesh, NodeId};

/// Height of the layers at bore and outside over the radius of the bore, at fineness 1.
const FIRST_LAYER: f64 = 0.015;
/// Growth of the layers towards the middle of the wall.
const GROWTH: f64 = 1.15;
/// Highest layer over the radius of the bore, at fineness 1.
const HIGHEST: f64 = 0.08;

/// A bush to be added.
#[derive(Clone, Debug)]
pub struct BushPlan {
    /// Index of the hole.
    pub hole: usize,
    /// Region that its elements are.
    pub region: u8,
    /// Its thickness over that of the plate.
    pub relative_thickness: f64,
    /// Its centre, mm.
    pub centre: [f64; 2],
    /// Radii of its lines, rising, mm.
    pub radii: Vec<f64>,
    /// Unit vectors from the centre to the nodes of the edge it faces, in their order.
    pub directions: Vec<[f64; 2]>,
}

/// Radii of the lines of a bush from `inner` to `outer`, mm: thin layers at both faces.
#[must_use]
pub fn bush_lines(inner: f64, outer: f64, fineness: f64) -> Vec<f64> {
    let half = 0.5 * (outer - inner);
    let (first, highest) = (FIRST_LAYER * inner / fineness, HIGHEST * inner / fineness);
    let mut heights = vec![first.min(0.5 * half)];
    let mut sum = heights[0];
    while sum < half {
        let next = (heights[heights.len() - 1] * GROWTH).min(highest);
        heights.push(next);
        sum += next;
    }
    let share = half / sum;
    let mut radii = vec![inner];
    let mut radius = inner;
    for height in heights.iter().chain(heights.iter().rev()) {
        radius += share * height;
        radii.push(radius);
    }
    // The last is the sum of roundings.
    radii.pop();
    radii.push(outer);
    radii
}

/// The mesh with the bush of `plan`, and the first quadrilateral of it; those that came from there on
/// follow it.
///
/// # Panics
///
/// When there is not one direction for every node of the edge.
#[must_use]
pub fn with_bush(mesh: &Mesh, plan: &BushPlan) -> (Mesh, usize) {
    let mut mesh = mesh.clone();
    let hole = &mesh.holes[plan.hole];
    let (facing, sectors) = (hole.edge.clone(), hole.edge.len() / 2);
    assert_eq!(plan.directions.len(), facing.len(), "one direction for every node of the edge");
    let (closed, first) = (hole.closed, hole.first_quad);
    let count = facing.len();
    let old = mesh.nodes.len();
    let mut copies: Vec<usize> = Vec::new();
    let mut place = |radius: f64, k: usize| -> NodeId {
        let [x, y] = plan.directions[k];
        mesh.nodes.push([plan.centre[0] + radius * x, plan.centre[1] + radius * y]);
        copies.push(k);
        mesh.nodes.len() - 1
    };
    let mut lines: Vec<Vec<NodeId>> = Vec::new();
    let mut between: Vec<Vec<NodeId>> = Vec::new();
    for (line, &radius) in plan.radii.iter().enumerate() {
        lines.push((0..count).map(|k| place(radius, k)).collect());
        if let Some(next) = plan.radii.get(line + 1) {
            between.push((0..count).step_by(2).map(|k| place(0.5 * (radius + next), k)).collect());
        }
    }
    let mut quads = Vec::with_capacity(between.len() * sectors);
    for (layer, across) in between.iter().enumerate() {
        let (inner, outer) = (&lines[layer], &lines[layer + 1]);
        for sector in 0..sectors {
            let (here, next) = (2 * sector, (2 * sector + 2) % count);
            quads.push([
                inner[here],
                outer[here],
                outer[next],
                inner[next],
                across[sector],
                outer[here + 1],
                across[next / 2],
                inner[here + 1],
            ]);
        }
    }
    let added = quads.len();
    mesh.regions.quads.resize(mesh.quads.len(), 0);
    mesh.regions.triangles.resize(mesh.triangles.len(), 0);
    mesh.regions.quads.splice(first..first, std::iter::repeat_n(plan.region, added));
    let region = usize::from(plan.region);
    if mesh.regions.relative_thickness.len() < region {
        mesh.regions.relative_thickness.resize(region, 1.0);
    }
    mesh.regions.relative_thickness[region - 1] = plan.relative_thickness;
    mesh.quads.splice(first..first, quads);
    let layers = between.len();
    for (index, hole) in mesh.holes.iter_mut().enumerate() {
        if index == plan.hole {
            *hole = HoleMesh {
                edge: lines[0].clone(),
                layers: hole.layers + layers,
                ream_layers: None,
                ..hole.clone()
            };
        } else if hole.first_quad >= first {
            hole.first_quad += added;
        }
    }
    for nodes in [&mut mesh.mirror_nodes_x, &mut mesh.mirror_nodes_y] {
        let on_line: Vec<NodeId> = copies
            .iter()
            .enumerate()
            .filter(|(_, k)| nodes.binary_search(&facing[**k]).is_ok())
            .map(|(new, _)| old + new)
            .collect();
        nodes.extend(on_line);
    }
    let outside = &lines[layers];
    let pairs = outside.iter().zip(&facing).map(|(&inner, &outer)| [inner, outer]).collect();
    mesh.matings.push(Mating { hole: plan.hole, region: plan.region, pairs, closed });
    (mesh, first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn lines_rise_from_bore_to_outside_with_thin_layers_at_both() {
        for (inner, outer, fineness) in [(3.0, 4.0, 1.0), (3.0, 3.1, 1.0), (10.0, 40.0, 0.5)] {
            let lines = bush_lines(inner, outer, fineness);
            assert!(lines.windows(2).all(|pair| pair[1] > pair[0]));
            assert_relative_eq!(lines[0], inner);
            assert_relative_eq!(lines[lines.len() - 1], outer);
            let heights: Vec<f64> = lines.windows(2).map(|pair| pair[1] - pair[0]).collect();
            assert!(heights[0] <= 1.001 * FIRST_LAYER * inner / fineness);
            assert_relative_eq!(heights[0], heights[heights.len() - 1], max_relative = 1e-9);
        }
    }
}
