//! Edges of two bodies that face each other, node by node: a bush and the hole it sits in.
//!
//! Each body has nodes of its own. They stand in pairs at the same angle about the hole, so that a
//! pair that touches carries a force and nothing has to be interpolated; both edges then weigh their
//! nodes alike.

use serde::{Deserialize, Serialize};

/// The outside of a bush and the edge it faces.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Mating {
    /// Index of the hole.
    pub hole: usize,
    /// Region of the bush: all its elements, and no others, are of it.
    pub region: u8,
    /// Node of the bush and node of what is outside it, counter-clockwise, corner and mid-side
    /// alternating as in [`HoleMesh::edge`](crate::mesh::topology::HoleMesh::edge).
    pub pairs: Vec<[usize; 2]>,
    /// Whether they go round a full circle.
    pub closed: bool,
}

impl Mating {
    /// Sides of the bush as `[start, mid, end]`, places in the list of pairs.
    pub fn sides(&self) -> impl Iterator<Item = [usize; 3]> + '_ {
        let n = self.pairs.len();
        (0..n / 2).map(move |k| [2 * k, 2 * k + 1, (2 * k + 2) % n])
    }
}
