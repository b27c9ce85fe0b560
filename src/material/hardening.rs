//! Isotropic hardening: how the yield stress grows with plastic strain, and the metal as a whole.
//!
//! Every law is a function of one variable, the equivalent plastic strain
//! `p = ∫ √(2/3 dεᵖ:dεᵖ)`, which never decreases. Stresses in MPa.

use serde::{Deserialize, Serialize};
use simba::simd::{SimdBool, SimdPartialOrd};

use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::lanes::{Four, all};
use crate::material::law::{Law, Linear, Number, RambergOsgood, Table, Voce};

pub use crate::material::law::VoceTerm;

/// The yield stress of a metal as a function of its plastic history.
///
/// A law is continuous, and where it falls it falls by less than `3G`: then
/// `q_trial − 3G·Δp = σ_y(p + Δp)` has exactly one root, which the return map relies on. A metal
/// whose yield surface shrinks while its backstress grows by more hardens all the same; see
/// [`Material::softens_within`].
pub trait Hardening {
    /// Yield stress `σ_y(p)` in MPa, for `p ≥ 0`.
    fn yield_stress(&self, p: f64) -> f64;

    /// Hardening modulus `dσ_y/dp` in MPa, right-sided at a corner of the curve.
    ///
    /// It enters the consistent tangent, so a slope that is merely close costs
    /// Newton's method its quadratic rate.
    fn modulus(&self, p: f64) -> f64;
}

/// Steps in which a curve is searched for its first fall.
const SOFTENING_STEPS: u32 = 1000;

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

impl Isotropic {
    /// Yield stress and hardening modulus at `p`, MPa, from the `initial` yield stress.
    fn evaluate<N: Number>(&self, initial: f64, p: N) -> (N, N) {
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

impl Hardening for Material {
    fn yield_stress(&self, p: f64) -> f64 {
        self.isotropic.evaluate(self.yield_stress, p).0
    }

    fn modulus(&self, p: f64) -> f64 {
        self.isotropic.evaluate(self.yield_stress, p).1
    }
}

impl Material {
    /// Stress of a first, uniaxial pull at plastic strain `p`, MPa: size of the yield
    /// surface plus backstress.
    #[must_use]
    pub fn monotonic_stress(&self, p: f64) -> f64 {
        self.yield_stress(p) + self.kinematic.iter().map(|t| t.monotonic_rise(p)).sum::<f64>()
    }

    /// Slope of [`Self::monotonic_stress`], MPa.
    #[must_use]
    pub fn monotonic_modulus(&self, p: f64) -> f64 {
        let back = |term: &Backstress| term.modulus * (-term.recall * p).exp();
        self.modulus(p) + self.kinematic.iter().map(back).sum::<f64>()
    }

    /// Plastic strain at which the stress of a first pull begins to fall, when it does so before
    /// `strain`; to a thousandth of `strain`.
    #[must_use]
    pub fn softens_within(&self, strain: f64) -> Option<f64> {
        (0..=SOFTENING_STEPS)
            .map(|k| strain * f64::from(k) / f64::from(SOFTENING_STEPS))
            .find(|&p| self.monotonic_modulus(p) < 0.0)
    }

    /// Yield stress at `p` of four points, MPa.
    pub(crate) fn yield_stress_of_four(&self, p: Four) -> Four {
        // Most points of a plate never yield, and the exponential is what a check of them costs.
        if p.simd_eq(Four::ZERO).all() {
            return all(self.elastic_limit());
        }
        self.yield_and_modulus(p).0
    }

    /// Yield stress and hardening modulus at `p` of four points, MPa.
    pub(crate) fn yield_and_modulus(&self, p: Four) -> (Four, Four) {
        self.isotropic.evaluate(self.yield_stress, p)
    }

    /// Stress at which yielding first begins, MPa; below the offset stress for Ramberg–Osgood.
    #[must_use]
    pub fn elastic_limit(&self) -> f64 {
        Hardening::yield_stress(self, 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::law::OFFSET;
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

    /// A yield surface that shrinks by 60 MPa at a rate of 12 loses 720 MPa of slope at first; a
    /// backstress of 20 GPa covers that until its own slope, `20 000 e^(−150 p)`, has fallen to
    /// `720 e^(−12 p)`: at `p = ln(20 000/720)/138 = 0.02409`. A linear term of 720 MPa covers it for
    /// ever.
    #[test]
    fn a_shrinking_yield_surface_softens_where_the_backstress_no_longer_covers_it() {
        let terms = vec![VoceTerm { saturation: -60.0, rate: 12.0 }];
        let mut metal = Material {
            elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
            yield_stress: 350.0,
            isotropic: Isotropic::Voce { terms, slope: 0.0 },
            kinematic: vec![Backstress { modulus: 20_000.0, recall: 150.0 }],
        };
        assert_eq!(metal.softens_within(0.02), None);
        let found = metal.softens_within(0.1).expect("it softens");
        // A step of the search is 1e-4.
        assert!((found - (20_000.0_f64 / 720.0).ln() / 138.0).abs() <= 1e-4, "{found}");
        metal.kinematic.push(Backstress { modulus: 720.0, recall: 0.0 });
        assert_eq!(metal.softens_within(1.0), None);
    }

    #[test]
    fn ramberg_osgood_passes_through_its_offset_point() {
        let metal = &metals()[3];
        // 5e-5 = relative shift of the curve at the offset, see `RAMBERG_OSGOOD_START` in `law`.
        assert_relative_eq!(Hardening::yield_stress(metal, OFFSET), 350.0, max_relative = 5.1e-5);
    }
}
