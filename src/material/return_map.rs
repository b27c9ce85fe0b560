//! Backward Euler return map of J2 plasticity with the strain εzz given (plane strain
//! and generalised plane strain).
//!
//! With `s` the stress deviator, `αₖ` the backstress terms, `ξ = s − Σαₖ` and
//! `q = √(3/2)|ξ|`, the step ends on the yield surface `q = σ_y(p + Δp)` with
//!
//! ```text
//! Δεᵖ = (3/2) Δp ξ/q          αₖ = (αₖⁿ + (2/3) Cₖ Δεᵖ) / (1 + γₖ Δp)
//! ```
//!
//! so that ξ is parallel to `η(Δp) = s_trial − Σ αₖⁿ/(1 + γₖ Δp)` and one scalar equation
//! remains: `√(3/2)|η| − 3GΔp − Σ CₖΔp/(1 + γₖΔp) = σ_y(p + Δp)`.
//!
//! The tangent is the exact derivative of this map. With fading backstress it is not
//! quite symmetric, because η turns with Δp; the solver takes its symmetric half.
//!
//! Source: J. C. Simo and T. J. R. Hughes, Computational Inelasticity (1998), ch. 3, for
//! the scheme; the recall terms as in J. L. Chaboche (1986) (both from memory, derived anew here).
//!
//! Floor 1, `material`.

use nalgebra::Vector4;

use crate::material::hardening::{Hardening, Material};
use crate::material::state::{Asked, PointState, Reply, Response, ReturnMapError};

/// Yield condition met to this share of the yield stress: a few hundred roundings of a
/// sum of stresses, far below the 1e-8 that equilibrium asks for.
pub(crate) const YIELD_TOLERANCE: f64 = 1e-13;

/// Steps before an increment is given up; Newton takes five, halving a hundred.
const MOST_STEPS: usize = 120;

/// Projects a strain (engineering shear) on the deviator of its stress-like tensor.
fn deviator_of_strain(strain: &Vector4<f64>) -> Vector4<f64> {
    let mean = (strain[0] + strain[1] + strain[2]) / 3.0;
    Vector4::new(strain[0] - mean, strain[1] - mean, strain[2] - mean, 0.5 * strain[3])
}

/// Norm of a deviatoric tensor kept as `(xx, yy, zz, xy)`.
fn norm(t: &Vector4<f64>) -> f64 {
    (t[0] * t[0] + t[1] * t[1] + t[2] * t[2] + 2.0 * t[3] * t[3]).sqrt()
}

/// Double contraction of two symmetric tensors kept as `(xx, yy, zz, xy)`.
fn contract(a: &Vector4<f64>, b: &Vector4<f64>) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + 2.0 * a[3] * b[3]
}

/// Root of the yield condition in Δp, where the excess over yield starts positive at zero and
/// falls. Newton from `guess`, kept between the last positive and negative values met.
pub(crate) fn plastic_increment(
    tolerance: f64,
    guess: f64,
    mut excess: impl FnMut(f64) -> (f64, f64),
) -> Option<f64> {
    let (mut low, mut high) = (0.0, f64::INFINITY);
    let mut increment = guess;
    for _ in 0..MOST_STEPS {
        let (value, slope) = excess(increment);
        if value.abs() <= tolerance {
            return Some(increment);
        }
        if value > 0.0 {
            low = increment;
        } else {
            high = increment;
        }
        let newton = increment - value / slope;
        increment = if newton > low && newton < high {
            newton
        } else if high.is_finite() {
            0.5 * (low + high)
        } else {
            return None;
        };
        if high.is_finite() && high - low <= 4.0 * f64::EPSILON * high {
            return Some(increment);
        }
    }
    None
}

