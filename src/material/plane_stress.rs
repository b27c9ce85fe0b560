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

use crate::material::backstress::MOST_TERMS;
use crate::material::hardening::{Hardening, Material};
use crate::material::return_map::{Trial, YIELD_TOLERANCE, plastic_increment};
use crate::material::state::{
    Asked, Place, PointState, Reply, Response, ReturnMapError, Start, shares,
};

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

/// What the metal's constants are in modes, MPa.
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

/// A history on its way through an increment, in modes.
struct History {
    equivalent: f64,
    /// Backstress terms.
    backs: [Vector3<f64>; MOST_TERMS],
    /// Sum of `m ξ` since the start of the increment: plastic strain is its deviator, lost stress
    /// its product with the softening.
    slip: Vector3<f64>,
}

/// What a history owes to one mode of the trial stress at the end of the increment.
#[derive(Clone, Copy, Default)]
struct Sensitivity {
    equivalent: f64,
    backs: [Vector3<f64>; MOST_TERMS],
    slip: Vector3<f64>,
}

/// Everything that depends on Δp alone, in modes.
struct Flowing {
    xi: Vector3<f64>,
    /// `dξ/dΔp`.
    xi_rate: Vector3<f64>,
    /// `1 / (1 + m kᵢ + …)`.
    shrink: Vector3<f64>,
    /// `k + (2/3) Σ Cₖ/(1+γₖΔp)`, by which m shrinks ξ.
    stiffness: Vector3<f64>,
    flow: f64,
    flow_rate: f64,
    /// Yield stress and hardening modulus at the end of the step.
    size: f64,
    slope: f64,
}

impl Trial for Flowing {
    /// `σ_y (1 − σ_y/q)` and its derivative by Δp, with the outer `σ_y` that of `now`: it has the
    /// root of `q = σ_y` and is nearly straight, since ξ falls as `1/(1 + m k)`.
    fn excess(&self, now: f64) -> (f64, f64) {
        let q = equivalent(&self.xi);
        let over = q.recip();
        let share = self.size * over;
        let weighted = |i: usize| PROJECTOR[i] * self.xi[i] * self.xi_rate[i];
        let q_rate = 1.5 * over * (weighted(0) + weighted(1) + weighted(2));
        (now * (1.0 - share), now * over * (share * q_rate - self.slope))
    }

    fn beyond(mut self, by: f64) -> Self {
        self.xi += self.xi_rate * by;
        self.flow += self.flow_rate * by;
        self.size += self.slope * by;
        self
    }
}

impl Flowing {
    /// `dq/dξ`, where the equivalent of ξ is `q`.
    fn normal(&self, q: f64) -> Vector3<f64> {
        Vector3::from_fn(|i, _| 1.5 * PROJECTOR[i] * self.xi[i] / q)
    }
}

impl History {
    /// State of a step from here to the trial stress `trial`, were its Δp `increment`.
    fn at(
        &self,
        material: &Material,
        softening: &Vector3<f64>,
        trial: &Vector3<f64>,
        increment: f64,
    ) -> Flowing {
        let (size, slope) = material.yield_and_modulus(self.equivalent + increment);
        let flow = 1.5 * increment / size;
        let flow_rate = 1.5 / size - flow * slope / size;
        let mut eta = *trial;
        let mut eta_rate = Vector3::zeros();
        let (mut back, mut back_rate) = (0.0, 0.0);
        for (term, old_back) in material.kinematic.iter().zip(&self.backs) {
            let fading = 1.0 / (1.0 + term.recall * increment);
            eta -= old_back * fading;
            eta_rate += old_back * (term.recall * fading * fading);
            back += 2.0 / 3.0 * term.modulus * fading;
            back_rate -= 2.0 / 3.0 * term.modulus * term.recall * fading * fading;
        }
        let stiffness = softening.map(|k| k + back);
        let shrink = stiffness.map(|k| 1.0 / (1.0 + flow * k));
        let xi = eta.component_mul(&shrink);
        let stretch_rate = stiffness.map(|k| flow_rate * k + flow * back_rate);
        let xi_rate = (eta_rate - stretch_rate.component_mul(&xi)).component_mul(&shrink);
        Flowing { xi, xi_rate, shrink, stiffness, flow, flow_rate, size, slope }
    }

