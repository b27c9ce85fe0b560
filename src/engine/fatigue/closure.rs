//! The closure-based growth equation: threshold, ratio and toughness in one law.
//!
//! ```text
//!   da/dN = C [ (1−f)/(1−R) ΔK ]ⁿ (1 − ΔK_th/ΔK)^p / (1 − K_max/K_c)^q
//!   f = max(R, A₀ + A₁R + A₂R² + A₃R³)  for R ≥ 0,   A₀ + A₁R  for −2 ≤ R < 0
//!   A₀ = (0.825 − 0.34α + 0.05α²)[cos(πs/2)]^(1/α)    A₁ = (0.415 − 0.071α) s
//!   A₃ = 2A₀ + A₁ − 1                                 A₂ = 1 − A₀ − A₁ − A₃
//! ```
//!
//! `f` is the opening stress over the maximum, `s` maximum stress over flow stress, `α` the
//! constraint, 1 in plane stress to 3 in plane strain.
//!
//! ```text
//!   ΔK_th = ΔK₁ √(a/(a+a₀)) [(1−R)/(1−f)]^(1+R c) / (1−A₀)^e
//!   c = c₊, e = (1−R) c₊ for R ≥ 0;   c = c₋, e = c₊ − R c₋ for R < 0
//! ```
//!
//! Sources, all from memory: the law R. G. Forman, S. R. Mettu, ASTM STP 1131 (1992, NASA
//! TM 104762 in 1990); the opening function J. C. Newman, Int. J. Fract. 24 (1984) R131; the
//! threshold in the later public form with `ΔK₁`.
//!
//! Below `R = −2` the opening function is held at its value there, so growth follows the
//! maximum alone.

use std::f64::consts::FRAC_PI_2;

use serde::{Deserialize, Serialize};

/// Lowest ratio the opening function was made for.
const LOWEST_RATIO: f64 = -2.0;

/// Constants of the closure-based equation, MPa√m and m as tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Closure {
    /// `C`, m a cycle.
    pub coefficient: f64,
    /// `n`.
    pub exponent: f64,
    /// `p` of the threshold term.
    pub threshold_power: f64,
    /// `q` of the toughness term.
    pub toughness_power: f64,
    /// `K_c` of the fit, MPa√m.
    pub toughness: f64,
    /// `ΔK₁`, threshold of a long crack towards ratio 1, MPa√m.
    pub threshold: f64,
    /// `c₊`.
    pub threshold_positive: f64,
    /// `c₋`.
    pub threshold_negative: f64,
    /// `a₀` of small cracks, m.
    pub small_crack: f64,
    /// The opening function.
    pub opening: Opening,
}

/// Opening function: opening stress over maximum stress against the ratio.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    /// `α`, 1 (plane stress) to 3 (plane strain).
    pub constraint: f64,
    /// `s`, maximum stress over flow stress.
    pub stress_share: f64,
}

impl Opening {
    /// `A₀` and `A₁`.
    fn first_two(&self) -> (f64, f64) {
        let (alpha, s) = (self.constraint, self.stress_share);
        let root = (FRAC_PI_2 * s).cos().powf(alpha.recip());
        ((0.825 - 0.34 * alpha + 0.05 * alpha * alpha) * root, (0.415 - 0.071 * alpha) * s)
    }

    /// `f` at `ratio`, held at its value at −2 below that; 1 at ratio 1.
    #[must_use]
    pub fn fraction(&self, ratio: f64) -> f64 {
        Self::fraction_from(self.first_two(), ratio)
    }

    /// The same from `A₀` and `A₁`.
    fn fraction_from((a0, a1): (f64, f64), ratio: f64) -> f64 {
        if ratio < 0.0 {
            return a0 + a1 * ratio.max(LOWEST_RATIO);
        }
        let a3 = 2.0 * a0 + a1 - 1.0;
        let a2 = 1.0 - a0 - a1 - a3;
        ratio.max(a0 + ratio * (a1 + ratio * (a2 + ratio * a3)))
    }
}

