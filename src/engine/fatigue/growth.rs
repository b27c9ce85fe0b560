//! Growth laws: crack growth a cycle from the range and ratio of stress intensity.
//!
//! ```text
//!   Paris    C ΔKᵐ                      Walker  C [ΔK/(1−R)^(1−γ)]ᵐ
//!   Forman   C ΔKⁿ/[(1−R)K_c − ΔK]      closure: see [`crate::fatigue::closure`]
//! ```
//!
//! **Units.** Constants are kept as tables print them: da/dN in m a cycle, K in MPa√m. The
//! crate works in mm and MPa√mm; this file alone converts, in [`GrowthLaw::growth`] and by
//! [`ROOT_METRE`].
//!
//! Worked line (a test): Paris, C = 1e-10, m = 3, ΔK = 10 MPa√m = 316.2 MPa√mm gives
//! 1e-7 m = 1e-4 mm a cycle.
//!
//! Sources: P. Paris, F. Erdogan, J. Basic Eng. 85 (1963) 528; K. Walker, ASTM STP 462 (1970)
//! 1; R. G. Forman, V. E. Kearney, R. M. Engle, J. Basic Eng. 89 (1967) 459 (from memory).

use serde::{Deserialize, Serialize};

use crate::fatigue::closure::Closure;
use crate::fatigue::intensity::{ContactRule, IntensityCycle};

/// One MPa√m in MPa√mm, `√1000`.
pub const ROOT_METRE: f64 = 31.622_776_601_683_793;
/// One metre in mm.
pub(crate) const METRE: f64 = 1000.0;

/// A growth law; rates in m a cycle, stress intensities in MPa√m, as tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "law", rename_all = "lowercase", deny_unknown_fields)]
pub enum GrowthLaw {
    /// A power of the range, whatever the ratio.
    Paris {
        /// `C`, m a cycle at 1 MPa√m.
        coefficient: f64,
        /// `m`.
        exponent: f64,
        /// Range below which nothing grows, MPa√m.
        threshold: Option<f64>,
    },
    /// A power of the range, moved by the ratio.
    Walker {
        /// `C` at ratio 0.
        coefficient: f64,
        /// `m`.
        exponent: f64,
        /// `γ`, 1 for no effect of the ratio.
        gamma: f64,
        /// Range at ratio 0 below which nothing grows, MPa√m; compared with the range that
        /// the law moves to ratio 0.
        threshold: Option<f64>,
    },
    /// Rises without bound as the maximum nears a toughness.
    Forman {
        /// `C`, in m a cycle times MPa√m over (MPa√m)ⁿ.
        coefficient: f64,
        /// `n`.
        exponent: f64,
        /// Apparent toughness `K_c` of the fit, MPa√m.
        toughness: f64,
        /// Range below which nothing grows, MPa√m.
        threshold: Option<f64>,
    },
    /// The closure-based equation with threshold and toughness.
    Closure(Closure),
}

/// Growth of a crack in one cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Growth {
    /// Nothing.
    None,
    /// Growth, mm a cycle, finite and positive.
    Rate(f64),
    /// The maximum reaches the toughness in the law: it runs.
    Unstable,
}

impl Growth {
    /// mm a cycle: 0 for none, infinity when unstable.
    #[must_use]
    pub fn rate(self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Rate(rate) => rate,
            Self::Unstable => f64::INFINITY,
        }
    }
}

