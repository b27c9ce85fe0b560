//! Value of expansion: the stress, thickness, alloy or mass a plain hole needs for the
//! same life, and how much the stress may rise with expansion.
//!
//! Load for each width is held, so thickness goes as one over the stress, and mass as
//! thickness times density. The crack, the hole and the rest of the design stay as they are;
//! a toughness that falls with thickness is not followed.
//!
//! Here the residual field of the expanded hole is taken as it stands; `study::life` solves it anew
//! for every stress that makes the plate yield under load.

use std::fmt;

use serde::Serialize;

use crate::fatigue::crack_life::Grower;
use crate::fatigue::origin::Origin;
use crate::fatigue::sequence::LoadSequence;

/// Stress factors between which an answer is sought.
pub const WIDEST: [f64; 2] = [0.05, 20.0];
/// Most turns of the search.
const HALVINGS: usize = 60;
/// Width of the logarithm of the factor at which the search ends.
const CLOSE: f64 = 1e-9;
/// Lives whose logarithms differ by less are the same.
const SAME_LIFE: f64 = 1e-6;

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
            Self::EndlessTarget { cycles } if *cycles == 0.0 => {
                f.write_str("the hole fails at once, so there is no life to compare with")
            }
            Self::EndlessTarget { .. } => {
                f.write_str("the life has no end, so there is no life to compare with")
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
    factor_for(|factor| grower.cycles_borne(&sequence.scaled(factor)), cycles, WIDEST)
}

/// The factor between `lowest` and `highest` at which `life`, which falls with the factor, is `cycles`.
///
/// False position on the logarithms of life and factor, weighted as in N. Anderson, Å. Björck, BIT 13 (1973) 253
/// (from memory), while both ends are finite and the bracket shrinks; else halving.
///
/// # Errors
/// [`TradeError`].
pub fn factor_for(
    life: impl Fn(f64) -> f64,
    cycles: f64,
    [lowest, highest]: [f64; 2],
) -> Result<f64, TradeError> {
    if !(cycles > 0.0 && cycles.is_finite()) {
        return Err(TradeError::EndlessTarget { cycles });
    }
    // Above zero: the factor is too low.
    let spare = |x: f64| (life(x.exp()) / cycles).ln();
    let (mut low, mut high) = (lowest.ln(), highest.ln());
    let (mut at_low, mut at_high) = (spare(low), spare(high));
    if at_low < 0.0 {
        return Err(TradeError::NeverLongEnough { factor: lowest });
    }
    if at_high >= 0.0 {
        return Err(TradeError::AlwaysLongEnough { factor: highest });
    }
    // The side that moved last, and the bracket three turns ago.
    let (mut last, mut before) = (None, high - low);
    for turn in 0..HALVINGS {
        if high - low < CLOSE {
            break;
        }
        let mut straight = at_low.is_finite() && at_high.is_finite();
        if turn % 3 == 2 {
            straight &= high - low < 0.5 * before;
            before = high - low;
        }
        let middle = if straight {
            low + at_low / (at_low - at_high) * (high - low)
        } else {
            0.5 * (low + high)
        };
        let found = spare(middle);
        if found.abs() < SAME_LIFE {
            return Ok(middle.exp());
        }
        // An end that stays twice counts for less, so that it does not stay for ever.
        let weight = |replaced: f64| {
            let kept = 1.0 - found / replaced;
            if kept > 0.0 { kept } else { 0.5 }
        };
        let lower = found > 0.0;
        if lower {
            if straight && last == Some(lower) {
                at_high *= weight(at_low);
            }
            (low, at_low) = (middle, found);
        } else {
            if straight && last == Some(lower) {
                at_low *= weight(at_high);
            }
            (high, at_high) = (middle, found);
        }
        last = straight.then_some(lower);
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
    stress_factor(expanded, sequence, plain.cycles_borne(sequence))
}
