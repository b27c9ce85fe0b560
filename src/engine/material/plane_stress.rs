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

use nalgebra::{Matrix3, Vector3, Vector4};
use simba::simd::{SimdBool, SimdValue};

use crate::material::bend::Bend;
use crate::material::hardening::Material;
use crate::material::history::{History, Turn, fading, no_sensitivity};
use crate::material::lanes::{Four, Some4, all, apart, has, of_each, vectors};
use crate::material::modes::{
    Modes, NO_MODES, PROJECTOR, back_modes, deviator, equivalent, from_modes, projected,
    tangent_from_modes, to_modes,
};
use crate::material::path::{Path, follow as follow_path, put, worst, yields};
use crate::material::search::Step;
use crate::material::state::{Flowed, Place, PointState, Response, ReturnMapError, Start, of_one};

/// Constants of the metal in modes, MPa.
struct Constants {
    /// Stress over (engineering) strain.
    elastic: Vector3<f64>,
    /// Stress lost over `m ξ`.
    softening: Vector3<f64>,
}

impl Constants {
    fn of(material: &Material) -> Self {
        let young = material.elasticity.youngs_modulus;
        let nu = material.elasticity.poissons_ratio;
        let shear = material.elasticity.shear_modulus();
        Self {
            elastic: Vector3::new(young / (1.0 - nu), 2.0 * shear, shear),
            softening: Vector3::new(young / (3.0 * (1.0 - nu)), 2.0 * shear, 2.0 * shear),
        }
    }
}

/// Histories on their way through an increment, in modes.
struct InPlane<'a> {
    material: &'a Material,
    softening: Modes,
    /// Stress at the start, and at the end were it elastic.
    begin: Modes,
    end: Modes,
    bend: Bend<3>,
    /// Its flow is the sum of `m ξ`: plastic strain is the deviator of it, lost stress its product
    /// with the softening.
    history: History<3>,
    /// Sensitivity of the history to every mode of the trial stress at the end, where it is wanted.
    sensitivities: Option<&'a mut [History<3>; 3]>,
}

/// Everything that depends on Δp alone, in modes.
struct Flowing {
    xi: Modes,
    /// `dξ/dΔp`.
    xi_rate: Modes,
    /// `1 / (1 + m kᵢ + …)`.
    shrink: Modes,
    /// `k + (2/3) Σ Cₖ/(1+γₖΔp)`, by which m shrinks ξ.
    stiffness: Modes,
    flow: Four,
    flow_rate: Four,
    /// Yield stress and hardening modulus at the end of the step.
    size: Four,
    slope: Four,
}

impl Step for Flowing {
    /// `σ_y (1 − σ_y/q)` and its derivative by Δp, with the outer `σ_y` that of `now`: it has the
    /// root of `q = σ_y` and is nearly straight, since ξ falls as `1/(1 + m k)`.
    fn excess(&self, now: Four) -> (Four, Four) {
        let over = Four::ONE / equivalent(&self.xi);
        let share = self.size * over;
        let q_rate = all(1.5) * over * projected(&self.xi, &self.xi_rate);
        (now * (Four::ONE - share), now * over * (share * q_rate - self.slope))
    }

    fn beyond(mut self, by: Four) -> Self {
        self.xi += self.xi_rate * by;
        self.flow += self.flow_rate * by;
        self.size += self.slope * by;
        self
    }

    fn yield_stress(&self) -> Four {
        self.size
    }
}

impl Flowing {
    /// `dq/dξ`.
    fn normal(&self) -> Modes {
        let over = all(1.5) / equivalent(&self.xi);
        Modes::from_fn(|i, _| all(PROJECTOR[i]) * self.xi[i] * over)
    }
}

