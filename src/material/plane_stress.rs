//! The return map projected on `σzz = 0`.
//!
//! The in-plane stress splits into sum, difference and shear, `(x+y)/√2`, `(y−x)/√2`, `xy`,
//! which diagonalise both the elastic law and the projector `P` of the yield condition
//! `q² = (3/2) ξᵀPξ`. With `m = (3/2) Δp/σ_y(p+Δp)`, every part of ξ is then known for a given Δp,
//!
//! ```text
//! ξᵢ = (σᵢ,trial − Σ αₖ,ᵢⁿ/(1+γₖΔp)) / (1 + m kᵢ + (2/3) m Σ Cₖ/(1+γₖΔp))
//! k = E/3(1−ν) for the sum, 2G for difference and shear
//! ```
//!
//! and one scalar equation `q(Δp) = σ_y(p+Δp)` remains. σzz is zero by construction, not
//! by iteration. Backstress is kept as a deviator; its in-plane stand-in with zero zz part is
//! `(αxx − αzz, αyy − αzz, αxy)`.
//!
//! Source: J. C. Simo and R. L. Taylor, Int. J. Numer. Meth. Engng 22 (1986) 649–670, for the
//! projected scheme (from memory; fading backstress added here). Tests hold it against the
//! three-dimensional map.
//!
//! Floor 1, `material`.

use std::f64::consts::FRAC_1_SQRT_2;

use nalgebra::{Matrix3, Matrix4, Vector3, Vector4};

use crate::material::hardening::{Hardening, Material};
use crate::material::return_map::{YIELD_TOLERANCE, plastic_increment};
use crate::material::state::{Asked, PointState, Reply, Response, ReturnMapError};

/// Eigenvalues of the projector `P` for sum, difference and (engineering) shear.
const PROJECTOR: [f64; 3] = [1.0 / 3.0, 1.0, 2.0];

/// `(xx, yy, xy)` to `(sum, difference, shear)`.
fn to_modes(xx: f64, yy: f64, xy: f64) -> Vector3<f64> {
    Vector3::new(FRAC_1_SQRT_2 * (xx + yy), FRAC_1_SQRT_2 * (yy - xx), xy)
}

/// `(sum, difference, shear)` to `(xx, yy, xy)`.
fn from_modes(modes: &Vector3<f64>) -> Vector3<f64> {
    Vector3::new(
        FRAC_1_SQRT_2 * (modes[0] - modes[1]),
        FRAC_1_SQRT_2 * (modes[0] + modes[1]),
        modes[2],
    )
}

/// In-plane stand-in, in modes, of a deviatoric backstress.
fn back_modes(back: &Vector4<f64>) -> Vector3<f64> {
    to_modes(back[0] - back[2], back[1] - back[2], back[3])
}

/// Equivalent of a relative stress in modes.
fn equivalent(xi: &Vector3<f64>) -> f64 {
    (1.5 * (0..3).map(|i| PROJECTOR[i] * xi[i] * xi[i]).sum::<f64>()).sqrt()
}

/// Everything that depends on Δp alone, in modes.
struct Trial {
    xi: Vector3<f64>,
    /// `dξ/dΔp`.
    xi_rate: Vector3<f64>,
    /// `1 / (1 + m kᵢ + …)`.
    shrink: Vector3<f64>,
    flow: f64,
    flow_rate: f64,
    /// Yield stress and hardening modulus at the end of the step.
    size: f64,
    slope: f64,
}

/// Answers the in-plane part of `strain` `(εxx, εyy, ·, γxy)` from the history `old`;
/// `εzz` is what `σzz = 0` makes it and is not read.
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn respond(
    material: &Material,
    strain: &Vector4<f64>,
    old: &PointState,
) -> Result<Response, ReturnMapError> {
    let mut state = *old;
    let Reply { stress, tangent, .. } = answer(material, strain, old, &mut state, Asked::Tangent)?;
    Ok(Response { stress, tangent, state })
}

