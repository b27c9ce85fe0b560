//! Which displacements are held: mirror lines, edges that the case holds, and just enough more
//! to stop a rigid motion.
//!
//! Mandrel and loads are in balance by themselves, so the extra supports carry nothing
//! (the residual summary shows it); with a held mandrel they carry what the mandrel does.

use serde::{Deserialize, Serialize};

use crate::mesh::topology::{Mesh, NodeId};

/// Scores this close, as a share, are equal: rounding must not choose between two corners.
const SAME: f64 = 1e-9;

/// A rigid motion whose part not yet stopped is below this share of itself counts as stopped.
const STOPPED: f64 = 1e-6;

/// How an edge is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hold {
    /// It cannot move across itself, but along itself: a guided edge, straight and along x or y.
    Normal,
    /// It cannot move at all: a built-in edge.
    Both,
}

impl Hold {
    /// Names in a case file.
    pub const NAMES: [&'static str; 2] = ["normal", "both"];

    /// The way of holding called `name`.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "normal" => Some(Self::Normal),
            "both" => Some(Self::Both),
            _ => None,
        }
    }
}

/// An edge that is held throughout the work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Support {
    /// Its name.
    pub edge: String,
    /// How it is held.
    pub hold: Hold,
}

/// Held degrees of freedom: `[x, y]` of every node.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supports {
    /// Whether each displacement is held at zero.
    pub held: Vec<[bool; 2]>,
}

impl Supports {
    /// Supports of a free `mesh`: no displacement across a mirror line, and of what rigid motion
    /// remains, one node of the outline as far from the holes as there is held, and one far from
    /// it kept from turning.
    ///
    /// Metal far from the work hardly moves, so displacements, the shift of a mandrel and the axis
    /// of a cutter are measured from what would be clamped in a workshop. (Held at a near edge they
    /// would carry its bulge.)
    #[must_use]
    pub fn automatic(mesh: &Mesh) -> Self {
        Self::with(mesh, &[])
    }

    /// The same with edges that are held; nodes are added only for the rigid motions that they
    /// and the mirror lines leave. An edge in the part that symmetry leaves out counts in its
    /// mirror image.
    #[must_use]
    pub fn with(mesh: &Mesh, given: &[Support]) -> Self {
        let mut held = vec![[false; 2]; mesh.nodes.len()];
        let lines = [mesh.symmetry.x, mesh.symmetry.y];
        for (node, position) in mesh.nodes.iter().enumerate() {
            for axis in 0..2 {
                held[node][axis] = lines[axis].is_some_and(|line| on_line(position[axis], line));
            }
        }
        for support in given {
            for side in mesh.edge(&support.edge).into_iter().flat_map(|edge| &edge.sides) {
                let [from, _, to] = side.map(|node| mesh.nodes[node]);
                let upright = (to[1] - from[1]).abs() > (to[0] - from[0]).abs();
                for &node in side {
                    held[node][0] |= support.hold == Hold::Both || upright;
                    held[node][1] |= support.hold == Hold::Both || !upright;
                }
            }
        }
        let mut stopped = Stopped::new(mesh);
        for (node, axes) in held.iter().enumerate() {
            for axis in (0..2).filter(|&axis| axes[axis]) {
                stopped.add(mesh.nodes[node], axis);
            }
        }
        if stopped.all() {
            return Self { held };
        }
        if let Some(first) = outline_extreme(mesh, |p| clearance(mesh, p)) {
            let at = mesh.nodes[first];
            // Farthest along x: its vertical displacement alone stops the rotation.
            let second = outline_extreme(mesh, |p| (p[0] - at[0]).abs()).unwrap_or(first);
            for (node, axis) in [(first, 0), (first, 1), (second, 1)] {
                held[node][axis] |= stopped.add(mesh.nodes[node], axis);
            }
        }
        Self { held }
    }
}

/// The rigid motions that held displacements have stopped: two translations and the rotation.
struct Stopped {
    middle: [f64; 2],
    size: f64,
    /// Orthonormal rows: what each held displacement sees of the three motions.
    rows: Vec<[f64; 3]>,
}

impl Stopped {
    fn new(mesh: &Mesh) -> Self {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for node in &mesh.nodes {
            for axis in 0..2 {
                low[axis] = low[axis].min(node[axis]);
                high[axis] = high[axis].max(node[axis]);
            }
        }
        let middle = [0, 1].map(|axis| 0.5 * (low[axis] + high[axis]));
        Self { middle, size: (high[0] - low[0]).hypot(high[1] - low[1]), rows: Vec::new() }
    }

    /// Whether nothing is left that could move.
    fn all(&self) -> bool {
        self.rows.len() == 3
    }

    /// Takes a held displacement into account; whether it stops anything new.
    fn add(&mut self, at: [f64; 2], axis: usize) -> bool {
        if self.all() {
            return false;
        }
        let [x, y] = [0, 1].map(|k| (at[k] - self.middle[k]) / self.size);
        let mut row = if axis == 0 { [1.0, 0.0, -y] } else { [0.0, 1.0, x] };
        let length = |row: &[f64; 3]| row.iter().map(|x| x * x).sum::<f64>().sqrt();
        let whole = length(&row);
        for known in &self.rows {
            let share: f64 = row.iter().zip(known).map(|(a, b)| a * b).sum();
            row.iter_mut().zip(known).for_each(|(a, b)| *a -= share * b);
        }
        let left = length(&row);
        if left <= STOPPED * whole {
            return false;
        }
        self.rows.push(row.map(|x| x / left));
        true
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

/// The outline node that `score` ranks highest, the first of equals.
fn outline_extreme(mesh: &Mesh, score: impl Fn([f64; 2]) -> f64) -> Option<NodeId> {
    let mut best: Option<(f64, NodeId)> = None;
    for side in mesh.edges.iter().flat_map(|edge| &edge.sides) {
        for &node in side {
            let value = score(mesh.nodes[node]);
            if best.is_none_or(|(highest, _)| value > highest + SAME * highest.abs()) {
                best = Some((value, node));
            }
        }
    }
    best.map(|(_, node)| node)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::hole::Hole;
    use crate::geometry::plate::{Outline, Plate};
    use crate::mesh::plan::MeshPlan;

    /// Both right corners are as far from the holes as both left ones; rounding chose between them, and the axis
    /// of a cutter was off by a hundredth of a millimetre from one mesh to the next.
    #[test]
    fn the_same_corner_is_held_whatever_the_mesh() {
        let plate = Plate {
            outline: Outline::Rectangle { width: 60.0, height: 60.0 },
            thickness: 6.0,
            holes: [21.0, 39.0].map(|x| Hole::round("A", [x, 30.0], 6.0)).to_vec(),
        };
        let symmetry = crate::mesh::topology::Symmetry { x: None, y: Some(30.0) };
        let places = |fineness: f64| {
            let plan = MeshPlan { fineness, symmetry, ..MeshPlan::default() };
            let mesh = crate::mesh::build(&plate, &plan).expect("a plate with room");
            let held = Supports::automatic(&mesh).held;
            let across = |node: &NodeId| held[*node][0];
            (0..mesh.nodes.len()).filter(across).map(|node| mesh.nodes[node]).collect::<Vec<_>>()
        };
        let first = places(0.5);
        assert_eq!(first.len(), 1, "one node stops the translation that is left");
        for fineness in [0.7, 1.0, 1.3, 2.0] {
            assert_eq!(places(fineness), first, "fineness {fineness}");
        }
    }
}
