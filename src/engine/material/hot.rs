//! A metal at another temperature: its modulus and its yield stress as shares of those of the case.

use serde::{Deserialize, Serialize};

use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::law::VoceTerm;

/// Modulus and yield stress over those of the case, dimensionless.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct HotShares {
    /// Share of Young's modulus; Poisson's ratio stays.
    pub modulus: f64,
    /// Share of the yield stress at every plastic strain: the size of the yield surface, hardening included. The
    /// backstress stays.
    pub yield_stress: f64,
}

impl HotShares {
    /// The metal of the case itself.
    pub const NONE: Self = Self { modulus: 1.0, yield_stress: 1.0 };

    /// `material` with these shares.
    #[must_use]
    pub fn of(&self, material: &Material) -> Material {
        let share = self.yield_stress;
        let isotropic = match &material.isotropic {
            Isotropic::None => Isotropic::None,
            Isotropic::Linear { slope } => Isotropic::Linear { slope: share * slope },
            Isotropic::Voce { terms, slope } => Isotropic::Voce {
                terms: terms
                    .iter()
                    .map(|term| VoceTerm { saturation: share * term.saturation, ..*term })
                    .collect(),
                slope: share * slope,
            },
            Isotropic::RambergOsgood { exponent } => {
                Isotropic::RambergOsgood { exponent: *exponent }
            }
            Isotropic::Table { points, past_end } => Isotropic::Table {
                points: points.iter().map(|[p, stress]| [*p, share * stress]).collect(),
                past_end: *past_end,
            },
        };
        Material {
            elasticity: Elasticity {
                youngs_modulus: self.modulus * material.elasticity.youngs_modulus,
                ..material.elasticity
            },
            yield_stress: share * material.yield_stress,
            isotropic,
            kinematic: material.kinematic.clone(),
        }
    }

    /// The shares a part of the way from these to `other`.
    #[must_use]
    pub fn towards(&self, other: &Self, part: f64) -> Self {
        let blend = |from: f64, to: f64| if part >= 1.0 { to } else { from + part * (to - from) };
        Self {
            modulus: blend(self.modulus, other.modulus),
            yield_stress: blend(self.yield_stress, other.yield_stress),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::hardening::Hardening as _;
    use crate::material::law::PastEnd;

    #[test]
    fn every_law_yields_at_the_stated_share_at_every_strain() {
        let laws = [
            Isotropic::None,
            Isotropic::Linear { slope: 900.0 },
            Isotropic::Voce {
                terms: vec![VoceTerm { saturation: 80.0, rate: 20.0 }],
                slope: 300.0,
            },
            Isotropic::RambergOsgood { exponent: 12.0 },
            Isotropic::Table {
                points: vec![[0.0, 350.0], [0.02, 410.0], [0.1, 460.0]],
                past_end: PastEnd::Flat,
            },
        ];
        let shares = HotShares { modulus: 0.9, yield_stress: 0.7 };
        for isotropic in laws {
            let metal = Material {
                elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
                yield_stress: 350.0,
                isotropic,
                kinematic: vec![],
            };
            let hot = shares.of(&metal);
            for p in [0.001, 0.015, 0.05] {
                let (cold, now) = (metal.yield_stress(p), hot.yield_stress(p));
                assert!((now - 0.7 * cold).abs() < 1e-9, "{now} {cold}");
            }
            assert!((hot.elasticity.youngs_modulus - 64_800.0).abs() < 1e-9);
        }
    }
}