impl GrowthLaw {
    /// Name of the law in a case file.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Paris { .. } => "paris",
            Self::Walker { .. } => "walker",
            Self::Forman { .. } => "forman",
            Self::Closure(_) => "closure",
        }
    }

    /// Growth in one cycle at a crack of `length` mm (which only the threshold of the closure
    /// law reads).
    #[must_use]
    pub fn growth(&self, cycle: &IntensityCycle, length: f64) -> Growth {
        let range = cycle.range.0 / ROOT_METRE;
        let ratio = cycle.ratio.0;
        // A range that is no number must never look like a crack that does not grow.
        if !(range.is_finite() && ratio.is_finite()) {
            return Growth::Unstable;
        }
        if range <= 0.0 {
            return Growth::None;
        }
        let below = |threshold: Option<f64>, range: f64| threshold.is_some_and(|t| range <= t);
        let rate = match *self {
            Self::Paris { threshold, .. } | Self::Forman { threshold, .. }
                if below(threshold, range) =>
            {
                0.0
            }
            Self::Paris { coefficient, exponent, .. } => coefficient * range.powf(exponent),
            Self::Walker { coefficient, exponent, gamma, threshold } => {
                let moved = range / (1.0 - ratio).powf(1.0 - gamma);
                if below(threshold, moved) { 0.0 } else { coefficient * moved.powf(exponent) }
            }
            Self::Forman { coefficient, exponent, toughness, .. } => {
                let left = (1.0 - ratio) * toughness - range;
                if left <= 0.0 {
                    return Growth::Unstable;
                }
                coefficient * range.powf(exponent) / left
            }
            Self::Closure(law) => match law.rate(range, ratio, length / METRE) {
                Some(rate) => rate,
                None => return Growth::Unstable,
            },
        };
        let rate = rate * METRE;
        if rate > 0.0 { Growth::Rate(rate) } else { Growth::None }
    }

    /// Whether the law says something of negative ratios, so that the full range may be used.
    ///
    /// Walker's form is extended below its tests; Paris and Forman hold no ratio effect there
    /// that is safe to use.
    #[must_use]
    pub(crate) fn holds_negative_ratios(&self) -> bool {
        matches!(self, Self::Walker { .. } | Self::Closure(_))
    }

    /// Whether some cycles grow nothing at all: growth summed over a spectrum is then not smooth in the length of the crack.
    #[must_use]
    pub(crate) fn has_threshold(&self) -> bool {
        match self {
            Self::Paris { threshold, .. }
            | Self::Walker { threshold, .. }
            | Self::Forman { threshold, .. } => threshold.is_some(),
            Self::Closure(_) => true,
        }
    }

    /// The part of a cycle that the law was fitted with.
    ///
    /// The closure-based law has its own opening function, down to a ratio of −2, and gets the whole
    /// range with its ratio. The others were fitted to cycles that stay open; where superposition
    /// closes the crack they get its open part at ratio 0 (common practice, no source).
    #[must_use]
    pub fn contact_rule(&self) -> ContactRule {
        match self {
            Self::Closure(_) => ContactRule::FullRange,
            Self::Paris { .. } | Self::Walker { .. } | Self::Forman { .. } => ContactRule::OpenPart,
        }
    }

    /// Toughness inside the law, MPa√mm: a parameter of a fit, not a material property.
    #[must_use]
    pub fn apparent_toughness(&self) -> Option<f64> {
        match self {
            Self::Forman { toughness, .. } => Some(toughness * ROOT_METRE),
            Self::Closure(law) => Some(law.toughness * ROOT_METRE),
            Self::Paris { .. } | Self::Walker { .. } => None,
        }
    }

    /// Whether the constants can be evaluated: positive, finite, `γ` from 0 to 1.
    #[must_use]
    pub(crate) fn is_sound(&self) -> bool {
        let positive = |values: &[f64]| values.iter().all(|v| *v > 0.0 && v.is_finite());
        let threshold_sound = |t: Option<f64>| t.is_none_or(|t| t >= 0.0 && t.is_finite());
        match *self {
            Self::Paris { coefficient, exponent, threshold } => {
                positive(&[coefficient, exponent]) && threshold_sound(threshold)
            }
            Self::Walker { coefficient, exponent, gamma, threshold } => {
                positive(&[coefficient, exponent])
                    && (0.0..=1.0).contains(&gamma)
                    && threshold_sound(threshold)
            }
            Self::Forman { coefficient, exponent, toughness, threshold } => {
                positive(&[coefficient, exponent, toughness]) && threshold_sound(threshold)
            }
            Self::Closure(law) => law.is_sound(),
        }
    }
}
