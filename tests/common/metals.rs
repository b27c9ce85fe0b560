//! Metals of the checks. Those of published examples carry the example's numbers; the
//! others are invented.

use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material, VoceTerm};

/// A metal that yields at `yield_stress` and does not harden, MPa.
pub fn perfect(youngs_modulus: f64, poissons_ratio: f64, yield_stress: f64) -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus, poissons_ratio },
        yield_stress,
        isotropic: Isotropic::None,
        kinematic: vec![],
    }
}

/// A metal for elastic checks: it would yield at a hundredth of its modulus, far above the
/// stresses of those checks and yet near enough that the force floor stays small.
pub fn elastic(youngs_modulus: f64, poissons_ratio: f64) -> Material {
    perfect(youngs_modulus, poissons_ratio, 0.01 * youngs_modulus)
}

/// Isotropic power-law hardening with the 0.2 % offset stress `offset_stress`, MPa.
pub fn power_law(
    youngs_modulus: f64,
    poissons_ratio: f64,
    offset_stress: f64,
    exponent: f64,
) -> Material {
    Material {
        isotropic: Isotropic::RambergOsgood { exponent },
        ..perfect(youngs_modulus, poissons_ratio, offset_stress)
    }
}

/// Isotropic and fading kinematic hardening together: the kind of law a real case has
/// (invented, close to a 2024 plate).
pub fn combined() -> Material {
    Material {
        isotropic: Isotropic::Voce {
            terms: vec![VoceTerm { saturation: 60.0, rate: 30.0 }],
            slope: 300.0,
        },
        kinematic: vec![
            Backstress { modulus: 63_234.0, recall: 1058.0 },
            Backstress { modulus: 9_052.0, recall: 101.0 },
        ],
        ..perfect(73_000.0, 0.33, 300.0)
    }
}
