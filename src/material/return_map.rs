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
//! A strain increment is followed in equal parts ([`Start`]), each a step of this map.
//!
//! The tangent is the exact derivative of all parts together: each hands on what its history owes
//! to the strain at the end. With fading backstress it is not quite symmetric, because η turns
//! with Δp; the solver takes its symmetric half.
//!
//! Source: J. C. Simo and T. J. R. Hughes, Computational Inelasticity (1998), ch. 3, for
//! the scheme; the recall terms as in J. L. Chaboche (1986) (both from memory, derived anew here).
//!
//! Floor 1, `material`.

use nalgebra::Vector4;

use crate::material::backstress::MOST_TERMS;
use crate::material::hardening::{Hardening, Material};
use crate::material::state::{
    Asked, Place, PointState, Reply, Response, ReturnMapError, Start, shares,
};

/// Yield condition met to this share of the yield stress: a few hundred roundings of a
/// sum of stresses, far below the 1e-8 that equilibrium asks for.
pub(crate) const YIELD_TOLERANCE: f64 = 1e-13;

/// Excess over the tolerance from which Newton's next step is the last: what it leaves goes with
/// the square, 1e-6 of the yield stress becoming about 1e-12.
const NEAR: f64 = 1e7;

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

/// A step with some Δp, of which the yield condition says whether it is the right one.
pub(crate) trait Trial {
    /// Excess over yield, positive for too small a Δp, and its derivative by Δp; `now` is the yield
    /// stress before the step, MPa.
    fn excess(&self, now: f64) -> (f64, f64);

    /// The step with a little more Δp: what the stress needs of it, not the derivatives.
    fn beyond(self, by: f64) -> Self;
}

/// Root of the yield condition in Δp, where the excess over yield starts positive at zero and
/// falls, and the step `at` it. Newton from `guess`, kept between the last positive and negative
/// values met.
pub(crate) fn plastic_increment<T: Trial>(
    yield_now: f64,
    guess: f64,
    asked: Asked,
    at: impl Fn(f64) -> T,
) -> Option<(f64, T)> {
    // The root may lie so little beyond what was looked at that the step is straight in between. The
    // derivatives move too, which the tangent alone would notice.
    let found = |trial: T, seen: f64, by: f64| {
        let increment = seen + by;
        let near = by == 0.0 || asked == Asked::Stress;
        Some((increment, if near { trial.beyond(by) } else { at(increment) }))
    };
    let tolerance = YIELD_TOLERANCE * yield_now;
    let (mut low, mut high) = (0.0, f64::INFINITY);
    let mut increment = guess;
    for _ in 0..MOST_STEPS {
        let trial = at(increment);
        let (value, slope) = trial.excess(yield_now);
        if value.abs() <= tolerance {
            return found(trial, increment, 0.0);
        }
        if value > 0.0 {
            low = increment;
        } else {
            high = increment;
        }
        let newton = increment - value / slope;
        let inside = newton > low && newton < high;
        if inside && value.abs() <= NEAR * tolerance {
            return found(trial, increment, newton - increment);
        }
        let last = increment;
        increment = if inside {
            newton
        } else if high.is_finite() {
            0.5 * (low + high)
        } else {
            return None;
        };
        if high.is_finite() && high - low <= 4.0 * f64::EPSILON * high {
            return found(trial, last, increment - last);
        }
    }
    None
}

/// Answers `strain` `(εxx, εyy, εzz, γxy)`, given in full, from the history `old`, in one step.
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn respond(
    material: &Material,
    strain: &Vector4<f64>,
    old: &PointState,
) -> Result<Response, ReturnMapError> {
    follow(material, strain, Start::whole(old), &mut [0.0])
}

/// Answers `strain` in as many steps as there are `parts`; see [`Place`].
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn follow(
    material: &Material,
    strain: &Vector4<f64>,
    start: Start<'_>,
    parts: &mut [f64],
) -> Result<Response, ReturnMapError> {
    start.response(parts, |place| answer(material, strain, start, place, Asked::Tangent))
}

/// A history on its way through an increment.
struct History {
    equivalent: f64,
    /// Backstress terms.
    backs: [Vector4<f64>; MOST_TERMS],
    /// Plastic strain since the start of the increment, a tensor.
    flow: Vector4<f64>,
}

/// What a history owes to one component of the strain at the end of the increment.
#[derive(Clone, Copy, Default)]
struct Sensitivity {
    equivalent: f64,
    backs: [Vector4<f64>; MOST_TERMS],
    flow: Vector4<f64>,
}

/// Everything that depends on Δp alone.
struct Flowing {
    eta: Vector4<f64>,
    size: f64,
    /// `dη/dΔp`.
    turning: Vector4<f64>,
    /// Yield stress and hardening modulus at the end of the step.
    yield_stress: f64,
    modulus: f64,
    excess: f64,
    slope: f64,
}

impl Trial for Flowing {
    fn excess(&self, _: f64) -> (f64, f64) {
        (self.excess, self.slope)
    }

    fn beyond(mut self, by: f64) -> Self {
        self.size += contract(&self.eta, &self.turning) / self.size * by;
        self.eta += self.turning * by;
        self.yield_stress += self.modulus * by;
        self
    }
}