/// The same with as much of the answer as is wanted. The history is written to `new`, which holds
/// an earlier or later state of the point: what lies between tells about how much to expect.
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn answer(
    material: &Material,
    strain: &Vector4<f64>,
    old: &PointState,
    new: &mut PointState,
    asked: Asked,
) -> Result<Reply, ReturnMapError> {
    let young = material.elasticity.youngs_modulus;
    let nu = material.elasticity.poissons_ratio;
    let shear = material.elasticity.shear_modulus();
    let elastic = Vector3::new(young / (1.0 - nu), 2.0 * shear, shear);
    let softening = Vector3::new(young / (3.0 * (1.0 - nu)), 2.0 * shear, 2.0 * shear);

    let elastic_strain = strain - old.plastic_strain;
    let trial =
        to_modes(elastic_strain[0], elastic_strain[1], elastic_strain[3]).component_mul(&elastic);
    let terms = material.kinematic.len();
    let mut backs = [Vector3::zeros(); crate::material::backstress::MOST_TERMS];
    for (modes, back) in backs.iter_mut().zip(&old.backstress[..terms]) {
        *modes = back_modes(back);
    }

    let trial_equivalent = equivalent(&(trial - backs[..terms].iter().sum::<Vector3<f64>>()));
    let yield_now = material.yield_stress(old.equivalent);
    if trial_equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
        let stress = from_modes(&trial);
        new.become_again(old);
        return Ok(Reply {
            stress: Vector4::new(stress[0], stress[1], 0.0, stress[2]),
            tangent: material.elasticity.plane_stress_stiffness(),
            plastic: false,
        });
    }

    let at = |increment: f64| -> Trial {
        let (size, slope) = material.yield_and_modulus(old.equivalent + increment);
        let flow = 1.5 * increment / size;
        let flow_rate = 1.5 / size - flow * slope / size;
        let mut eta = trial;
        let mut eta_rate = Vector3::zeros();
        let (mut back, mut back_rate) = (0.0, 0.0);
        for (term, old_back) in material.kinematic.iter().zip(&backs) {
            let fading = 1.0 / (1.0 + term.recall * increment);
            eta -= old_back * fading;
            eta_rate += old_back * (term.recall * fading * fading);
            back += 2.0 / 3.0 * term.modulus * fading;
            back_rate -= 2.0 / 3.0 * term.modulus * term.recall * fading * fading;
        }
        let shrink = softening.map(|k| 1.0 / (1.0 + flow * (k + back)));
        let xi = eta.component_mul(&shrink);
        let stretch_rate = softening.map(|k| flow_rate * (k + back) + flow * back_rate);
        let xi_rate = (eta_rate - stretch_rate.component_mul(&xi)).component_mul(&shrink);
        Trial { xi, xi_rate, shrink, flow, flow_rate, size, slope }
    };
    let excess_of = |trial: &Trial| -> (f64, f64) {
        let Trial { xi, xi_rate, size, slope, .. } = trial;
        let q = equivalent(xi);
        let q_rate = 1.5 / q * (0..3).map(|i| PROJECTOR[i] * xi[i] * xi_rate[i]).sum::<f64>();
        (q - size, q_rate - slope)
    };
    let mut last = None;
    let excess = |increment: f64| {
        let trial = at(increment);
        let excess = excess_of(&trial);
        last = Some((increment, trial));
        excess
    };
    let guess = (new.equivalent - old.equivalent).abs();
    let increment = plastic_increment(YIELD_TOLERANCE * yield_now, guess, excess)
        .ok_or(ReturnMapError { trial: trial_equivalent, equivalent: old.equivalent })?;

    // The root is where the search looked last, unless the interval closed on it.
    let last = last.filter(|(at, _)| at.total_cmp(&increment).is_eq());
    let last = last.map_or_else(|| at(increment), |(_, trial)| trial);
    let (_, slope) = excess_of(&last);
    let Trial { xi, xi_rate, shrink, flow, flow_rate, .. } = last;
    let stress = from_modes(&(trial - flow * softening.component_mul(&xi)));

    let in_plane = from_modes(&xi);
    let mean = (in_plane[0] + in_plane[1]) / 3.0;
    let deviator = Vector4::new(in_plane[0] - mean, in_plane[1] - mean, -mean, in_plane[2]);
    new.equivalent = old.equivalent + increment;
    new.plastic_strain = old.plastic_strain
        + flow * Vector4::new(deviator[0], deviator[1], deviator[2], 2.0 * deviator[3]);
    let states = old.backstress.iter().zip(&mut new.backstress);
    for (term, (old, new)) in material.kinematic.iter().zip(states) {
        *new = (old + 2.0 / 3.0 * term.modulus * flow * deviator) / (1.0 + term.recall * increment);
    }

    let stress = Vector4::new(stress[0], stress[1], 0.0, stress[2]);
    if asked == Asked::Stress {
        let tangent = material.elasticity.plane_stress_stiffness();
        return Ok(Reply { stress, tangent, plastic: true });
    }

    let q = equivalent(&xi);
    let normal = Vector3::from_fn(|i, _| 1.5 * PROJECTOR[i] * xi[i] / q);
    let d_increment = normal.component_mul(&shrink).component_mul(&elastic) / -slope;
    let direct = Vector3::from_fn(|i, _| elastic[i] * (1.0 - flow * softening[i] * shrink[i]));
    let through = Vector3::from_fn(|i, _| softening[i] * (flow * xi_rate[i] + flow_rate * xi[i]));
    let modes = Matrix3::from_diagonal(&direct) - through * d_increment.transpose();
    Ok(Reply { stress, tangent: tangent_from_modes(&modes), plastic: true })
}

/// `T D Tᵀ` with the modes' transformation `T`, spread over `(xx, yy, zz, xy)`.
fn tangent_from_modes(modes: &Matrix3<f64>) -> Matrix4<f64> {
    let h = FRAC_1_SQRT_2;
    let turn = Matrix3::new(h, -h, 0.0, h, h, 0.0, 0.0, 0.0, 1.0);
    let plane = turn * modes * turn.transpose();
    let mut tangent = Matrix4::zeros();
    for (row, to_row) in [0, 1, 3].into_iter().enumerate() {
        for (column, to_column) in [0, 1, 3].into_iter().enumerate() {
            tangent[(to_row, to_column)] = plane[(row, column)];
        }
    }
    tangent
}

/// Strain through the thickness that goes with a plane-stress answer.
#[must_use]
pub fn thickness_strain(
    material: &Material,
    stress: &Vector4<f64>,
    plastic_strain: &Vector4<f64>,
) -> f64 {
    let elastic = &material.elasticity;
    -elastic.poissons_ratio / elastic.youngs_modulus * (stress[0] + stress[1]) + plastic_strain[2]
}
