//! The laws of isotropic hardening, each formula once: for one number or one of each of four points.
//!
//! A law is a function of the equivalent plastic strain `p = ∫ √(2/3 dεᵖ:dεᵖ)`, which never decreases,
//! and a structure of its constants. [`Law::stress_and_modulus`] gives `σ_y(p)` and `dσ_y/dp`,
//! both in MPa, from the initial yield stress; the return map needs both at once, and most of their
//! price is one exponential. A new law is a structure here, a variant of [`Isotropic`] and an arm in its
//! `evaluate`.

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
pub(crate) const RAMBERG_OSGOOD_START: f64 = 1e-6;

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

/// Course of a tabulated curve beyond its last point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PastEnd {
    /// The last stress goes on unchanged.
    #[default]
    Flat,
    /// The run warns that it left the table (and goes on flat).
    Warn,
}

/// Growth of the yield stress above the initial one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Isotropic {
    /// The yield stress stays what it is.
    #[default]
    None,
    /// `σ_y = σ₀ + h p`.
    Linear {
        /// Slope `h`, MPa.
        slope: f64,
    },
    /// `σ_y = σ₀ + Σ Qᵢ (1 − e^(−bᵢ p)) + h p`.
    ///
    /// Source: E. Voce, J. Inst. Metals 74 (1948) 537–562 (from memory); the
    /// linear part and the sum are common practice.
    Voce {
        /// Saturating terms.
        terms: Vec<VoceTerm>,
        /// Slope `h` that remains, MPa.
        slope: f64,
    },
    /// `σ_y = σ₀.₂ (p/0.002)^(1/n)`, where the initial yield stress of the metal
    /// stands for the 0.2 % offset stress `σ₀.₂`.
    ///
    /// Source: W. Ramberg and W. R. Osgood, NACA TN 902 (1943) (from memory).
    RambergOsgood {
        /// Exponent `n`, larger than 1.
        exponent: f64,
    },
    /// Straight lines between points of true stress against plastic strain. The
    /// first point is at `p = 0` and its stress is the initial yield stress.
    Table {
        /// Points `[p, σ]`, σ in MPa; p rises strictly, σ never falls.
        points: Vec<[f64; 2]>,
        /// Course beyond the last point.
        past_end: PastEnd,
    },
}

impl Isotropic {
    /// Yield stress and hardening modulus at `p`, MPa, from the `initial` yield stress.
    pub(crate) fn evaluate<N: Number>(&self, initial: f64, p: N) -> (N, N) {
        match self {
            Self::None => Linear { slope: 0.0 }.stress_and_modulus(initial, p),
            Self::Linear { slope } => Linear { slope: *slope }.stress_and_modulus(initial, p),
            Self::Voce { terms, slope } => {
                Voce { terms, slope: *slope }.stress_and_modulus(initial, p)
            }
            Self::RambergOsgood { exponent } => {
                RambergOsgood { exponent: *exponent }.stress_and_modulus(initial, p)
            }
            Self::Table { points, .. } => Table { points }.stress_and_modulus(initial, p),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::elasticity::Elasticity;
    use crate::material::hardening::{Hardening, Material};
    use approx::assert_relative_eq;
    use simba::simd::SimdValue;

    fn metals() -> Vec<Material> {
        let laws = [
            Isotropic::None,
            Isotropic::Linear { slope: 800.0 },
            Isotropic::Voce {
                terms: vec![VoceTerm { saturation: 90.0, rate: 25.0 }],
                slope: 300.0,
            },
            Isotropic::RambergOsgood { exponent: 10.0 },
            Isotropic::Table {
                points: vec![[0.0, 350.0], [0.01, 380.0], [0.05, 420.0]],
                past_end: PastEnd::Flat,
            },
        ];
        laws.into_iter()
            .map(|isotropic| Material {
                elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
                yield_stress: 350.0,
                isotropic,
                kinematic: vec![],
            })
            .collect()
    }

    #[test]
    fn every_slope_agrees_with_central_differences() {
        for metal in metals() {
            for p in [1e-4, 0.002, 0.013, 0.04, 0.07] {
                let h = 1e-6 * p;
                let slope = (Hardening::yield_stress(&metal, p + h)
                    - Hardening::yield_stress(&metal, p - h))
                    / (2.0 * h);
                // 1e-6: rounding of a difference of two stresses near 400 over h.
                assert_relative_eq!(metal.modulus(p), slope, epsilon = 1e-2, max_relative = 1e-6);
            }
        }
    }

    #[test]
    fn both_at_once_are_what_each_is_alone() {
        for metal in metals() {
            for p in [0.0, 1e-5, 0.004, 0.06] {
                let (stress, modulus) = metal.yield_and_modulus(all(p));
                let (stress, modulus) = (stress.extract(0), modulus.extract(0));
                assert_relative_eq!(
                    stress,
                    Hardening::yield_stress(&metal, p),
                    max_relative = 1e-15
                );
                // The two exponentials differ by roundings.
                assert_relative_eq!(
                    modulus,
                    metal.modulus(p),
                    max_relative = 1e-11,
                    epsilon = 1e-11
                );
            }
        }
    }

    #[test]
    fn no_law_falls() {
        for metal in metals() {
            let stresses: Vec<f64> =
                (0..200).map(|k| Hardening::yield_stress(&metal, 5e-4 * f64::from(k))).collect();
            assert!(stresses.windows(2).all(|w| w[0] <= w[1]), "{:?}", metal.isotropic);
        }
    }

    #[test]
    fn ramberg_osgood_passes_through_its_offset_point() {
        let metal = &metals()[3];
        // 5e-5 = relative shift of the curve at the offset, see `RAMBERG_OSGOOD_START`.
        assert_relative_eq!(Hardening::yield_stress(metal, OFFSET), 350.0, max_relative = 5.1e-5);
    }
}
