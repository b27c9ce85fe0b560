//! Which displacements are held: mirror lines, and just enough more to stop a rigid motion.
//!
//! Mandrel and loads are in balance by themselves, so the extra supports carry nothing
//! (the residual summary shows it); with a held mandrel they carry what the mandrel does.
//!
//! Floor 3, `solver`.

use crate::mesh::topology::{Mesh, NodeId};

/// Held degrees of freedom: `[x, y]` of every node.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supports {
    /// Whether each displacement is held at zero.
    pub held: Vec<[bool; 2]>,
}

impl Supports {
    /// Supports of `mesh`: no displacement across a mirror line, and of what rigid motion
    /// remains, one node of the outline as far from the holes as there is held, and one far from
    /// it kept from turning.
    ///
    /// Metal far from the work hardly moves, so displacements, the shift of a mandrel and the axis
    /// of a cutter are measured from what would be clamped in a workshop. (Held at a near edge they
    /// would carry its bulge.)
    #[must_use]
    pub fn automatic(mesh: &Mesh) -> Self {
        let mut held = vec![[false; 2]; mesh.nodes.len()];
        let lines = [mesh.symmetry.x, mesh.symmetry.y];
        for (node, position) in mesh.nodes.iter().enumerate() {
            for axis in 0..2 {
                held[node][axis] = lines[axis].is_some_and(|line| on_line(position[axis], line));
            }
        }
        let mirrored = lines.map(|line| line.is_some());
        if mirrored == [true; 2] {
            return Self { held };
        }
        if let Some(first) = outline_extreme(mesh, |p| clearance(mesh, p)) {
            for axis in 0..2 {
                held[first][axis] |= !mirrored[axis];
            }
            if mirrored == [false; 2] {
                let at = mesh.nodes[first];
                // Farthest along x: its vertical displacement alone stops the rotation.
                if let Some(second) = outline_extreme(mesh, |p| (p[0] - at[0]).abs()) {
                    held[second][1] = true;
                }
            }
        }
        Self { held }
    }
}

/// Distance of a point from the nearest node of a hole's edge, mm; 0 without holes.
fn clearance(mesh: &Mesh, point: [f64; 2]) -> f64 {
    let edges = mesh.holes.iter().flat_map(|hole| &hole.edge);
    let away = |&node: &NodeId| {
        let [x, y] = mesh.nodes[node];
        (x - point[0]).hypot(y - point[1])
    };
    let nearest = edges.map(away).fold(f64::INFINITY, f64::min);
    if nearest.is_finite() { nearest } else { 0.0 }
}

/// Whether a coordinate lies on a mirror line; the mesher puts nodes exactly there.
#[must_use]
pub fn on_line(coordinate: f64, line: f64) -> bool {
    (coordinate - line).abs() <= 1e-12 * (1.0 + line.abs())
}

/// The outline node that `score` ranks highest, the first of equals up to rounding.
fn outline_extreme(mesh: &Mesh, score: impl Fn([f64; 2]) -> f64) -> Option<NodeId> {
    let mut best: Option<(f64, NodeId)> = None;
    for side in mesh.edges.iter().flat_map(|edge| &edge.sides) {
        for &node in side {
            let value = score(mesh.nodes[node]);
            if best.is_none_or(|(highest, _)| value > highest * (1.0 + 1e-9)) {
                best = Some((value, node));
            }
        }
    }
    best.map(|(_, node)| node)
}