impl Path for InPlane<'_> {
    type Trial = Modes;
    type Step = Flowing;

    fn equivalent(&self) -> Four {
        self.history.equivalent
    }

    fn trial(&self, share: f64) -> Modes {
        self.bend.at((&self.begin, &self.end), share)
            - self.softening.component_mul(&self.history.flow)
    }

    fn size(&self, trial: &Modes) -> Four {
        equivalent(&self.history.relative(trial, self.material.kinematic.len()))
    }

    fn at(&self, trial: &Modes, increment: Four) -> Flowing {
        let (size, slope) = self.material.yield_and_modulus(self.history.equivalent + increment);
        let over = Four::ONE / size;
        let flow = all(1.5) * increment * over;
        let flow_rate = (all(1.5) - flow * slope) * over;
        let mut eta = *trial;
        let mut eta_rate = NO_MODES;
        let (mut back, mut back_rate) = (Four::ZERO, Four::ZERO);
        for (term, old_back) in self.material.kinematic.iter().zip(&self.history.backs) {
            let recall = all(term.recall);
            let fading = fading(term, increment);
            let fallen = recall * fading * fading;
            let modulus = all(2.0 / 3.0 * term.modulus);
            eta -= old_back * fading;
            eta_rate += old_back * fallen;
            back += modulus * fading;
            back_rate -= modulus * fallen;
        }
        let stiffness = self.softening.map(|k| k + back);
        // Difference and shear soften alike.
        let [of_sum, of_shear] =
            [stiffness[0], stiffness[2]].map(|k| Four::ONE / (Four::ONE + flow * k));
        let shrink = Modes::new(of_sum, of_shear, of_shear);
        let xi = eta.component_mul(&shrink);
        let stretch_rate = stiffness.map(|k| flow_rate * k + flow * back_rate);
        let xi_rate = (eta_rate - stretch_rate.component_mul(&xi)).component_mul(&shrink);
        Flowing { xi, xi_rate, shrink, stiffness, flow, flow_rate, size, slope }
    }

    fn step_on(&mut self, last: &Flowing, increment: Four, share: f64, flows: Some4) -> Turn {
        let Flowing { xi, xi_rate, shrink, stiffness, flow, flow_rate, size, slope } = last;
        let turn =
            self.history.step_on(&self.material.kinematic, (increment, xi * *flow), PROJECTOR);
        let Some(sensitivities) = &mut self.sensitivities else { return turn };
        let terms = &self.material.kinematic[..];
        let normal = last.normal();
        let excess_slope = normal.dot(xi_rate) - *slope;
        for (mode, sensitivity) in sensitivities.iter_mut().enumerate() {
            // dξ at constant Δp, then Δp from the yield condition, then what follows it.
            let mut d_eta = -self.softening.component_mul(&sensitivity.flow);
            d_eta[mode] += all(self.bend.follows(share));
            d_eta = sensitivity.less_faded(d_eta, terms, increment);
            // m = (3/2) Δp/σ_y falls where the yield stress had grown before.
            let d_size = *slope * sensitivity.equivalent;
            let mut d_flow = -*flow / *size * d_size;
            let mut d_xi = (d_eta - stiffness.component_mul(xi) * d_flow).component_mul(shrink);
            let d_increment = (normal.dot(&d_xi) - d_size) / -excess_slope;
            // A point that does not flow in this part keeps its sensitivity.
            let d_increment = d_increment.select(flows, Four::ZERO);
            d_xi += xi_rate * d_increment;
            d_flow += *flow_rate * d_increment;
            let d_slip = xi * d_flow + d_xi * *flow;
            sensitivity.differentiate_step(
                terms,
                (&self.history, increment),
                (d_increment, d_slip),
            );
        }
        turn
    }

    fn stiffness(&self) -> f64 {
        3.0 * self.material.elasticity.shear_modulus()
    }
}

/// Answers the in-plane part of `strain` `(εxx, εyy, ·, γxy)` from the history `old` in one step;
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
    follow(material, strain, (old, &Vector4::zeros()), &mut [0.0])
}

/// Answers the same from a history and its stress in as many steps as there are `parts`; see
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
    let constants = Constants::of(material);
    let strain = vectors(count, |k| strains[k] - old[k].plastic_strain);
    let end = to_modes(strain[0], strain[1], strain[3]).component_mul(&constants.elastic.map(all));
    let back = vectors(count, |k| start.backs_of(k)[..terms].iter().sum());
    let yield_stress = material.yield_stress_of_four(of_each(count, |k| old[k].equivalent));
    let yielding = yields(equivalent(&(end - back_modes(&back))), yield_stress);
    if yielding.none() {
        put_stresses(&end, place.stresses);
        let tangent = || material.elasticity.plane_stress_stiffness();
        place.stay(start, tangent);
        return Ok(Flowed::default());
    }

    let begin = vectors(count, |k| start.stresses[k]);
    let mut sensitivities = place.tangents.is_some().then(no_sensitivity);
    let begin = to_modes(begin[0], begin[1], begin[3]);
    let before = start.before_of_four().map(|before| {
        to_modes(before[0], before[1], before[3]).component_mul(&constants.elastic.map(all))
    });
    let mut path = InPlane {
        material,
        softening: constants.softening.map(all),
        begin,
        end,
        bend: Bend::new(before, end - begin),
        history: History::begin(start, terms, back_modes),
        sensitivities: sensitivities.as_mut(),
    };
    let exact = path.sensitivities.is_some();
    let histories = (old, &*place.flows);
    let error = follow_path(&mut path, (yield_stress, yielding), histories, place.parts, exact)?;

    put_stresses(&(end - path.softening.component_mul(&path.history.flow)), place.stresses);
    let back = |term: usize| deviator(&path.history.backs[term]);
    put(
        start,
        yielding,
        (path.history.equivalent, deviator(&path.history.flow)),
        (terms, back),
        &mut place,
    );
    if let (Some(tangents), Some(sensitivities)) = (place.tangents, sensitivities) {
        for (k, tangent) in tangents.iter_mut().enumerate() {
            if !has(yielding, k) {
                // To the last bit what it is without points that yield beside it.
                *tangent = material.elasticity.plane_stress_stiffness();
                continue;
            }
            let modes = Matrix3::from_fn(|mode, by| {
                let kept = f64::from(u8::from(mode == by));
                let lost = constants.softening[mode] * sensitivities[by].flow[mode].extract(k);
                constants.elastic[by] * (kept - lost)
            });
            *tangent = tangent_from_modes(&modes);
        }
    }
    Ok(Flowed { yields: true, error: worst(error, yielding) })
}

/// Writes stresses that are known in modes.
fn put_stresses(modes: &Modes, stresses: &mut [Vector4<f64>]) {
    let stress = from_modes(modes);
    let stress = apart(&Vector4::new(stress[0], stress[1], Four::ZERO, stress[2]));
    stresses.copy_from_slice(&stress[..stresses.len()]);
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
