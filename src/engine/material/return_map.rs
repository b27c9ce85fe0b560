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
//! The tangent is the exact derivative of all parts together: each hands on the sensitivity of its
//! history to the strain at the end. With fading backstress it is not quite symmetric, because η turns
//! with Δp; the solver takes its symmetric half.
//!
//! Source: J. C. Simo and T. J. R. Hughes, Computational Inelasticity (1998), ch. 3, for
//! the scheme; the recall terms as in J. L. Chaboche (1986) (both from memory, derived anew here).

use nalgebra::{Matrix4, Vector4};
use simba::simd::{SimdBool, SimdComplexField, SimdPartialOrd, SimdValue};

use crate::material::bend::Bend;
use crate::material::hardening::Material;
use crate::material::history::{History, Turn, fading, no_sensitivity};
use crate::material::lanes::{Four, Some4, all, apart, of_each, vectors};
use crate::material::path::{Path, follow as follow_path, put, worst, yields};
use crate::material::search::Step;
use crate::material::state::{Flowed, Place, PointState, Response, ReturnMapError, Start, of_one};

/// A tensor `(xx, yy, zz, xy)` of four points.
type Tensor = Vector4<Four>;

const NO_TENSOR: Tensor = Vector4::new(Four::ZERO, Four::ZERO, Four::ZERO, Four::ZERO);

/// Deviator of a strain (engineering shear).
fn deviator_of_strain(strain: &Tensor) -> Tensor {
    let mean = trace(strain) * all(1.0 / 3.0);
    Tensor::new(strain[0] - mean, strain[1] - mean, strain[2] - mean, all(0.5) * strain[3])
}

/// Weights of the components in the contraction of a symmetric tensor with itself.
const CONTRACTION: [f64; 4] = [1.0, 1.0, 1.0, 2.0];

fn trace(t: &Tensor) -> Four {
    t[0] + t[1] + t[2]
}

/// Double contraction of two symmetric tensors.
fn contract(a: &Tensor, b: &Tensor) -> Four {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + all(2.0) * a[3] * b[3]
}

/// `√(3/2)`, from the norm of a deviator to its equivalent.
fn to_equivalent() -> Four {
    all(1.5_f64.sqrt())
}

/// Equivalent of a deviator.
fn equivalent(t: &Tensor) -> Four {
    to_equivalent() * contract(t, t).simd_sqrt()
}

/// Histories on their way through an increment.
struct InSpace<'a> {
    material: &'a Material,
    shear: f64,
    /// Stress deviator at the start, and at the end were it elastic.
    begin: Tensor,
    end: Tensor,
    bend: Bend<4>,
    /// Its flow is the plastic strain, a tensor.
    history: History<4>,
    /// Sensitivity of the history to every component of the strain at the end, where it is wanted.
    sensitivities: Option<&'a mut [History<4>; 4]>,
}

/// Everything that depends on Δp alone.
struct Flowing {
    eta: Tensor,
    size: Four,
    /// `dη/dΔp`.
    turning: Tensor,
    /// Yield stress and hardening modulus at the end of the step.
    yield_stress: Four,
    modulus: Four,
    excess: Four,
    slope: Four,
}

impl Step for Flowing {
    fn excess(&self, _: Four) -> (Four, Four) {
        (self.excess, self.slope)
    }

    fn beyond(mut self, by: Four) -> Self {
        self.size += contract(&self.eta, &self.turning) / self.size * by;
        self.eta += self.turning * by;
        self.yield_stress += self.modulus * by;
        self
    }

    fn yield_stress(&self) -> Four {
        self.yield_stress
    }
}

