//! One point of a metal in large deformation.

use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::logarithmic::{Deformation, Gradient, Moduli, Nominal};
use hoopset::material::plane_stress::{self, thickness_strain};
use hoopset::material::return_map;
use hoopset::material::state::PointState;
use nalgebra::Vector4;

pub(crate) use crate::common::laws::{metal, metals};

pub(crate) const YOUNG: f64 = 72_000.0;
pub(crate) const NU: f64 = 0.33;

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
