//! Whether yielded metal reaches from a hole to an edge or to another hole.
//!
//! A plastic zone that is still ringed by elastic metal is held by it; one that has broken
//! through a ligament is not, and the edge bulges. The zone is followed from element to
//! element that share a node, starting at the edge of the hole.

use serde::{Deserialize, Serialize};

use crate::material::state::{PointFlow, YIELDED};
use crate::mesh::adjacency::Adjacency;
use crate::mesh::topology::Mesh;

/// An edge or a hole that a plastic zone can break through to.
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
    /// Edge or hole that the zone reached.
    pub bound: Bound,
    /// Share of full expansion at which it was first seen there, 0 to 1.
    pub share: f64,
    /// Share at the increment before, when it was not there yet.
    pub not_yet: f64,
}

/// Edges, then holes, that the plastic zone round hole `index` reaches, in the mesh's order.
/// `adjacency` is that of `mesh`.
#[must_use]
pub fn reached(
    mesh: &Mesh,
    adjacency: &Adjacency,
    points: &[PointFlow],
    index: usize,
) -> Vec<Bound> {
    let yielded = |element: usize| -> bool {
        let own = &points[mesh.points_of(element)];
        let sum: f64 = own.iter().map(|point| point.equivalent).sum();
        sum > YIELDED * own.len() as f64
    };
    let mut seen = vec![false; mesh.element_count()];
    let mut touched = vec![false; mesh.nodes.len()];
    let mut waiting: Vec<usize> = mesh.holes[index].edge.clone();
    while let Some(node) = waiting.pop() {
        for &element in adjacency.at(node) {
            if !std::mem::replace(&mut seen[element], true) && yielded(element) {
                for &next in mesh.nodes_of(element) {
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
