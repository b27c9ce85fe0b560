//! Two deformable edges in contact: a bush in its hole.
//!
//! The edges face each other in pairs of nodes, an inner one (of the bush) and an outer one. With the
//! unit normal n from the outer body into the inner one,
//!
//! ```text
//! g = n·(x_inner − x_outer) ≥ 0,      λ ≥ 0,      λ g = 0,      |q| ≤ μ λ
//! ```
//!
//! λ is the force along n on the inner node, q that along the edge; the outer node carries the
//! opposite of both. Status is that of a tool: open, stick, slip. A pair that touches has no unknown
//! of its own: its force is whatever the inner node needs for balance, and acts on the outer one. The
//! tangent gets a stiffness `k (n nᵀ)` between the two and the right-hand side `−k g`, so that a
//! correction closes the gap up to a share `1 / (1 + k C)` of it, C the compliance of the metal: the
//! matrix stays positive definite and of one pattern, and the gap is gone after a few iterations
//! whatever k is.
//!
//! Where a pair carries nothing (open, or along the edge without friction) the tangent, and only the
//! tangent, has a weak stiffness: it stops a loose bush from floating away and changes no answer.
//!
//! With finite strain the normals follow the outer edge, from one increment to the next.
//!
//! Edges that slide far along each other have no pairs: an inner node follows several outer ones
//! ([`Sliding`]), and its force goes to all of them.

use serde::{Deserialize, Serialize};

use crate::element::edge;
use crate::mesh::mating::Mating;
use crate::mesh::topology::{Mesh, NodeId};
use crate::solver::contact::ContactStatus;
use crate::solver::friction::Friction;
use crate::solver::sliding::Sliding;

/// Stiffness of a pair over that of the metal that its node stands for, `E A / h`: the gap shrinks to
/// a hundredth in an iteration or better, and single precision loses two of its seven digits.
const STIFF: f64 = 100.0;

/// The same where a pair carries nothing: enough to hold a loose bush against rounding, and less than
/// a fiftieth of what resists when all of it grows.
const WEAK: f64 = 1e-4 / STIFF;

/// Gap of a touching pair over the size of the hole: far below any surface finish.
pub(crate) const PAIR_TOLERANCE: f64 = 1e-8;

/// Data of a mating that stay the same while it works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MatedEdges {
    /// The pairs of nodes, and which hole and region they belong to.
    pub mating: Mating,
    /// Area of edge that every pair stands for as drawn, mm².
    pub areas: Vec<f64>,
    /// Stiffness of every pair that touches, N/mm.
    pub stiffness: Vec<f64>,
    /// Friction between the two.
    pub friction: Friction,
    /// Gap of every pair when the bush was put in, where it was less than nothing, mm; else 0.
    pub overlap: Vec<f64>,
    /// The outer nodes that inner ones follow, where the edges slide along each other; the outer nodes of
    /// the pairs then mean nothing.
    #[serde(default)]
    pub sliding: Option<Sliding>,
}

/// Data of a mating that an increment changes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MatedState {
    /// Share of the overlap that still counts as none: 1 when the bush has just been put in, 0 when it
    /// sits with all its interference.
    pub allowance: f64,
    /// Unit normal of every pair, from the outer body into the inner one.
    pub normals: Vec<[f64; 2]>,
    /// Status of every pair.
    pub status: Vec<ContactStatus>,
    /// Force on the inner node of every pair `[x, y]`, N.
    pub force: Vec<[f64; 2]>,
    /// Displacement of the inner node relative to the outer one at the end of the last increment, mm.
    pub relative: Vec<[f64; 2]>,
    /// Area that every pair stands for as the bush stands, over that drawn.
    pub grown: Vec<f64>,
}

impl MatedEdges {
    /// The edges of `mating` in `mesh`, `thickness` mm thick, between metals whose stiffer modulus is
    /// `modulus` (MPa); `across` is the height of the elements beside the edge, mm, and `overlap` the
    /// gap of every pair where it is negative.
    #[must_use]
    pub fn new(
        mesh: &Mesh,
        mating: Mating,
        (thickness, across, modulus): (f64, f64, f64),
        friction: Friction,
        overlap: Vec<f64>,
    ) -> Self {
        let mut areas = vec![0.0; mating.pairs.len()];
        for places in mating.sides() {
            let lengths = edge::lengths(&places.map(|place| mesh.nodes[mating.pairs[place][0]]));
            for (place, length) in places.into_iter().zip(lengths) {
                areas[place] += length * thickness;
            }
        }
        let stiffness = areas.iter().map(|area| STIFF * modulus * area / across).collect();
        Self { mating, areas, stiffness, friction, overlap, sliding: None }
    }

