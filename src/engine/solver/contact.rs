//! A tool in contact with the metal: it pushes, and drags where there is friction.
//!
//! A [`Surface`] gives gap `g` and normal `n` of every contact node. A node that touches keeps
//! `g = 0` and carries a force `λ ≥ 0` along n; an open one has `g ≥ 0` and no force. With friction
//! a touching node sticks, and carries whatever force along the surface that needs, or slips, and
//! carries the largest that [`Friction`] allows against the slip.
//!
//! Contact is unilateral at every node that the tool can touch; nodes in the slit of a split sleeve
//! are not among them. A `bilateral` tool is glued to its nodes in the direction of its normal. The
//! pressure at a node is its force over the area that it stands for.

use serde::{Deserialize, Serialize};

use crate::mesh::topology::NodeId;
use crate::solver::friction::Friction;
use crate::solver::surface::{Stance, Surface};

/// Whether and how a node touches the tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ContactStatus {
    /// Free of the tool.
    Open,
    /// On the tool and moving with it.
    Stick,
    /// On the tool and free to slide.
    Slip(Drag),
}

/// Direction of the friction force on a sliding node.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Drag {
    /// There is no friction.
    None,
    /// Along the tangent, which is the normal turned by a quarter turn counter-clockwise.
    Along,
    /// Against it.
    Against,
}

impl ContactStatus {
    /// A touching node without friction.
    pub(crate) const SMOOTH: Self = Self::Slip(Drag::None);

    /// Whether the node is on the tool.
    #[must_use]
    pub fn touches(self) -> bool {
        self != Self::Open
    }
}

impl Drag {
    /// The direction of a force with this component along the tangent.
    #[must_use]
    pub fn of(force: f64) -> Self {
        if force < 0.0 { Self::Against } else { Self::Along }
    }

    /// Its sign along the tangent.
    #[must_use]
    pub fn sign(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Along => 1.0,
            Self::Against => -1.0,
        }
    }
}

/// Data of a tool that stay the same while it works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolContact {
    /// Index of the hole.
    pub hole: usize,
    /// Reference point of the tool before it moves, mm: in a plane the drilled centre of the hole.
    pub reference: [f64; 2],
    /// Its face.
    pub surface: Surface,
    /// Whether it also pulls.
    pub bilateral: bool,
    /// Friction between it and the metal.
    pub friction: Friction,
    /// Index of a tool whose axial force this one carries: a nose cap takes the pull of the mandrel.
    /// It only pushes, so it takes no force of the other sign. Where that tool may move along the axis by itself, both
    /// are one body (`hanging.rs`).
    pub carries: Option<usize>,
    /// Nodes that the tool can touch, in the order of the edge.
    pub nodes: Vec<NodeId>,
    /// Area of edge that each of them stands for, mm²: length × thickness, or of the whole ring.
    pub areas: Vec<f64>,
    /// Radius that the tool gives up by newton of total radial force on the modelled
    /// part of the edge, mm/N; 0 for a rigid tool.
    pub compliance: f64,
    /// Whether the reference point may move along x and y by itself.
    pub free: [bool; 2],
    /// How far every contact node stands from the face when it touches, mm, for a tool that was fitted to the edge
    /// (`fit`); empty for one of the shape of its face.
    #[serde(default)]
    pub fitted: Vec<f64>,
    /// Sheet whose hole it stands in: 0 is the plate, k the k-th that lies on it.
    #[serde(default)]
    pub sheet: usize,
    /// How its reference point hangs on that of the tool in the same hole of the plate.
    #[serde(default)]
    pub link: Option<Link>,
    /// How many of its nodes, the last ones, are the end of a sleeve that stands on it.
    #[serde(default)]
    pub ends: usize,
    /// Whether it also pulls those.
    #[serde(default)]
    pub hooked: bool,
}

/// A spring between the reference points of the two parts of a fastener, in the plate and in a sheet on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Link {
    /// Stiffness, N/mm, of the modelled part of the fastener, the same in every direction.
    pub stiffness: f64,
    /// How far the point in the sheet is from that in the plate, less as drawn, when the spring is free of
    /// force `[x, y]`, mm.
    pub apart: [f64; 2],
}

impl ToolContact {
    /// A rigid tool that is held, unilateral and without friction; `areas` in mm².
    #[must_use]
    pub fn rigid(
        hole: usize,
        reference: [f64; 2],
        surface: Surface,
        (nodes, areas): (Vec<NodeId>, Vec<f64>),
    ) -> Self {
        Self {
            hole,
            reference,
            surface,
            bilateral: false,
            friction: Friction::None,
            carries: None,
            nodes,
            areas,
            compliance: 0.0,
            free: [false; 2],
            fitted: Vec::new(),
            sheet: 0,
            link: None,
            ends: 0,
            hooked: false,
        }
    }

