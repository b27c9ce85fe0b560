//! Metals with every kind of hardening, and one point of them in large deformation.

use hoopset::material::backstress::Backstress;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material, PastEnd, VoceTerm};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::logarithmic::{Deformation, Gradient, Moduli, Nominal};
use hoopset::material::plane_stress::{self, thickness_strain};
use hoopset::material::return_map;
use hoopset::material::state::PointState;
use nalgebra::Vector4;

pub(crate) const YOUNG: f64 = 72_000.0;
pub(crate) const NU: f64 = 0.33;

pub(crate) fn metal(isotropic: Isotropic, kinematic: Vec<Backstress>) -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus: YOUNG, poissons_ratio: NU },
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
        metal(Isotropic::Linear { slope: 1000.0 }, vec![]),
        metal(voce.clone(), vec![]),
        metal(Isotropic::RambergOsgood { exponent: 10.0 }, vec![]),
        metal(table, vec![]),
        metal(Isotropic::None, vec![Backstress { modulus: 2_000.0, recall: 0.0 }]),
        metal(Isotropic::None, fading[..1].to_vec()),
        metal(voce, fading),
    ]
}

/// A metal that never yields.
pub(crate) fn elastic() -> Material {
    Material { yield_stress: 1e3 * YOUNG, ..metal(Isotropic::None, vec![]) }
}

/// What one point answers to a deformation.
pub(crate) struct Answer {
    pub(crate) conjugate: Vector4<f64>,
    pub(crate) cauchy: Vector4<f64>,
    pub(crate) nominal: Nominal,
    pub(crate) moduli: Moduli,
    /// Logarithmic strain in the third direction.
    pub(crate) third: f64,
    pub(crate) state: PointState,
}

/// One point in large deformation, as an element asks it.
pub(crate) fn answer(
    metal: &Material,
    idealisation: Idealisation,
    gradient: Gradient,
    old: &PointState,
) -> Answer {
    let (deformation, [strain]) = Deformation::of(&[gradient], 0.0);
    let map = if idealisation == Idealisation::PlaneStress {
        plane_stress::respond
    } else {
        return_map::respond
    };
    let response = map(metal, &strain, old).unwrap();
    let third = if idealisation == Idealisation::PlaneStress {
        thickness_strain(metal, &response.stress, &response.state.plastic_strain)
    } else {
        strain[2]
    };
    let [nominal] = deformation.nominal(&[response.stress]);
    let [cauchy] = deformation.cauchy(&[response.stress], [third]);
    let (moduli, _) = deformation.moduli(0, &response.stress, &response.tangent);
    Answer { conjugate: response.stress, cauchy, nominal, moduli, third, state: response.state }
}