/// Answers `strain` `(εxx, εyy, εzz, γxy)`, given in full, from the history `old`.
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
    let shear = material.elasticity.shear_modulus();
    let stiffness = material.elasticity.stiffness();
    let elastic = strain - old.plastic_strain;
    let trial_stress = stiffness * elastic;
    let trial = 2.0 * shear * deviator_of_strain(&elastic);
    let total_back: Vector4<f64> = old.backstress[..material.kinematic.len()].iter().sum();
    let to_equivalent = 1.5_f64.sqrt();

    let trial_equivalent = to_equivalent * norm(&(trial - total_back));
    let yield_now = material.yield_stress(old.equivalent);
    if trial_equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
        new.become_again(old);
        return Ok(Reply { stress: trial_stress, tangent: stiffness, plastic: false });
    }

    let eta = |increment: f64| -> Vector4<f64> {
        let mut eta = trial;
        for (term, back) in material.kinematic.iter().zip(&old.backstress) {
            eta -= back / (1.0 + term.recall * increment);
        }
        eta
    };
    // Returned: −dη/dΔp apart, since both the root search and the tangent want it.
    let turning = |increment: f64| -> Vector4<f64> {
        let mut turning = Vector4::zeros();
        for (term, back) in material.kinematic.iter().zip(&old.backstress) {
            turning += back * (term.recall / (1.0 + term.recall * increment).powi(2));
        }
        turning
    };
    let excess = |increment: f64| -> (f64, f64) {
        let eta = eta(increment);
        let size = norm(&eta);
        let (yield_stress, modulus) = material.yield_and_modulus(old.equivalent + increment);
        let mut value = to_equivalent * size - 3.0 * shear * increment - yield_stress;
        let mut slope =
            to_equivalent * contract(&eta, &turning(increment)) / size - 3.0 * shear - modulus;
        for term in &material.kinematic {
            let fading = 1.0 + term.recall * increment;
            value -= term.modulus * increment / fading;
            slope -= term.modulus / (fading * fading);
        }
        (value, slope)
    };
    let guess = (new.equivalent - old.equivalent).abs();
    let increment = plastic_increment(YIELD_TOLERANCE * yield_now, guess, excess)
        .ok_or(ReturnMapError { trial: trial_equivalent, equivalent: old.equivalent })?;

    let eta = eta(increment);
    let size = norm(&eta);
    let direction = eta / size;
    let flow = to_equivalent * increment * direction;
    let stress = trial_stress - 2.0 * shear * flow;

    new.equivalent = old.equivalent + increment;
    new.plastic_strain =
        old.plastic_strain + Vector4::new(flow[0], flow[1], flow[2], 2.0 * flow[3]);
    let backs = old.backstress.iter().zip(&mut new.backstress);
    for (term, (old, new)) in material.kinematic.iter().zip(backs) {
        *new = (old + 2.0 / 3.0 * term.modulus * flow) / (1.0 + term.recall * increment);
    }

    if asked == Asked::Stress {
        return Ok(Reply { stress, tangent: stiffness, plastic: true });
    }

    // d(Δp) = grip n:dε / stiffening, and dn = (I − n⊗n) dη/|η| with dη = 2G dev dε + turning dΔp.
    let turning = turning(increment);
    let (_, slope) = excess(increment);
    let d_increment = to_equivalent * 2.0 * shear / -slope * direction;
    let mut tangent = stiffness;
    for column in 0..4 {
        let mut unit = Vector4::zeros();
        unit[column] = 1.0;
        let d_trial = 2.0 * shear * deviator_of_strain(&unit);
        // Strain components weigh shear by engineering measure: n:dε has n_xy once, not twice.
        let d_dp = d_increment[column];
        let d_eta = d_trial + turning * d_dp;
        let d_direction = (d_eta - direction * contract(&direction, &d_eta)) / size;
        let d_flow = to_equivalent * (direction * d_dp + d_direction * increment);
        for row in 0..4 {
            tangent[(row, column)] -= 2.0 * shear * d_flow[row];
        }
    }
    Ok(Reply { stress, tangent, plastic: true })
}
