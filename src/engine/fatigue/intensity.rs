//! Stress intensity against crack length with its parts, and what a cycle makes of them.
//!
//! ```text
//!   K(a, S) = C·[K_load(a) + K_hole(a)]·S + K_residual(a)
//! ```
//!
//! Each part is the weight function on an *uncracked* elastic hoop profile along the crack
//! line: `load` per MPa of remote stress, `hole` the hoop stress that pressure or a pin in the
//! hole makes, per MPa of pressure, times pressure over remote stress (they rise together),
//! `residual` what the process left. `C` is the edge correction of [`crate::fatigue::width`].
//!
//! **Residual part and edges.** The residual field balances over the section. Where its K is
//! positive it gets `C` like the load; where it is negative, `C` would deepen the benefit by
//! a factor made for another load, so by default it is left out ([`ResidualEdges`]).
//!
//! **Contact.** Superposition gives a negative total where the faces press on each other. Such
//! a K is reported, never used: [`CrackState`] says so and [`ContactRule`] says what the cycle
//! counts for. What is left out: faces that touch near the mouth while the tip is open
//! wedge the crack, raising the minimum; without it the range comes out on the safe side.
//!
//! A residual K from two cracks stays negative far beyond the compressed zone: what counts is
//! the stress along the whole crack, not at its tip.

use serde::{Deserialize, Serialize};

use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::cycle::{IntensityRange, StressCycle, StressRatio};
use crate::fatigue::weight_function::{Beyond, WeightError, infinite_plate};
use crate::fatigue::width::edge_correction;
use crate::numeric::profile::Profile;

/// Whether the edge correction multiplies a negative residual part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ResidualEdges {
    /// Only a positive part is raised: the safe side.
    #[default]
    SafeSide,
    /// Both signs are raised like the load.
    LikeLoad,
}

/// How a cycle counts whose superposed minimum is below zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ContactRule {
    /// The open part alone: `ΔK = K_max`, ratio 0 (common practice).
    #[default]
    OpenPart,
    /// The whole range and the negative ratio, for a law that was made for it.
    FullRange,
}

/// Whether the crack faces touch in a cycle, by the signs of the superposed K.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CrackState {
    /// Open all the way: minimum not below zero.
    Open,
    /// Open at the maximum, closed at the minimum.
    PartlyClosed,
    /// Closed all the way: no growth.
    Closed,
}

/// A crack with its profiles.
#[derive(Clone, Debug, PartialEq)]
pub struct StressIntensity {
    geometry: CrackGeometry,
    load: Profile,
    hole: Option<(Profile, f64)>,
    residual: Option<Profile>,
    residual_edges: ResidualEdges,
}

/// The parts of K at one crack length; MPa√mm, those of the load per MPa of remote stress.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Parts {
    /// Crack length, mm.
    pub length: f64,
    /// Of the remote load, per MPa of remote stress, edge correction included.
    pub load: f64,
    /// Of pressure or pin in the hole, per MPa of *remote* stress, edge correction included.
    pub hole: f64,
    /// Of the residual field.
    pub residual: f64,
    /// The edge correction `C`.
    pub edge_correction: f64,
}

/// A cycle at the crack tip, MPa√mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct IntensityCycle {
    /// Superposed maximum; may be negative, then the crack is closed.
    pub maximum: f64,
    /// Superposed minimum; may be negative.
    pub minimum: f64,
    /// Range that counts, by the contact rule.
    pub range: IntensityRange,
    /// Effective ratio that counts, by the contact rule.
    pub ratio: StressRatio,
    /// Whether the faces touch.
    pub state: CrackState,
}

impl StressIntensity {
    /// A crack under the hoop profile `load`, MPa per MPa of remote stress against mm from the
    /// hole edge; the profile must cover the crack.
    #[must_use]
    pub fn new(geometry: CrackGeometry, load: Profile) -> Self {
        let residual_edges = ResidualEdges::default();
        Self { geometry, load, hole: None, residual: None, residual_edges }
    }

    /// Adds the hoop profile that pressure in the hole makes, MPa per MPa of pressure, and
    /// the pressure for each MPa of remote stress. The profile must cover the crack.
    #[must_use]
    pub fn with_hole_load(self, hoop: Profile, pressure_over_stress: f64) -> Self {
        Self { hole: Some((hoop, pressure_over_stress)), ..self }
    }

    /// Adds a residual hoop profile, MPa; beyond its last point there is none.
    #[must_use]
    pub fn with_residual(self, hoop: Profile) -> Self {
        Self { residual: Some(hoop), ..self }
    }

    /// Chooses what edges do to a negative residual part.
    #[must_use]
    pub fn with_residual_edges(self, residual_edges: ResidualEdges) -> Self {
        Self { residual_edges, ..self }
    }

    /// The crack.
    #[must_use]
    pub fn geometry(&self) -> &CrackGeometry {
        &self.geometry
    }

    /// The parts of K for a crack of length `a` mm.
    ///
    /// # Errors
    /// [`WeightError`]: a crack beyond its limits, a profile that does not cover it.
    pub fn at(&self, a: f64) -> Result<Parts, WeightError> {
        let part = |profile: &Profile, beyond| infinite_plate(&self.geometry, profile, a, beyond);
        let edge = edge_correction(&self.geometry, a);
        let hole = match &self.hole {
            Some((hoop, share)) => share * part(hoop, Beyond::Refuse)?,
            None => 0.0,
        };
        let residual = match &self.residual {
            Some(hoop) => part(hoop, Beyond::Zero)?,
            None => 0.0,
        };
        let raised = residual > 0.0 || self.residual_edges == ResidualEdges::LikeLoad;
        Ok(Parts {
            length: a,
            load: edge * part(&self.load, Beyond::Refuse)?,
            hole: edge * hole,
            residual: if raised { edge * residual } else { residual },
            edge_correction: edge,
        })
    }
}

impl Parts {
    /// Load and hole together, per MPa of remote stress.
    #[must_use]
    pub fn per_stress(&self) -> f64 {
        self.load + self.hole
    }

    /// Superposed K under remote `stress` MPa; negative when the crack is closed.
    #[must_use]
    pub fn total(&self, stress: f64) -> f64 {
        self.per_stress() * stress + self.residual
    }

    /// Stress intensities at the tip in a cycle of remote stress.
    #[must_use]
    pub fn cycle(&self, cycle: &StressCycle, rule: ContactRule) -> IntensityCycle {
        let ends = [cycle.maximum(), cycle.minimum()].map(|stress| self.total(stress));
        IntensityCycle::between(ends, rule)
    }
}

impl IntensityCycle {
    /// A cycle between two superposed stress intensities, in either order.
    #[must_use]
    pub fn between([one, other]: [f64; 2], rule: ContactRule) -> Self {
        let (maximum, minimum) = (one.max(other), one.min(other));
        let (state, range, ratio) = if maximum <= 0.0 {
            (CrackState::Closed, 0.0, 0.0)
        } else if minimum >= 0.0 {
            (CrackState::Open, maximum - minimum, minimum / maximum)
        } else {
            match rule {
                ContactRule::OpenPart => (CrackState::PartlyClosed, maximum, 0.0),
                ContactRule::FullRange => {
                    (CrackState::PartlyClosed, maximum - minimum, minimum / maximum)
                }
            }
        };
        let (range, ratio) = (IntensityRange(range), StressRatio(ratio));
        Self { maximum, minimum, range, ratio, state }
    }
}