/// The terms of the rate that a load alone makes, for `k` √m of a crack and `s = √(a/(a+a₀))`:
/// `rate · kⁿ · (1 − s · threshold/k)^p / (1 − k · toughness)^q`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LoadTerms {
    /// m a cycle at 1 √m.
    pub(crate) rate: f64,
    /// √m.
    pub(crate) threshold: f64,
    /// 1/√m.
    pub(crate) toughness: f64,
}

impl Closure {
    /// Threshold range at `ratio` for a crack of `length` m, MPa√m.
    #[must_use]
    pub fn threshold_range(&self, ratio: f64, length: f64) -> f64 {
        self.small(length) * self.long_threshold(self.opening.first_two(), ratio)
    }

    /// The threshold of a crack of `length` m over that of a long one.
    fn small(&self, length: f64) -> f64 {
        (length / (length + self.small_crack)).sqrt()
    }

    /// Threshold range of a long crack at `ratio`, MPa√m, from `A₀` and `A₁`.
    fn long_threshold(&self, (a0, a1): (f64, f64), ratio: f64) -> f64 {
        // The opening function is held below −2, so the threshold must be too.
        let ratio = ratio.max(LOWEST_RATIO);
        let (spread, power) = if ratio >= 0.0 {
            (self.threshold_positive, (1.0 - ratio) * self.threshold_positive)
        } else {
            (self.threshold_negative, self.threshold_positive - ratio * self.threshold_negative)
        };
        let open = (1.0 - ratio) / (1.0 - Opening::fraction_from((a0, a1), ratio));
        self.threshold * open.powf(1.0 + ratio * spread) / (1.0 - a0).powf(power)
    }

    /// Growth, m a cycle, at `range` MPa√m and `ratio`; 0 below the threshold, `None` when
    /// the maximum reaches the toughness.
    #[must_use]
    pub fn rate(&self, range: f64, ratio: f64, length: f64) -> Option<f64> {
        let maximum = range / (1.0 - ratio);
        if maximum >= self.toughness {
            return None;
        }
        // Below −2 the part of the range that is beyond it does nothing.
        let range = maximum * (1.0 - ratio.max(LOWEST_RATIO));
        let opening = self.opening.first_two();
        let threshold = self.small(length) * self.long_threshold(opening, ratio);
        if range <= threshold {
            return Some(0.0);
        }
        let opened = (1.0 - Opening::fraction_from(opening, ratio)) * maximum;
        let near_threshold = (1.0 - threshold / range).powf(self.threshold_power);
        let near_toughness = (1.0 - maximum / self.toughness).powf(self.toughness_power);
        Some(self.coefficient * opened.powf(self.exponent) * near_threshold / near_toughness)
    }

    /// The terms of cycles whose stress intensities go with a load between `maximum`, above zero, and `minimum`.
    pub(crate) fn of_load(&self, maximum: f64, minimum: f64) -> LoadTerms {
        let (opening, ratio) = (self.opening.first_two(), minimum / maximum);
        let opened = (1.0 - Opening::fraction_from(opening, ratio)) * maximum;
        let range = maximum * (1.0 - ratio.max(LOWEST_RATIO));
        LoadTerms {
            rate: self.coefficient * opened.powf(self.exponent),
            threshold: self.long_threshold(opening, ratio) / range,
            toughness: maximum / self.toughness,
        }
    }

    /// The threshold and the power of the terms of a load, for a crack of `length` m with `k` √m: `[1/k of the threshold, kⁿ]`.
    pub(crate) fn at_crack(&self, k: f64, length: f64) -> [f64; 2] {
        [self.small(length) / k, k.powf(self.exponent)]
    }

    /// Whether the constants can be evaluated.
    #[must_use]
    pub(crate) fn is_sound(&self) -> bool {
        let positive = [self.coefficient, self.exponent, self.toughness];
        let not_negative = [
            self.threshold_power,
            self.toughness_power,
            self.threshold,
            self.threshold_positive,
            self.threshold_negative,
            self.small_crack,
        ];
        positive.iter().all(|v| *v > 0.0 && v.is_finite())
            && not_negative.iter().all(|v| *v >= 0.0 && v.is_finite())
            && (1.0..=3.0).contains(&self.opening.constraint)
            && (0.0..1.0).contains(&self.opening.stress_share)
    }
}
