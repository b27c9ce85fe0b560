//! Rings of quadrilaterals in a mesh made elsewhere.
//!
//! A ring is one quadrilateral on every side of the line inside it, neighbours sharing their
//! spokes, its outer line again a circle about the hole. Rings found are renumbered as those
//! of our own mesher are, and are then worked, reamed and read in the same way.

use crate::geometry::hole::Hole;
use crate::mesh::import::elements::Elements;
use crate::mesh::import::holes::Bore;
use crate::mesh::topology::NodeId;

/// How far, as a share of its radius, nodes may lie off a ring line. A chord of a side of
/// 7.5° misses its arc by half of it.
const ON_LINE: f64 = 4e-3;
/// How far, radians, the nodes of a spoke may lie off its direction.
const ON_SPOKE: f64 = 1e-2;

/// Elements at each side, by the node in its middle.
#[derive(Clone, Debug)]
pub(super) struct Neighbours(Vec<[usize; 2]>);

/// No element.
const NONE: usize = usize::MAX;

impl Neighbours {
    pub(super) fn new(elements: &Elements) -> Self {
        let mut at = vec![[NONE; 2]; elements.nodes.len()];
        for (index, element) in elements.list.iter().enumerate() {
            for &middle in &element.middles {
                let [first, second] = &mut at[middle];
                if *first == NONE {
                    *first = index;
                } else {
                    *second = index;
                }
            }
        }
        Self(at)
    }

    /// The first element at the side with this middle node.
    pub(super) fn first(&self, middle: NodeId) -> Option<usize> {
        Some(self.0[middle][0]).filter(|&element| element != NONE)
    }

    /// The element across a side from `from`, any of the two for `NONE`.
    pub(super) fn across(&self, middle: NodeId, from: usize) -> Option<usize> {
        self.0[middle].into_iter().find(|&element| element != NONE && element != from)
    }
}

/// The quadrilaterals of the rings round `bore`, layer by layer in the order of the mesh, and
/// which elements of the list they are; `taken` marks elements that are in a ring. A ring lies in one
/// of the `parts` that elements are in.
pub(super) fn rings(
    bore: &Bore,
    elements: &Elements,
    neighbours: &Neighbours,
    parts: &[usize],
    taken: &mut [bool],
) -> (Vec<[NodeId; 8]>, Vec<usize>) {
    let (mut quads, mut all) = (Vec::new(), Vec::new());
    let mut line = bore.sides.clone();
    let mut inside = vec![NONE; line.len()];
    while let Some((ring, owners)) = next_ring(&line, &inside, elements, neighbours, taken) {
        let outer: Vec<[NodeId; 3]> = ring.iter().map(|quad| [quad[1], quad[5], quad[2]]).collect();
        let even = owners.iter().all(|&owner| parts[owner] == parts[owners[0]]);
        if !even || !is_ring(&bore.hole, &ring, &bore.sides, &elements.nodes) {
            break;
        }
        for &owner in &owners {
            taken[owner] = true;
        }
        quads.extend(ring);
        all.extend(&owners);
        line = outer;
        inside = owners;
    }
    (quads, all)
}

/// The quadrilaterals outside `line`, turned so that their sides 0-7-3 lie on it.
fn next_ring(
    line: &[[NodeId; 3]],
    inside: &[usize],
    elements: &Elements,
    neighbours: &Neighbours,
    taken: &[bool],
) -> Option<(Vec<[NodeId; 8]>, Vec<usize>)> {
    let mut ring = Vec::with_capacity(line.len());
    let mut owners = Vec::with_capacity(line.len());
    for (side, &from) in line.iter().zip(inside) {
        let owner = neighbours.across(side[1], from)?;
        let element = &elements.list[owner];
        let middle = element.middles.iter().position(|&node| node == side[1])?;
        if element.corners.len() != 4 || taken[owner] {
            return None;
        }
        // The element sees the side from outside, hence from its end to its start.
        let corner = |k: usize| element.corners[(middle + 1 + k) % 4];
        let between = |k: usize| element.middles[(middle + 1 + k) % 4];
        ring.push([
            corner(0),
            corner(1),
            corner(2),
            corner(3),
            between(0),
            between(1),
            between(2),
            between(3),
        ]);
        owners.push(owner);
    }
    Some((ring, owners))
}

/// Whether neighbours share their spokes, and lines and spokes are where they should be.
fn is_ring(hole: &Hole, ring: &[[NodeId; 8]], edge: &[[NodeId; 3]], nodes: &[[f64; 2]]) -> bool {
    let joined = ring
        .iter()
        .zip(ring.iter().cycle().skip(1))
        .all(|(quad, next)| [quad[3], quad[6], quad[2]] == [next[0], next[4], next[1]]);
    let radius = hole.distance_to(nodes[ring[0][1]]);
    let circular = ring
        .iter()
        .flat_map(|quad| [quad[1], quad[5]])
        .all(|node| (hole.distance_to(nodes[node]) - radius).abs() <= ON_LINE * radius);
    let straight = ring.iter().zip(edge).all(|(quad, side)| {
        let off = |outer: NodeId, inner: NodeId| {
            let turn = hole.angle_to(nodes[outer]) - hole.angle_to(nodes[inner]);
            turn.sin().abs() <= ON_SPOKE && turn.cos() > 0.0
        };
        off(quad[1], side[0]) && off(quad[5], side[1])
    });
    joined && circular && straight
}
