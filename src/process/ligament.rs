//! Whether yielded metal reaches from a hole to an edge or to another hole.
//!
//! A plastic zone that is still ringed by elastic metal is held by it; one that has broken
//! through a ligament is not, and the edge bulges. The zone is followed from element to
//! element that share a node, starting at the edge of the hole.
//!
//! Floor 4, `process`.

use serde::{Deserialize, Serialize};

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::material::state::{PointState, YIELDED};
use crate::mesh::topology::Mesh;

/// What a plastic zone can break through to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Bound {
    /// An edge of the outline, by name.
    Edge(String),
    /// Another hole, by index.
    Hole(usize),
}

/// A plastic zone that broke through.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BreakThrough {
    /// Label of the stage, e.g. `1-expand-A`.
    pub stage: String,
    /// Index of the hole that was worked.
    pub hole: usize,
    /// What the zone reached.
    pub bound: Bound,
    /// Share of full expansion at which it was first seen there, 0 to 1.
    pub share: f64,
}

/// What the plastic zone round hole `index` reaches, edges before holes, in the mesh's order.
#[must_use]
pub fn reached(mesh: &Mesh, points: &[PointState], index: usize) -> Vec<Bound> {
    let elements = mesh.element_count();
    let nodes_of = |element: usize| -> &[usize] {
        match element.checked_sub(mesh.quads.len()) {
            None => &mesh.quads[element],
            Some(triangle) => &mesh.triangles[triangle],
        }
    };
    let yielded = |element: usize| -> bool {
        let (first, count) = match element.checked_sub(mesh.quads.len()) {
            None => (QUAD_POINTS * element, QUAD_POINTS),
            Some(triangle) => {
                (QUAD_POINTS * mesh.quads.len() + TRIANGLE_POINTS * triangle, TRIANGLE_POINTS)
            }
        };
        let sum: f64 = points[first..first + count].iter().map(|point| point.equivalent).sum();
        sum > YIELDED * count as f64
    };
    let mut at_node: Vec<Vec<usize>> = vec![Vec::new(); mesh.nodes.len()];
    for element in (0..elements).filter(|&element| yielded(element)) {
        for &node in nodes_of(element) {
            at_node[node].push(element);
        }
    }
    let mut seen = vec![false; elements];
    let mut touched = vec![false; mesh.nodes.len()];
    let mut waiting: Vec<usize> = mesh.holes[index].edge.clone();
    while let Some(node) = waiting.pop() {
        for &element in &at_node[node] {
            if !std::mem::replace(&mut seen[element], true) {
                for &next in nodes_of(element) {
                    if !std::mem::replace(&mut touched[next], true) {
                        waiting.push(next);
                    }
                }
            }
        }
    }
    let mut bounds = Vec::new();
    for edge in &mesh.edges {
        if edge.sides.iter().flatten().any(|&node| touched[node]) {
            bounds.push(Bound::Edge(edge.name.clone()));
        }
    }
    for (other, hole) in mesh.holes.iter().enumerate() {
        if other != index && hole.edge.iter().any(|&node| touched[node]) {
            bounds.push(Bound::Hole(other));
        }
    }
    bounds
}