impl Path for InSpace<'_> {
    type Trial = Tensor;
    type Step = Flowing;

    fn equivalent(&self) -> Four {
        self.history.equivalent
    }

    fn trial(&self, share: f64) -> Tensor {
        self.bend.at((&self.begin, &self.end), share) - self.history.flow * all(2.0 * self.shear)
    }

    fn size(&self, trial: &Tensor) -> Four {
        equivalent(&self.history.relative(trial, self.material.kinematic.len()))
    }

    fn at(&self, trial: &Tensor, increment: Four) -> Flowing {
        let stiff = all(3.0 * self.shear);
        let (yield_stress, modulus) =
            self.material.yield_and_modulus(self.history.equivalent + increment);
        let (mut eta, mut turning) = (*trial, NO_TENSOR);
        let (mut excess, mut slope) = (-stiff * increment - yield_stress, -stiff - modulus);
        for (term, back) in self.material.kinematic.iter().zip(&self.history.backs) {
            let (recall, modulus) = (all(term.recall), all(term.modulus));
            let fading = fading(term, increment);
            eta -= back * fading;
            turning += back * (recall * fading * fading);
            excess -= modulus * increment * fading;
            slope -= modulus * fading * fading;
        }
        // Points that do not flow may have no stress at all.
        let size = contract(&eta, &eta).simd_sqrt().simd_max(all(f64::MIN_POSITIVE));
        excess += to_equivalent() * size;
        slope += to_equivalent() * contract(&eta, &turning) / size;
        Flowing { eta, size, turning, yield_stress, modulus, excess, slope }
    }

    fn step_on(&mut self, last: &Flowing, increment: Four, share: f64, flows: Some4) -> Turn {
        let direction = last.eta * (Four::ONE / last.size);
        let flow = direction * (to_equivalent() * increment);
        let turn = self.history.step_on(&self.material.kinematic, (increment, flow), CONTRACTION);
        let Some(sensitivities) = &mut self.sensitivities else { return turn };
        let terms = &self.material.kinematic[..];
        for (column, sensitivity) in sensitivities.iter_mut().enumerate() {
            let mut unit = NO_TENSOR;
            unit[column] = all(self.bend.follows(share));
            // dη at constant Δp, then Δp from the yield condition, then the turn of η with it.
            let mut d_eta = (deviator_of_strain(&unit) - sensitivity.flow) * all(2.0 * self.shear);
            d_eta = sensitivity.less_faded(d_eta, terms, increment);
            let d_excess = to_equivalent() * contract(&direction, &d_eta)
                - last.modulus * sensitivity.equivalent;
            // A point that does not flow in this part keeps its sensitivity.
            let d_increment = (d_excess / -last.slope).select(flows, Four::ZERO);
            d_eta += last.turning * d_increment;
            let d_direction =
                (d_eta - direction * contract(&direction, &d_eta)) * (Four::ONE / last.size);
            let d_flow = (direction * d_increment + d_direction * increment) * to_equivalent();
            // Without stress there is no direction, and what it turns by is not a number.
            let d_flow = d_flow.map(|part| part.select(flows, Four::ZERO));
            sensitivity.differentiate_step(
                terms,
                (&self.history, increment),
                (d_increment, d_flow),
            );
        }
        turn
    }

    fn stiffness(&self) -> f64 {
        3.0 * self.shear
    }
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
    follow(material, strain, (old, &Vector4::zeros()), &mut [0.0])
}

/// Answers `strain` from a history and its stress in as many steps as there are `parts`; see
/// [`Place`].
///
/// # Errors
///
/// [`ReturnMapError`] when no plastic increment satisfies the yield condition.
pub fn follow(
    material: &Material,
    strain: &Vector4<f64>,
    start: (&PointState, &Vector4<f64>),
    parts: &mut [f64],
) -> Result<Response, ReturnMapError> {
    of_one(answer, material, strain, start, parts)
}

/// The same for up to four points at once, in `place`.
///
/// # Errors
///
/// The first point for which no plastic increment satisfies the yield condition.
///
/// # Panics
///
/// With no point at all.
pub fn answer(
    material: &Material,
    strains: &[Vector4<f64>],
    start: Start<'_>,
    mut place: Place<'_>,
) -> Result<Flowed, (usize, ReturnMapError)> {
    let old = start.flows;
    let count = old.len();
    let terms = material.kinematic.len();
    let shear = material.elasticity.shear_modulus();
    let strain = vectors(count, |k| strains[k] - old[k].plastic_strain);
    let pressure = trace(&strain) * all(material.elasticity.bulk_modulus());
    let end = deviator_of_strain(&strain) * all(2.0 * shear);
    let back = vectors(count, |k| start.backs_of(k)[..terms].iter().sum());
    let yield_stress = material.yield_stress_of_four(of_each(count, |k| old[k].equivalent));
    let yielding = yields(equivalent(&(end - back)), yield_stress);
    if yielding.none() {
        put_stresses(&end, pressure, place.stresses);
        place.stay(start, || material.elasticity.stiffness());
        return Ok(Flowed::default());
    }

    let begin = vectors(count, |k| start.stresses[k]);
    let mean = trace(&begin) * all(1.0 / 3.0);
    let mut sensitivities = place.tangents.is_some().then(no_sensitivity);
    let begin = begin - Tensor::new(mean, mean, mean, Four::ZERO);
    let before = start.before_of_four();
    let before = before.map(|before| deviator_of_strain(&before) * all(2.0 * shear));
    let mut path = InSpace {
        material,
        shear,
        begin,
        end,
        bend: Bend::new(before, end - begin),
        history: History::begin(start, terms, |back| *back),
        sensitivities: sensitivities.as_mut(),
    };
    let exact = path.sensitivities.is_some();
    let histories = (old, &*place.flows);
    let error = follow_path(&mut path, (yield_stress, yielding), histories, place.parts, exact)?;

    put_stresses(&(end - path.history.flow * all(2.0 * shear)), pressure, place.stresses);
    let back = |term: usize| path.history.backs[term];
    put(start, yielding, (path.history.equivalent, path.history.flow), (terms, back), &mut place);
    if let (Some(tangents), Some(sensitivities)) = (place.tangents, sensitivities) {
        let stiffness = material.elasticity.stiffness();
        for (k, tangent) in tangents.iter_mut().enumerate() {
            let lost = Matrix4::from_fn(|row, column| sensitivities[column].flow[row].extract(k));
            *tangent = stiffness - lost * (2.0 * shear);
        }
    }
    Ok(Flowed { yields: true, error: worst(error, yielding) })
}

/// Writes stresses that are known by deviator and mean.
fn put_stresses(deviator: &Tensor, mean: Four, stresses: &mut [Vector4<f64>]) {
    let stress = apart(&(deviator + Tensor::new(mean, mean, mean, Four::ZERO)));
    stresses.copy_from_slice(&stress[..stresses.len()]);
}