    /// The step, and what the history at its end owes to every mode; `share` of the increment lies
    /// behind.
    fn step_on(
        &mut self,
        material: &Material,
        softening: &Vector3<f64>,
        (last, increment): (&Flowing, f64),
        owed: Option<(&mut [Sensitivity; 3], f64)>,
    ) {
        let Flowing { xi, xi_rate, shrink, stiffness, flow, flow_rate, size, slope } = last;
        self.equivalent += increment;
        self.slip += *flow * xi;
        for (term, back) in material.kinematic.iter().zip(&mut self.backs) {
            *back =
                (*back + 2.0 / 3.0 * term.modulus * *flow * xi) / (1.0 + term.recall * increment);
        }
        let Some((owed, share)) = owed else { return };
        let normal = last.normal(equivalent(xi));
        let excess_slope = normal.dot(xi_rate) - slope;
        for (mode, owed) in owed.iter_mut().enumerate() {
            // dξ at constant Δp, then Δp from the yield condition, then what follows it.
            let mut d_eta = -softening.component_mul(&owed.slip);
            d_eta[mode] += share;
            for (term, back) in material.kinematic.iter().zip(&owed.backs) {
                d_eta -= back / (1.0 + term.recall * increment);
            }
            // m = (3/2) Δp/σ_y falls where the yield stress had grown before.
            let d_size = slope * owed.equivalent;
            let mut d_flow = -flow / size * d_size;
            let mut d_xi = (d_eta - stiffness.component_mul(xi) * d_flow).component_mul(shrink);
            let d_increment = (normal.dot(&d_xi) - d_size) / -excess_slope;
            d_xi += xi_rate * d_increment;
            d_flow += flow_rate * d_increment;
            let d_slip = d_flow * xi + *flow * d_xi;
            owed.equivalent += d_increment;
            owed.slip += d_slip;
            let backs = self.backs.iter().zip(&mut owed.backs);
            for (term, (back, owed)) in material.kinematic.iter().zip(backs) {
                let grown = *owed + 2.0 / 3.0 * term.modulus * d_slip;
                *owed =
                    (grown - term.recall * d_increment * back) / (1.0 + term.recall * increment);
            }
        }
    }
}

/// Deviator `(xx, yy, zz, xy)` of an in-plane stress in modes.
fn deviator(modes: &Vector3<f64>) -> Vector4<f64> {
    let in_plane = from_modes(modes);
    let mean = (in_plane[0] + in_plane[1]) / 3.0;
    Vector4::new(in_plane[0] - mean, in_plane[1] - mean, -mean, in_plane[2])
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
    follow(material, strain, Start::whole(old), &mut [0.0])
}

/// Answers the same in as many steps as there are `parts`; see [`Place`].
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
    let Constants { elastic, softening } = Constants::of(material);
    let elastic_strain = strain - old.plastic_strain;
    let end =
        to_modes(elastic_strain[0], elastic_strain[1], elastic_strain[3]).component_mul(&elastic);
    let terms = material.kinematic.len();
    let mut backs = [Vector3::zeros(); MOST_TERMS];
    for (modes, back) in backs.iter_mut().zip(&old.backstress[..terms]) {
        *modes = back_modes(back);
    }

    let trial_equivalent = equivalent(&(end - backs[..terms].iter().sum::<Vector3<f64>>()));
    let mut yield_now = material.yield_stress(old.equivalent);
    if trial_equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
        let stress = from_modes(&end);
        place.state.become_again(old);
        place.parts.fill(0.0);
        return Ok(Reply {
            stress: Vector4::new(stress[0], stress[1], 0.0, stress[2]),
            tangent: material.elasticity.plane_stress_stiffness(),
            plastic: false,
        });
    }

    let begin = to_modes(start.stress[0], start.stress[1], start.stress[3]);
    let mut before = 0.0;
    let mut history = History { equivalent: old.equivalent, backs, slip: Vector3::zeros() };
    let mut owed = (asked == Asked::Tangent).then(|| [Sensitivity::default(); 3]);
    for (part, share) in shares(place.parts.len()) {
        let trial = begin * (1.0 - share) + end * share - softening.component_mul(&history.slip);
        let back = history.backs[..terms].iter().sum::<Vector3<f64>>();
        let equivalent = equivalent(&(trial - back));
        if equivalent <= yield_now * (1.0 + YIELD_TOLERANCE) {
            place.parts[part] = 0.0;
            continue;
        }
        let guess = place.guess(old, part, before);
        let (increment, last) = plastic_increment(yield_now, guess, asked, |increment| {
            history.at(material, &softening, &trial, increment)
        })
        .ok_or(ReturnMapError { trial: equivalent, equivalent: history.equivalent })?;
        let owed = owed.as_mut().map(|owed| (owed, share));
        history.step_on(material, &softening, (&last, increment), owed);
        (place.parts[part], before) = (increment, increment);
        yield_now = last.size;
    }

    let History { equivalent, backs, slip } = history;
    let flow = deviator(&slip);
    let new = place.state;
    new.equivalent = equivalent;
    new.plastic_strain =
        old.plastic_strain + Vector4::new(flow[0], flow[1], flow[2], 2.0 * flow[3]);
    for (back, modes) in new.backstress[..terms].iter_mut().zip(&backs) {
        *back = deviator(modes);
    }
    let stress = from_modes(&(end - softening.component_mul(&slip)));
    let stress = Vector4::new(stress[0], stress[1], 0.0, stress[2]);
    let Some(owed) = owed else {
        let tangent = material.elasticity.plane_stress_stiffness();
        return Ok(Reply { stress, tangent, plastic: true });
    };
    let mut modes = Matrix3::from_diagonal(&elastic);
    for (column, owed) in owed.iter().enumerate() {
        let lost = softening.component_mul(&owed.slip) * elastic[column];
        modes.column_mut(column).zip_apply(&lost, |value, lost| *value -= lost);
    }
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
