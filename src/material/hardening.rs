//! Isotropic hardening: how the yield stress grows with plastic strain, and the metal as a whole.
//!
//! Every law is a function of one variable, the equivalent plastic strain
//! `p = ∫ √(2/3 dεᵖ:dεᵖ)`, which never decreases. Stresses in MPa.

use serde::{Deserialize, Serialize};
use simba::simd::{SimdBool, SimdPartialOrd};

use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::lanes::{Four, all, exponential};

/// The yield stress of a metal as a function of its plastic history.
///
/// A law is continuous and never falls. The return map relies on it: with
/// isotropic hardening alone, `q_trial − 3G·Δp = σ_y(p + Δp)` then has exactly
/// one root, because the left side falls strictly and the right side does not.
pub trait Hardening {
    /// Yield stress `σ_y(p)` in MPa, for `p ≥ 0`.
    fn yield_stress(&self, p: f64) -> f64;

    /// Hardening modulus `dσ_y/dp` in MPa, right-sided at a corner of the curve.
    ///
    /// It enters the consistent tangent, so a slope that is merely close costs
    /// Newton's method its quadratic rate.
    fn modulus(&self, p: f64) -> f64;
}

/// Plastic strain that the offset yield stress of a tensile test is defined at.
const OFFSET: f64 = 0.002;

/// Plastic strain at which a Ramberg–Osgood metal is taken to start yielding.
///
/// The law itself has no elastic range: `σ = σ₀.₂ (p/0.002)^(1/n)` starts at zero
/// with an infinite slope. Shifting the curve by this much gives the return map a
/// finite slope and moves the stress at `p = 0.002` by 0.05 %/n only.
const RAMBERG_OSGOOD_START: f64 = 1e-6;

/// Exponent beyond which `1 − e^(−x)` is 1 in double precision.
const SATURATED: f64 = 40.0;

/// What a tabulated curve does beyond its last point.
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
#[non_exhaustive]
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
        /// What happens beyond the last point.
        past_end: PastEnd,
    },
}

/// One saturating term `Q (1 − e^(−b p))`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VoceTerm {
    /// Rise to saturation `Q`, MPa.
    pub saturation: f64,
    /// Rate `b`, dimensionless.
    pub rate: f64,
}

impl VoceTerm {
    /// What the term adds to the yield stress, MPa.
    fn rise(&self, p: f64) -> f64 {
        let along = self.rate * p;
        // Far along, the exponential is below rounding, and it is what a call costs.
        if along > SATURATED {
            return self.saturation;
        }
        // exp_m1 keeps the digits that 1 − exp(−b p) loses at the first increments.
        -self.saturation * (-along).exp_m1()
    }
}

/// A metal: elastic constants, yield stress, isotropic and kinematic hardening.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Material {
    /// Elastic constants.
    pub elasticity: Elasticity,
    /// Initial yield stress `σ₀`, MPa; for Ramberg–Osgood the 0.2 % offset stress.
    pub yield_stress: f64,
    /// Growth of the yield surface.
    pub isotropic: Isotropic,
    /// Terms of the backstress, at most [`MOST_TERMS`](crate::material::backstress::MOST_TERMS).
    pub kinematic: Vec<Backstress>,
}

impl Hardening for Material {
    fn yield_stress(&self, p: f64) -> f64 {
        let initial = self.yield_stress;
        match &self.isotropic {
            Isotropic::None => initial,
            Isotropic::Linear { slope } => initial + slope * p,
            Isotropic::Voce { terms, slope } => {
                let rise: f64 = terms.iter().map(|t| t.rise(p)).sum();
                initial + rise + slope * p
            }
            Isotropic::RambergOsgood { exponent } => {
                initial * ((p + RAMBERG_OSGOOD_START) / OFFSET).powf(exponent.recip())
            }
            Isotropic::Table { points, .. } => {
                let (start, slope) = table_piece(points, p);
                start[1] + slope * (p - start[0])
            }
        }
    }

    fn modulus(&self, p: f64) -> f64 {
        match &self.isotropic {
            Isotropic::None => 0.0,
            Isotropic::Linear { slope } => *slope,
            Isotropic::Voce { terms, slope } => {
                let rise: f64 =
                    terms.iter().map(|t| t.saturation * t.rate * (-t.rate * p).exp()).sum();
                rise + slope
            }
            Isotropic::RambergOsgood { exponent } => {
                self.yield_stress(p) / (exponent * (p + RAMBERG_OSGOOD_START))
            }
            Isotropic::Table { points, .. } => table_piece(points, p).1,
        }
    }
}

impl Material {
    /// Stress of a first, uniaxial pull at plastic strain `p`, MPa: size of the yield
    /// surface plus backstress.
    #[must_use]
    pub fn monotonic_stress(&self, p: f64) -> f64 {
        self.yield_stress(p) + self.kinematic.iter().map(|t| t.monotonic_rise(p)).sum::<f64>()
    }

    /// Yield stress at `p` of four points, MPa.
    pub(crate) fn yield_stress_of_four(&self, p: Four) -> Four {
        // Most points of a plate never yield, and the exponential is what a check of them costs.
        if p.simd_eq(Four::ZERO).all() {
            return all(self.elastic_limit());
        }
        self.yield_and_modulus(p).0
    }

    /// Yield stress and hardening modulus at `p` of four points, MPa: both of [`Hardening`] for the
    /// price of one, which is what the return map spends its time on.
    pub(crate) fn yield_and_modulus(&self, p: Four) -> (Four, Four) {
        let initial = all(self.yield_stress);
        match &self.isotropic {
            Isotropic::None => (initial, Four::ZERO),
            Isotropic::Linear { slope } => (initial + all(*slope) * p, all(*slope)),
            Isotropic::Voce { terms, slope } => {
                let (mut stress, mut modulus) = (initial + all(*slope) * p, all(*slope));
                for term in terms {
                    let saturation = all(term.saturation);
                    stress += saturation;
                    let along = all(term.rate) * p;
                    // Far along, what the exponential takes off is below rounding.
                    if along.simd_gt(all(SATURATED)).all() {
                        continue;
                    }
                    let missing = saturation * exponential(-along);
                    stress -= missing;
                    modulus += all(term.rate) * missing;
                }
                (stress, modulus)
            }
            Isotropic::RambergOsgood { .. } | Isotropic::Table { .. } => (
                p.map(|p| Hardening::yield_stress(self, p)),
                p.map(|p| Hardening::modulus(self, p)),
            ),
        }
    }

    /// Stress at which yielding first begins, MPa; below the offset stress for Ramberg–Osgood.
    #[must_use]
    pub fn elastic_limit(&self) -> f64 {
        Hardening::yield_stress(self, 0.0)
    }
}

/// Start of the straight piece that holds `p`, and its slope; flat beyond the end.
fn table_piece(points: &[[f64; 2]], p: f64) -> ([f64; 2], f64) {
    let right = points.partition_point(|point| point[0] <= p);
    let start = points[right.max(1) - 1];
    let slope = points.get(right).map_or(0.0, |end| (end[1] - start[1]) / (end[0] - start[0]));
    (start, slope)
}

#[cfg(test)]
mod tests {
    use super::*;
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
                // The rise is subtracted from its limit: a few roundings of Q b.
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
        // 5e-5 = relative shift of the curve at the offset, see RAMBERG_OSGOOD_START.
        assert_relative_eq!(Hardening::yield_stress(metal, OFFSET), 350.0, max_relative = 5.1e-5);
    }
}
