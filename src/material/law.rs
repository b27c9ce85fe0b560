//! The laws of isotropic hardening, each formula once: for one number or one of each of four points.
//!
//! A law is a structure of its constants. [`Law::stress_and_modulus`] gives `σ_y(p)` and `dσ_y/dp`,
//! both in MPa, from the initial yield stress; the return map needs both at once, and most of their
//! price is one exponential. A new law is a structure here, a variant of
//! [`Isotropic`](crate::material::hardening::Isotropic) and an arm in its `evaluate`.
//!
//! Floor 1, `material`.

use std::ops::{Add, Div, Mul, Sub};

use serde::{Deserialize, Serialize};
use simba::simd::{SimdBool, SimdPartialOrd};

use crate::material::lanes::{Four, all, exponential};

/// Plastic strain that the offset yield stress of a tensile test is defined at.
pub(crate) const OFFSET: f64 = 0.002;

/// Plastic strain at which a Ramberg–Osgood metal is taken to start yielding.
///
/// The law itself has no elastic range: `σ = σ₀.₂ (p/0.002)^(1/n)` starts at zero
/// with an infinite slope. Shifting the curve by this much gives the return map a
/// finite slope and moves the stress at `p = 0.002` by 0.05 %/n only.
const RAMBERG_OSGOOD_START: f64 = 1e-6;

/// Exponent beyond which `1 − e^(−x)` is 1 in double precision.
const SATURATED: f64 = 40.0;

/// One number, or one for each of four points.
pub(crate) trait Number:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self>
{
    /// The same number for every point.
    fn of(value: f64) -> Self;

    /// `e^(−x)` for `x ≥ 0`, zero where that is below rounding beside 1.
    fn fading(x: Self) -> Self;

    /// A pair of numbers of every point by itself, where there is no formula for all.
    fn each(self, pair: impl Fn(f64) -> (f64, f64)) -> (Self, Self);
}

impl Number for f64 {
    fn of(value: f64) -> Self {
        value
    }

    fn fading(x: Self) -> Self {
        if x > SATURATED { 0.0 } else { (-x).exp() }
    }

    fn each(self, pair: impl Fn(f64) -> (f64, f64)) -> (Self, Self) {
        pair(self)
    }
}

impl Number for Four {
    fn of(value: f64) -> Self {
        all(value)
    }

    fn fading(x: Self) -> Self {
        // The exponential is what a call costs.
        if x.simd_gt(all(SATURATED)).all() { Four::ZERO } else { exponential(-x) }
    }

    fn each(self, pair: impl Fn(f64) -> (f64, f64)) -> (Self, Self) {
        (self.map(|p| pair(p).0), self.map(|p| pair(p).1))
    }
}

/// A law of isotropic hardening.
pub(crate) trait Law {
    /// Yield stress and hardening modulus at `p ≥ 0`, MPa; `initial` is the yield stress that the
    /// metal is given with. The modulus is right-sided at a corner of the curve: it enters the
    /// consistent tangent, so a slope that is merely close costs Newton's method its rate.
    fn stress_and_modulus<N: Number>(&self, initial: f64, p: N) -> (N, N);
}

/// `σ_y = σ₀ + h p`.
pub(crate) struct Linear {
    /// `h`, MPa.
    pub(crate) slope: f64,
}

impl Law for Linear {
    fn stress_and_modulus<N: Number>(&self, initial: f64, p: N) -> (N, N) {
        (N::of(initial) + N::of(self.slope) * p, N::of(self.slope))
    }
}

/// One saturating term `Q (1 − e^(−b p))`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VoceTerm {
    /// Rise to saturation `Q`, MPa; negative where the yield surface shrinks.
    pub saturation: f64,
    /// Rate `b`, dimensionless.
    pub rate: f64,
}

/// `σ_y = σ₀ + Σ Qᵢ (1 − e^(−bᵢ p)) + h p`.
pub(crate) struct Voce<'a> {
    pub(crate) terms: &'a [VoceTerm],
    /// `h`, MPa.
    pub(crate) slope: f64,
}

impl Law for Voce<'_> {
    fn stress_and_modulus<N: Number>(&self, initial: f64, p: N) -> (N, N) {
        let straight = Linear { slope: self.slope }.stress_and_modulus(initial, p);
        self.terms.iter().fold(straight, |(stress, modulus), term| {
            let missing = N::of(term.saturation) * N::fading(N::of(term.rate) * p);
            (stress + (N::of(term.saturation) - missing), modulus + N::of(term.rate) * missing)
        })
    }
}

/// `σ_y = σ₀.₂ (p/0.002)^(1/n)`, shifted so that it starts with a finite slope.
pub(crate) struct RambergOsgood {
    /// `n`.
    pub(crate) exponent: f64,
}

impl Law for RambergOsgood {
    fn stress_and_modulus<N: Number>(&self, initial: f64, p: N) -> (N, N) {
        p.each(|p| {
            let shifted = p + RAMBERG_OSGOOD_START;
            let stress = initial * (shifted / OFFSET).powf(self.exponent.recip());
            (stress, stress / (self.exponent * shifted))
        })
    }
}

/// Straight lines between points `[p, σ]`, MPa; flat beyond the last.
pub(crate) struct Table<'a> {
    pub(crate) points: &'a [[f64; 2]],
}

impl Law for Table<'_> {
    fn stress_and_modulus<N: Number>(&self, _: f64, p: N) -> (N, N) {
        p.each(|p| {
            let right = self.points.partition_point(|point| point[0] <= p);
            let start = self.points[right.max(1) - 1];
            let slope =
                self.points.get(right).map_or(0.0, |end| (end[1] - start[1]) / (end[0] - start[0]));
            (start[1] + slope * (p - start[0]), slope)
        })
    }
}
