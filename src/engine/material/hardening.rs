//! A metal as a whole: elasticity, isotropic and kinematic hardening. Stresses in MPa.

use serde::{Deserialize, Serialize};
use simba::simd::{SimdBool, SimdPartialOrd};

use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::lanes::{Four, all};

pub use crate::material::law::{Isotropic, PastEnd, VoceTerm};

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
    pub(crate) fn monotonic_modulus(&self, p: f64) -> f64 {
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
}
