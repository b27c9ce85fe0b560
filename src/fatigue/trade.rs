//! What expansion is worth: the stress, thickness, alloy or mass a plain hole needs for the
//! same life, and how much the stress may rise with expansion.
//!
//! Load for each width is held, so thickness goes as one over the stress, and mass as
//! thickness times density. The crack, the hole and the rest of the design stay as they are;
//! a toughness that falls with thickness is not followed.
//!
//! With the expanded hole the residual field is taken as it stands: stresses raised until
//! the material at the edge yields again would relax it.
//!
//! Floor 6, `fatigue`.

use std::fmt;

use serde::Serialize;

use crate::fatigue::constants::Origin;
use crate::fatigue::life::Grower;
use crate::fatigue::sequence::LoadSequence;

/// Stress factors between which an answer is sought.
pub const WIDEST: [f64; 2] = [0.05, 20.0];
/// Halvings of the logarithm of the factor: 6 over 2⁴⁰ is far below the error of a life.
const HALVINGS: usize = 40;

/// A plain hole with the life that was asked for, relative to the expanded hole.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlainEquivalent {
    /// Name of the material.
    pub material: String,
    /// Every stress of the sequence times this gives the life.
    pub stress_factor: f64,
    /// Thickness over that of the expanded part: one over the stress factor.
    pub thickness_ratio: f64,
    /// Mass over that of the expanded part.
    pub mass_ratio: f64,
    /// Origin of the growth constants.
    pub origin: Origin,
}

/// Why a trade has no answer.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum TradeError {
    /// The life asked for is not a positive, finite number of cycles: with an endless life,
    /// name the life that is needed instead.
    EndlessTarget {
        /// Cycles asked for.
        cycles: f64,
    },
    /// At the lowest stress factor the life is still too short.
    NeverLongEnough {
        /// The factor.
        factor: f64,
    },
    /// At the highest stress factor the life is still longer.
    AlwaysLongEnough {
        /// The factor.
        factor: f64,
    },
}

impl fmt::Display for TradeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::EndlessTarget { cycles } => {
                write!(f, "a trade needs a life with an end, not {cycles} cycles")
            }
            Self::NeverLongEnough { factor } => {
                write!(f, "even at {factor} times the stress the life is too short")
            }
            Self::AlwaysLongEnough { factor } => {
                write!(f, "even at {factor} times the stress the life is longer")
            }
        }
    }
}

impl std::error::Error for TradeError {}

/// The factor on every stress of `sequence` at which the crack lives `cycles`.
///
/// Sought by halving, because a life may be endless below a stress; with an arrest the
/// answer is the factor at which it gives way to the life asked for, or a longer one.
///
/// # Errors
/// [`TradeError`].
pub fn stress_factor(
    grower: &Grower,
    sequence: &LoadSequence,
    cycles: f64,
) -> Result<f64, TradeError> {
    if !(cycles > 0.0 && cycles.is_finite()) {
        return Err(TradeError::EndlessTarget { cycles });
    }
    let lives = |factor: f64| grower.life(&sequence.scaled(factor)).cycles_borne() >= cycles;
    let [lowest, highest] = WIDEST;
    if !lives(lowest) {
        return Err(TradeError::NeverLongEnough { factor: lowest });
    }
    if lives(highest) {
        return Err(TradeError::AlwaysLongEnough { factor: highest });
    }
    let (mut low, mut high) = (lowest.ln(), highest.ln());
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if lives(middle.exp()) { low = middle } else { high = middle }
    }
    Ok((0.5 * (low + high)).exp())
}

/// A plain hole in `material` that lives `cycles`: `plain` is its crack, without residual
/// field, in that material; `density_ratio` its density over that of the expanded part.
///
/// # Errors
/// [`TradeError`].
pub fn plain_equivalent(
    material: &str,
    plain: &Grower,
    sequence: &LoadSequence,
    cycles: f64,
    density_ratio: f64,
) -> Result<PlainEquivalent, TradeError> {
    let stress_factor = stress_factor(plain, sequence, cycles)?;
    let thickness_ratio = stress_factor.recip();
    Ok(PlainEquivalent {
        material: material.to_owned(),
        stress_factor,
        thickness_ratio,
        mass_ratio: thickness_ratio * density_ratio,
        origin: plain.origin().clone(),
    })
}

/// How much every stress may rise with expansion for the life of the plain hole: the factor
/// on `sequence` at which `expanded` lives as long as `plain` does under it.
///
/// # Errors
/// [`TradeError`]; the plain life must have an end.
pub fn allowed_rise(
    plain: &Grower,
    expanded: &Grower,
    sequence: &LoadSequence,
) -> Result<f64, TradeError> {
    stress_factor(expanded, sequence, plain.life(sequence).cycles_borne())
}