impl History {
    /// State of a step from here to the trial deviator `trial`, were its Δp `increment`.
    fn at(&self, material: &Material, trial: &Vector4<f64>, increment: f64) -> Flowing {
        let shear = material.elasticity.shear_modulus();
        let to_equivalent = 1.5_f64.sqrt();
        let (yield_stress, modulus) = material.yield_and_modulus(self.equivalent + increment);
        let (mut eta, mut turning) = (*trial, Vector4::zeros());
        let (mut excess, mut slope) =
            (-3.0 * shear * increment - yield_stress, -3.0 * shear - modulus);
        for (term, back) in material.kinematic.iter().zip(&self.backs) {
            let fading = (1.0 + term.recall * increment).recip();
            eta -= back * fading;
            turning += back * (term.recall * fading * fading);
            excess -= term.modulus * increment * fading;
            slope -= term.modulus * fading * fading;
        }
        let size = norm(&eta);
        excess += to_equivalent * size;
        slope += to_equivalent * contract(&eta, &turning) / size;
        Flowing { eta, size, turning, yield_stress, modulus, excess, slope }
    }

    /// The step, and how the history at its end owes to every component of strain; `share` of the
    /// increment lies behind.
    fn step_on(
        &mut self,
        material: &Material,
        (last, increment): (&Flowing, f64),
        owed: Option<(&mut [Sensitivity; 4], f64)>,
    ) {
        let to_equivalent = 1.5_f64.sqrt();
        let direction = last.eta / last.size;
        let flow = to_equivalent * increment * direction;
        self.equivalent += increment;
        self.flow += flow;
        for (term, back) in material.kinematic.iter().zip(&mut self.backs) {
            *back = (*back + 2.0 / 3.0 * term.modulus * flow) / (1.0 + term.recall * increment);
        }
        let Some((owed, share)) = owed else { return };
        let shear = material.elasticity.shear_modulus();
        for (column, owed) in owed.iter_mut().enumerate() {
            let mut unit = Vector4::zeros();
            unit[column] = share;
            // dη at constant Δp, then Δp from the yield condition, then the turn of η with it.
            let mut d_eta = 2.0 * shear * (deviator_of_strain(&unit) - owed.flow);
            for (term, back) in material.kinematic.iter().zip(&owed.backs) {
                d_eta -= back / (1.0 + term.recall * increment);
            }
            let d_excess =
                to_equivalent * contract(&direction, &d_eta) - last.modulus * owed.equivalent;
            let d_increment = d_excess / -last.slope;
            d_eta += last.turning * d_increment;
            let d_direction = (d_eta - direction * contract(&direction, &d_eta)) / last.size;
            let d_flow = to_equivalent * (direction * d_increment + d_direction * increment);
            owed.equivalent += d_increment;
            owed.flow += d_flow;
            let backs = self.backs.iter().zip(&mut owed.backs);
            for (term, (back, owed)) in material.kinematic.iter().zip(backs) {
                let grown = *owed + 2.0 / 3.0 * term.modulus * d_flow;
                *owed =
                    (grown - term.recall * d_increment * back) / (1.0 + term.recall * increment);
            }
        }
    }
}

/// The same with as much of the answer as is wanted, in `place`.
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn answer(
    material: &Material,
    strain: &Vector4<f64>,
    start: Start<'_>,
    place: Place<'_>,
    asked: Asked,
) -> Result<Reply, ReturnMapError> {
    let old = start.state;
    let shear = material.elasticity.shear_modulus();
    let stiffness = material.elasticity.stiffness();
    let elastic = strain - old.plastic_strain;
    let trial_stress = stiffness * elastic;
    let end = 2.0 * shear * deviator_of_strain(&elastic);
    let total_back: Vector4<f64> = old.backstress[..material.kinematic.len()].iter().sum();
    let to_equivalent = 1.5_f64.sqrt();

    let trial_equivalent = to_equivalent * norm(&(end - total_back));
    let mut yield_now = material.yield_stress(old.equivalent);
    if trial_equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
        place.state.become_again(old);
        place.parts.fill(0.0);
        return Ok(Reply { stress: trial_stress, tangent: stiffness, plastic: false });
    }

    let mean = (start.stress[0] + start.stress[1] + start.stress[2]) / 3.0;
    let begin = start.stress - Vector4::new(mean, mean, mean, 0.0);
    let mut before = 0.0;
    let mut history =
        History { equivalent: old.equivalent, backs: old.backstress, flow: Vector4::zeros() };
    let mut owed = (asked == Asked::Tangent).then(|| [Sensitivity::default(); 4]);
    for (part, share) in shares(place.parts.len()) {
        let trial = begin * (1.0 - share) + end * share - 2.0 * shear * history.flow;
        let back: Vector4<f64> = history.backs[..material.kinematic.len()].iter().sum();
        let equivalent = to_equivalent * norm(&(trial - back));
        if equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
            place.parts[part] = 0.0;
            continue;
        }
        let guess = place.guess(old, part, before);
        let (increment, last) = plastic_increment(yield_now, guess, asked, |increment| {
            history.at(material, &trial, increment)
        })
        .ok_or(ReturnMapError { trial: equivalent, equivalent: history.equivalent })?;
        history.step_on(material, (&last, increment), owed.as_mut().map(|owed| (owed, share)));
        (place.parts[part], before) = (increment, increment);
        yield_now = last.yield_stress;
    }

    let History { equivalent, backs, flow } = history;
    let new = place.state;
    new.equivalent = equivalent;
    new.plastic_strain =
        old.plastic_strain + Vector4::new(flow[0], flow[1], flow[2], 2.0 * flow[3]);
    new.backstress = backs;
    let stress = trial_stress - 2.0 * shear * flow;
    let mut tangent = stiffness;
    for (mut column, owed) in tangent.column_iter_mut().zip(owed.iter().flatten()) {
        column -= 2.0 * shear * owed.flow;
    }
    Ok(Reply { stress, tangent, plastic: true })
}
