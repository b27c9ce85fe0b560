//! The mandrel in a hole: a circle that pushes and never pulls.
//!
//! With `r` the vector from the tool's centre to a displaced edge node and `n = r/|r|`,
//! the gap is `g = |r| − R`. A closed node keeps `g = 0` and carries a force `λ ≥ 0` along
//! n; an open one has `g ≥ 0` and no force. No friction: sleeve and lubricant.
//!
//! Contact is unilateral at every node of the hole edge that the tool can touch; nodes in
//! the slit of a split sleeve are not among them. The pressure at a node is its force over
//! the length of edge it stands for.
//!
//! Floor 3, `solver`.

use serde::{Deserialize, Serialize};

use crate::mesh::topology::NodeId;

/// Whether an edge node touches the tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ContactStatus {
    /// Free of the tool.
    Open,
    /// On the tool.
    Closed,
}

/// What does not change about a tool while it works a hole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolContact {
    /// Index of the hole.
    pub hole: usize,
    /// Drilled centre of the hole, mm.
    pub hole_centre: [f64; 2],
    /// Edge nodes that the tool can touch, counter-clockwise.
    pub nodes: Vec<NodeId>,
    /// Area of edge that each of them stands for, mm² (length × thickness).
    pub areas: Vec<f64>,
    /// Radius that the tool gives up by newton of total radial force on the modelled
    /// part of the edge, mm/N; 0 for a rigid tool.
    pub compliance: f64,
    /// Whether the centre may move along x and y.
    pub free: [bool; 2],
}

/// What an increment changes about the tool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolState {
    /// Displacement of the centre from the drilled centre `[x, y]`, mm.
    pub centre: [f64; 2],
    /// Radius of the unloaded tool now, mm: the prescribed one.
    pub unloaded_radius: f64,
    /// Radius that acts on the hole, mm.
    pub radius: f64,
    /// Force that its holder puts on the tool and the tool on the plate, `[x, y]`, N of the
    /// modelled part; none on a mandrel.
    pub bearing: [f64; 2],
    /// Status of every contact node.
    pub status: Vec<ContactStatus>,
    /// Force on the plate at every contact node `[x, y]`, N.
    pub force: Vec<[f64; 2]>,
}

impl ToolState {
    /// A tool of `radius` mm on the drilled centre that touches nothing yet.
    #[must_use]
    pub fn new(radius: f64, nodes: usize) -> Self {
        Self {
            centre: [0.0; 2],
            unloaded_radius: radius,
            radius,
            bearing: [0.0; 2],
            status: vec![ContactStatus::Open; nodes],
            force: vec![[0.0; 2]; nodes],
        }
    }

    /// Nodes that touch the tool.
    #[must_use]
    pub fn closed_count(&self) -> usize {
        self.status.iter().filter(|status| **status == ContactStatus::Closed).count()
    }

    /// Contact pressure at every node, MPa.
    pub fn pressures<'a>(&'a self, contact: &'a ToolContact) -> impl Iterator<Item = f64> + 'a {
        self.force.iter().zip(&contact.areas).map(|([x, y], area)| x.hypot(*y) / area)
    }
}

/// Where a contact node stands to the tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Unit vector from the tool's centre to the node.
    pub normal: [f64; 2],
    /// Distance from the tool's centre, mm.
    pub distance: f64,
    /// Distance less radius, mm; negative inside the tool.
    pub gap: f64,
}

impl ToolContact {
    /// Stance of a contact node at reference `position` with `displacement`, mm.
    #[must_use]
    pub fn stance(&self, tool: &ToolState, position: [f64; 2], displacement: [f64; 2]) -> Stance {
        let along = |axis: usize| {
            position[axis] + displacement[axis] - self.hole_centre[axis] - tool.centre[axis]
        };
        let (x, y) = (along(0), along(1));
        let distance = x.hypot(y);
        Stance { normal: [x / distance, y / distance], distance, gap: distance - tool.radius }
    }

    /// Mean contact pressure, MPa: radial force over the area of edge the tool can touch.
    #[must_use]
    pub fn mean_pressure(&self, tool: &ToolState) -> f64 {
        let force: f64 = tool.force.iter().map(|[x, y]| x.hypot(*y)).sum();
        force / self.areas.iter().sum::<f64>()
    }
}
