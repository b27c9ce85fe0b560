//! Element sides along the horizontal mirror line, from the edge of a hole outward.

use crate::geometry::hole::Hole;
use crate::mesh::topology::{Mesh, NodeId};

/// Nodes this close to the line, over the radius of the hole, lie on it.
const ON_LINE: f64 = 1e-9;

/// Which way a crack runs from its hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Along +x, 0°.
    Right,
    /// Along −x, 180°.
    Left,
}

impl Way {
    /// +1 or −1: the direction of the crack along x.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::Right => 1.0,
            Self::Left => -1.0,
        }
    }

    /// Direction, degrees.
    #[must_use]
    pub fn angle_deg(self) -> f64 {
        match self {
            Self::Right => 0.0,
            Self::Left => 180.0,
        }
    }
}

/// Sides `[near, middle, far]` on the mirror line beside `hole`, from its edge outward without a
/// gap. Empty when the line does not pass through the hole or there is no metal on that side.
#[must_use]
pub fn sides(mesh: &Mesh, hole: &Hole, way: Way) -> Vec<[NodeId; 3]> {
    let Some(line) = mesh.symmetry.y else { return Vec::new() };
    let slack = ON_LINE * hole.radius();
    if (line - hole.centre[1]).abs() > slack {
        return Vec::new();
    }
    let along = |node: NodeId| way.sign() * (mesh.nodes[node][0] - hole.centre[0]);
    let mut sides: Vec<[NodeId; 3]> = mesh
        .element_sides()
        .filter(|side| side.iter().all(|&n| (mesh.nodes[n][1] - line).abs() <= slack))
        .filter(|side| along(side[1]) > 0.0)
        .map(|[a, m, b]| if along(a) < along(b) { [a, m, b] } else { [b, m, a] })
        .collect();
    sides.sort_by(|a, b| along(a[0]).total_cmp(&along(b[0])));
    // Beyond a gap there is another hole.
    let whole = sides.windows(2).take_while(|pair| pair[0][2] == pair[1][0]).count() + 1;
    sides.truncate(whole);
    sides
}
