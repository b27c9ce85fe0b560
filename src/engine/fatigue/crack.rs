//! A through crack that runs straight from the edge of a hole, or two equal ones.
//!
//! ```text
//!   behind edge │      behind        (R)        ahead        │ ahead edge
//!               │───────────────────( ○ )══a══►──────────────│
//! ```
//!
//! Distances to the edges are from the hole's *centre*, along the crack line; without an
//! edge the plate is infinite on that side. With two cracks both have the length `a`.
//!
//! A crack may also start at the edge of the plate and run towards a hole
//! ([`CrackGeometry::at_plate_edge`]); distances are then from the plate edge.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Longest crack over the hole radius for which the weight function is tabulated
/// ([`crate::fatigue::weight_table`]).
pub const LONGEST: f64 = 20.0;

/// Largest half length of hole and cracks together over the distance of their middle to an
/// edge for which the edge correction is used; see [`crate::fatigue::width`].
pub const LARGEST_SHARE: f64 = 0.9;

/// How many cracks the hole carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum CrackSides {
    /// One crack, on the side called ahead.
    One,
    /// Two equal cracks on opposite sides.
    Two,
}

/// Largest share of the metal between a plate edge and a hole that an edge crack may take; see
/// [`crate::fatigue::width`].
pub(crate) const LARGEST_EDGE_SHARE: f64 = 0.6;

/// Radius of an edge so flat that a crack of any length in a plate never sees its curvature, mm.
const FLAT: f64 = 1e6;

/// A hole, its crack or cracks, and the edges on the crack line. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CrackGeometry {
    radius: f64,
    sides: CrackSides,
    ahead: Option<f64>,
    behind: Option<f64>,
    /// Metal between the plate edge and the hole, for a crack that starts at the plate edge.
    ligament: Option<f64>,
}

/// A crack outside what this module can answer for. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum CrackError {
    /// A length that must be positive and finite is not.
    NotPositive {
        /// Which length.
        quantity: &'static str,
        /// Its value.
        value: f64,
    },
    /// The hole leaves too little of the plate for the edge correction.
    HoleTooNearEdge {
        /// Distance of the centre to the edge.
        distance: f64,
        /// Radius of the hole.
        radius: f64,
    },
    /// The crack is longer than the weight function or the edge correction holds for.
    TooLong {
        /// Length asked for.
        length: f64,
        /// Longest valid length.
        longest: f64,
    },
}

impl fmt::Display for CrackError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive { quantity, value } => {
                write!(f, "{quantity} {value} mm is not a positive length")
            }
            Self::HoleTooNearEdge { distance, radius } => write!(
                f,
                "a hole of radius {radius} mm is too near an edge {distance} mm from its centre \
                 for the edge correction"
            ),
            Self::TooLong { length, longest } => {
                write!(f, "crack length {length} mm is beyond the longest valid one, {longest} mm")
            }
        }
    }
}

impl std::error::Error for CrackError {}

fn positive(quantity: &'static str, value: f64) -> Result<f64, CrackError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(CrackError::NotPositive { quantity, value })
    }
}

impl CrackGeometry {
    /// A hole of `radius` mm with cracks in an infinite plate.
    ///
    /// # Errors
    /// [`CrackError::NotPositive`].
    pub fn new(radius: f64, sides: CrackSides) -> Result<Self, CrackError> {
        let radius = positive("hole radius", radius)?;
        Ok(Self { radius, sides, ahead: None, behind: None, ligament: None })
    }

    /// A crack from the edge of the plate towards a hole whose edge is `ligament` mm away.
    ///
    /// # Errors
    /// [`CrackError::NotPositive`].
    pub fn at_plate_edge(ligament: f64) -> Result<Self, CrackError> {
        let ligament = Some(positive("ligament", ligament)?);
        Ok(Self { ligament, ..Self::new(FLAT, CrackSides::One)? })
    }

    /// Metal between plate edge and hole, mm, when the crack starts at the plate edge.
    #[must_use]
    pub fn ligament(&self) -> Option<f64> {
        self.ligament
    }

    /// The same with free edges, each distance in mm from the hole's centre.
    ///
    /// # Errors
    /// [`CrackError::NotPositive`], [`CrackError::HoleTooNearEdge`].
    pub fn with_edges(self, ahead: Option<f64>, behind: Option<f64>) -> Result<Self, CrackError> {
        for distance in [ahead, behind].into_iter().flatten() {
            positive("distance to the edge", distance)?;
            if self.radius >= LARGEST_SHARE * distance {
                return Err(CrackError::HoleTooNearEdge { distance, radius: self.radius });
            }
        }
        Ok(Self { ahead, behind, ..self })
    }

    /// Hole radius, mm.
    #[must_use]
    pub fn radius(&self) -> f64 {
        self.radius
    }

    /// One crack or two.
    #[must_use]
    pub fn sides(&self) -> CrackSides {
        self.sides
    }

    /// Distance of the centre to the edge ahead, mm.
    #[must_use]
    pub fn ahead(&self) -> Option<f64> {
        self.ahead
    }

    /// Distance of the centre to the edge behind, mm.
    #[must_use]
    pub fn behind(&self) -> Option<f64> {
        self.behind
    }

    /// Half length of hole and cracks together, mm, and how far its middle has moved ahead of
    /// the hole's centre, mm, for crack length `a`.
    #[must_use]
    pub fn span(&self, a: f64) -> (f64, f64) {
        match self.sides {
            CrackSides::One => (self.radius + 0.5 * a, 0.5 * a),
            CrackSides::Two => (self.radius + a, 0.0),
        }
    }

    /// Longest crack this module answers for, mm: the weight function ends at
    /// [`LONGEST`] radii, the edge correction where hole and cracks take [`LARGEST_SHARE`] of
    /// the way from their middle to an edge.
    #[must_use]
    pub fn longest(&self) -> f64 {
        if let Some(ligament) = self.ligament {
            return LARGEST_EDGE_SHARE * ligament;
        }
        let share = LARGEST_SHARE;
        let mut longest = LONGEST * self.radius;
        for (edge, grows_away) in [(self.ahead, -0.5), (self.behind, 0.5)] {
            if let Some(edge) = edge {
                longest = longest.min(match self.sides {
                    CrackSides::One => (share * edge - self.radius) / (0.5 - share * grows_away),
                    CrackSides::Two => share * edge - self.radius,
                });
            }
        }
        longest
    }

    /// Whether [`longest`](Self::longest) is set by a free edge, not by the weight function.
    #[must_use]
    pub fn ends_at_edge(&self) -> bool {
        self.longest() < LONGEST * self.radius
    }

    /// `a` itself when it is a valid crack length in mm.
    ///
    /// # Errors
    /// [`CrackError::NotPositive`], [`CrackError::TooLong`].
    pub fn valid_length(&self, a: f64) -> Result<f64, CrackError> {
        positive("crack length", a)?;
        let longest = self.longest();
        // One part in 1e9: the longest length itself, through logarithms, must pass.
        if a > longest * (1.0 + 1e-9) {
            return Err(CrackError::TooLong { length: a, longest });
        }
        Ok(a)
    }

    /// Gross section over net section along the crack line: what multiplies the remote stress
    /// to give the mean stress of the ligaments. `None` unless both edges are given.
    ///
    /// Bending of an eccentric net section is left out.
    #[must_use]
    pub fn gross_over_net(&self, a: f64) -> Option<f64> {
        let width = self.ahead? + self.behind?;
        let (half, _) = self.span(a);
        Some(width / (width - 2.0 * half))
    }
}
