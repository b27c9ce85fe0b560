//! Metals with every kind of hardening.

use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material, PastEnd, VoceTerm};

pub(crate) fn metal(isotropic: Isotropic, kinematic: Vec<Backstress>) -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
        yield_stress: 350.0,
        isotropic,
        kinematic,
    }
}

/// Every law, alone and together with fading backstress.
pub(crate) fn metals() -> Vec<Material> {
    let voce =
        Isotropic::Voce { terms: vec![VoceTerm { saturation: 90.0, rate: 25.0 }], slope: 300.0 };
    let table = Isotropic::Table {
        points: vec![[0.0, 350.0], [0.01, 380.0], [0.05, 420.0]],
        past_end: PastEnd::Flat,
    };
    let fading = vec![
        Backstress { modulus: 20_000.0, recall: 150.0 },
        Backstress { modulus: 60_000.0, recall: 1000.0 },
        Backstress { modulus: 500.0, recall: 0.0 },
    ];
    vec![
        metal(Isotropic::None, vec![]),
        metal(Isotropic::Linear { slope: 800.0 }, vec![]),
        metal(voce.clone(), vec![]),
        metal(Isotropic::RambergOsgood { exponent: 10.0 }, vec![]),
        metal(table, vec![]),
        metal(Isotropic::None, vec![Backstress { modulus: 2_000.0, recall: 0.0 }]),
        metal(Isotropic::None, fading[..1].to_vec()),
        metal(voce, fading),
    ]
}