    /// Outer nodes that the inner one at `place` follows, with weights that add up to one.
    pub(crate) fn outer(&self, place: usize) -> impl Iterator<Item = (NodeId, f64)> + '_ {
        let followed = self.sliding.as_ref().and_then(|sliding| sliding.weights.get(place));
        let pair = followed.is_none().then(|| (self.mating.pairs[place][1], 1.0));
        followed.into_iter().flatten().copied().chain(pair)
    }

    /// Stiffness of the pair at `place` where it is open, and along the edge where nothing holds it there, N/mm.
    pub(crate) fn weak(&self, place: usize) -> [f64; 2] {
        let weak = WEAK * self.stiffness[place];
        match self.sliding {
            Some(_) => [self.spring(place), 0.0],
            None => [weak; 2],
        }
    }

    /// Pull by gap of the pair at `place` where it is open, N/mm.
    pub(crate) fn spring(&self, place: usize) -> f64 {
        self.sliding.as_ref().map_or(0.0, |sliding| sliding.spring * self.areas[place])
    }

    /// A vector of the inner node at `place` less that of the outer ones.
    pub(crate) fn difference(&self, place: usize, of: impl Fn(NodeId) -> [f64; 2]) -> [f64; 2] {
        let mut difference = of(self.mating.pairs[place][0]);
        for (node, weight) in self.outer(place) {
            let other = of(node);
            difference[0] -= weight * other[0];
            difference[1] -= weight * other[1];
        }
        difference
    }

    /// Gap of the pair at `place`, mm; `displacement` of all nodes of `mesh`.
    #[must_use]
    pub fn gap(
        &self,
        state: &MatedState,
        place: usize,
        mesh: &Mesh,
        displacement: &[[f64; 2]],
    ) -> f64 {
        // Apart, so that displacements keep their digits.
        let drawn = self.difference(place, |node| mesh.nodes[node]);
        let moved = self.difference(place, |node| displacement[node]);
        let [x, y] = state.normals[place];
        x * (drawn[0] + moved[0]) + y * (drawn[1] + moved[1])
            - state.allowance * self.overlap[place]
    }

    /// How far the inner node has slipped along the edge since the last increment, mm: along the
    /// normal turned by a quarter turn.
    pub(crate) fn slip(&self, state: &MatedState, place: usize, displacement: &[[f64; 2]]) -> f64 {
        let now = self.relative(place, displacement);
        let [x, y] = state.normals[place];
        x * (now[1] - state.relative[place][1]) - y * (now[0] - state.relative[place][0])
    }

    fn relative(&self, place: usize, displacement: &[[f64; 2]]) -> [f64; 2] {
        self.difference(place, |node| displacement[node])
    }

    /// Normals as the outer edge stands, exactly along the mirror lines where it meets them.
    pub(crate) fn turn_normals(
        &self,
        state: &mut MatedState,
        mesh: &Mesh,
        displacement: &[[f64; 2]],
        held: impl Fn(usize, usize) -> bool,
    ) {
        let place = |place: usize| {
            let node = self.mating.pairs[place][1];
            [0, 1].map(|axis| mesh.nodes[node][axis] + displacement[node][axis])
        };
        let mut along = vec![[0.0; 2]; self.mating.pairs.len()];
        for places in self.mating.sides() {
            let [from, middle, to] = places.map(place);
            // Derivatives of the parabola through the three at its ends and in the middle, by length.
            let slopes: [[f64; 2]; 3] = [
                [0, 1].map(|i| -1.5 * from[i] + 2.0 * middle[i] - 0.5 * to[i]),
                [0, 1].map(|i| 0.5 * (to[i] - from[i])),
                [0, 1].map(|i| 0.5 * from[i] - 2.0 * middle[i] + 1.5 * to[i]),
            ];
            for (place, [x, y]) in places.into_iter().zip(slopes) {
                let length = x.hypot(y);
                along[place][0] += x / length;
                along[place][1] += y / length;
            }
        }
        for (place, [x, y]) in along.into_iter().enumerate() {
            let node = self.mating.pairs[place][0];
            let length = x.hypot(y);
            // Counter-clockwise along the edge of a hole, the centre lies to the left.
            let mut normal = [-y / length, x / length];
            for axis in 0..2 {
                if held(node, axis) {
                    normal[axis] = 0.0;
                    normal[1 - axis] = normal[1 - axis].signum();
                }
            }
            state.normals[place] = normal;
        }
    }

    /// Mean contact pressure over the whole edge, MPa: normal forces over the area as it stands.
    #[must_use]
    pub fn mean_pressure(&self, state: &MatedState) -> f64 {
        self.normal_force(state) / state.areas(self).sum::<f64>()
    }

    /// Sum of the normal forces of all pairs, N of the modelled part.
    #[must_use]
    pub fn normal_force(&self, state: &MatedState) -> f64 {
        state.pushes().sum()
    }

    /// Largest axial force that friction bears along the bush, N of the modelled part, when its
    /// pressure stays as it is: `Σ μ(p) λ`.
    #[must_use]
    pub fn push_out(&self, state: &MatedState) -> f64 {
        let of_pair = |(push, area)| self.friction.limit(push, area);
        state.pushes().zip(state.areas(self)).map(of_pair).sum()
    }
}

impl MatedState {
    /// Edges that have just been put together and touch nowhere yet.
    #[must_use]
    pub fn new(normals: Vec<[f64; 2]>) -> Self {
        let count = normals.len();
        Self {
            allowance: 1.0,
            normals,
            status: vec![ContactStatus::Open; count],
            force: vec![[0.0; 2]; count],
            relative: vec![[0.0; 2]; count],
            grown: vec![1.0; count],
        }
    }

    /// Force along the normal of every pair, N; positive in compression.
    pub fn pushes(&self) -> impl Iterator<Item = f64> + '_ {
        self.force.iter().zip(&self.normals).map(|([x, y], [nx, ny])| x * nx + y * ny)
    }

    /// Area of edge that every pair stands for as the bush stands, mm².
    pub fn areas<'a>(&'a self, edges: &'a MatedEdges) -> impl Iterator<Item = f64> + 'a {
        edges.areas.iter().zip(&self.grown).map(|(area, grown)| area * grown)
    }

    /// Counts slip from here on: `displacement` of every node of the mesh, mm.
    pub(crate) fn begin_slip(&mut self, edges: &MatedEdges, displacement: &[[f64; 2]]) {
        for place in 0..self.relative.len() {
            self.relative[place] = edges.relative(place, displacement);
        }
    }

    /// Takes over what an increment starts from.
    pub(super) fn take(&mut self, other: &Self) {
        self.allowance = other.allowance;
        self.normals.clone_from(&other.normals);
        self.status.clone_from(&other.status);
        self.force.clone_from(&other.force);
        self.relative.clone_from(&other.relative);
    }
}