    /// How many of its nodes, the first ones, are its own face, and no end of a sleeve.
    #[must_use]
    pub fn face(&self) -> usize {
        self.nodes.len() - self.ends
    }

    /// Whether it also pulls the contact node at `place` in the list.
    #[must_use]
    pub fn holds(&self, place: usize) -> bool {
        self.bilateral || (self.hooked && place >= self.face())
    }
}

/// Data of a tool that an increment changes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolState {
    /// Displacement of the reference point `[x, y]`, mm.
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
    /// Displacement of every contact node relative to the tool at the end of the last increment
    /// `[x, y]`, mm: slip is counted from there.
    pub relative: Vec<[f64; 2]>,
    /// Area of edge that every contact node stands for as the part stands, over that drawn.
    pub grown: Vec<f64>,
}

impl ToolState {
    /// A tool of `radius` mm on its reference point that touches nothing yet.
    #[must_use]
    pub fn new(radius: f64, nodes: usize) -> Self {
        Self {
            centre: [0.0; 2],
            unloaded_radius: radius,
            radius,
            bearing: [0.0; 2],
            status: vec![ContactStatus::Open; nodes],
            force: vec![[0.0; 2]; nodes],
            relative: vec![[0.0; 2]; nodes],
            grown: vec![1.0; nodes],
        }
    }

    /// Nodes that touch the tool.
    #[must_use]
    pub fn closed_count(&self) -> usize {
        self.status.iter().filter(|status| status.touches()).count()
    }

    /// Contact pressure at every node, MPa, on the area as the part stands, from the whole force:
    /// with friction a little more than the normal one.
    pub fn pressures<'a>(&'a self, contact: &'a ToolContact) -> impl Iterator<Item = f64> + 'a {
        self.force.iter().zip(self.areas(contact)).map(|([x, y], area)| x.hypot(*y) / area)
    }

    /// Area of edge that every node stands for as the part stands, mm².
    pub fn areas<'a>(&'a self, contact: &'a ToolContact) -> impl Iterator<Item = f64> + 'a {
        contact.areas.iter().zip(&self.grown).map(|(area, grown)| area * grown)
    }

    /// Sum of the forces on the metal `[x, y]`, N of the modelled part.
    #[must_use]
    pub fn total_force(&self) -> [f64; 2] {
        [0, 1].map(|axis| self.force.iter().map(|force| force[axis]).sum())
    }

    /// How far the node at `place` has slipped along the tangent since the last increment, mm.
    pub(crate) fn slip(&self, place: usize, displacement: [f64; 2], stance: &Stance) -> f64 {
        let [tx, ty] = stance.tangent();
        let now = self.relative_now(displacement);
        let before = self.relative[place];
        tx * (now[0] - before[0]) + ty * (now[1] - before[1])
    }

    fn relative_now(&self, displacement: [f64; 2]) -> [f64; 2] {
        [0, 1].map(|axis| displacement[axis] - self.centre[axis])
    }

    /// Counts slip from here on: `displacement` of every node of the mesh, mm.
    pub(crate) fn begin_slip(&mut self, contact: &ToolContact, displacement: &[[f64; 2]]) {
        for (place, &node) in contact.nodes.iter().enumerate() {
            self.relative[place] = self.relative_now(displacement[node]);
        }
    }
}

impl ToolContact {
    /// Stance of the contact node at `place` in the list, at reference `position` with `displacement`, mm.
    #[must_use]
    pub fn stance(
        &self,
        tool: &ToolState,
        place: usize,
        position: [f64; 2],
        displacement: [f64; 2],
    ) -> Stance {
        let along = |axis: usize| {
            position[axis] + displacement[axis] - self.reference[axis] - tool.centre[axis]
        };
        let stance = self.surface.stance([along(0), along(1)], tool.radius);
        Stance { gap: stance.gap - self.fitted(place), ..stance }
    }

    /// How far the contact node at `place` stands from the face when it touches, mm.
    pub(crate) fn fitted(&self, place: usize) -> f64 {
        self.fitted.get(place).copied().unwrap_or(0.0)
    }

    /// Gives the tool the shape of the edge as it stands: every contact node just touches it. `positions` of
    /// all nodes of the mesh and their displacements, mm.
    pub(crate) fn fit(
        &mut self,
        tool: &ToolState,
        positions: &[[f64; 2]],
        displacement: &[[f64; 2]],
    ) {
        self.fitted.clear();
        let gap = |(place, &node): (usize, &NodeId)| {
            self.stance(tool, place, positions[node], displacement[node]).gap
        };
        self.fitted = self.nodes.iter().enumerate().map(gap).collect();
    }

    /// Mean contact pressure, MPa: radial force over the area of edge the tool can touch, as the part
    /// stands.
    #[must_use]
    pub fn mean_pressure(&self, tool: &ToolState) -> f64 {
        let force: f64 = tool.force.iter().map(|[x, y]| x.hypot(*y)).sum();
        force / tool.areas(self).sum::<f64>()
    }
}
