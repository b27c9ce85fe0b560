//! A round plate in plane stress whose hole a rigid tool opens, with finite strain: the rim thins or
//! thickens, the metal hardens.
//!
//! ```text
//!   stretches of a drawn radius R    λr = 1 + du/dR,  λθ = 1 + u/R,  thickness λz
//!   logarithmic strain               ε = ln λ = εᵉ + εᵖ
//!   stress by the drawn volume       τ by Hooke's law of εᵉ, τz = 0; von Mises, dεᵖ = dp ∂τe/∂τ
//!   balance, by the drawn area       dPr/dR = (Pθ − Pr)/R,   Pr = τr/λr,  Pθ = τθ/λθ
//! ```
//!
//! At a given history two unknowns, `u` and `Pr`, follow one ordinary differential equation in the
//! drawn radius: `u` gives `λθ`, and `λr` is the root of `τr(λr) = λr Pr`. It is integrated from the
//! rim, which is free and has moved by `u_b`, inward to the hole. The rim moves outward in small
//! steps; after each, the plastic strain of every radius is brought up to date. No node, element or
//! contact takes part. The pressure on the hole as it stands is `−τr/(λθ λz λr)` there.
//!
//! Takes as given: plane stress, isotropic linear hardening, even pressure applied for the first
//! time, Mises flow. Error: of the first order in the steps of the rim, of the fourth in the radius.
//!
//! Source: derived. Logarithmic strain as in C. Miehe, N. Apel and M. Lambrecht, Comput. Methods
//! Appl. Mech. Eng. 191 (2002) 5383 (from memory), here along fixed principal directions.
//!
//! Trap: this is a theory of *finite* strain; the other sheets of this module are not.

use crate::material::elasticity::Elasticity;
use crate::numeric::root::bracketed_newton;
use crate::theory::range::{OutOfRange, elastic_constants, positive, within};

/// Intervals between the hole and the rim, even in the logarithm of the drawn radius.
const INTERVALS: usize = 150;
/// Steps of the rim to the opening that is asked for.
const STEPS: usize = 300;
/// Largest opening, over the radius of the hole.
pub const LARGEST_OPENING: f64 = 0.2;
/// Logarithmic strains between which the radial one is looked for.
const RADIAL: [f64; 2] = [-0.7, 0.3];

/// A round plate with a hole at its centre, of a metal that hardens along a straight line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThinningSheet {
    /// Radius of the hole as drawn, mm.
    pub inner: f64,
    /// Radius of the rim as drawn, mm.
    pub outer: f64,
    /// Elastic constants.
    pub elasticity: Elasticity,
    /// Initial yield stress, MPa.
    pub yield_stress: f64,
    /// Rise of the yield stress by plastic strain, MPa.
    pub slope: f64,
}

/// The hole with the tool in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// Growth of the hole over its drawn radius.
    pub opening: f64,
    /// Pressure on the edge as it stands, MPa.
    pub pressure: f64,
    /// Change of the thickness at the edge over the drawn one.
    pub thickness_change: f64,
    /// Equivalent plastic strain at the edge.
    pub plastic_strain: f64,
}

/// Plastic history of one radius: strain along the radius and the circumference, and the equivalent.
#[derive(Clone, Copy, Debug, Default)]
struct History {
    radial: f64,
    hoop: f64,
    equivalent: f64,
}

/// Answer of the metal: stress by the drawn volume, MPa, and history.
#[derive(Clone, Copy, Debug)]
struct Answer {
    radial: f64,
    hoop: f64,
    history: History,
}

/// The two unknowns at one radius: displacement, mm, and radial stress by the drawn area, MPa.
type Unknowns = [f64; 2];

impl ThinningSheet {
    /// The sheet with its hole grown by `opening`, a share of its radius.
    ///
    /// # Errors
    /// [`OutOfRange`] for dimensions or constants that make no sheet, an opening that is not above
    /// zero or beyond [`LARGEST_OPENING`], or one that the sheet cannot bear.
    pub fn at_opening(&self, opening: f64) -> Result<Opened, OutOfRange> {
        positive("inner radius", self.inner)?;
        within("outer radius", self.outer, 1.5 * self.inner, 1e4 * self.inner)?;
        positive("yield stress", self.yield_stress)?;
        within("slope", self.slope, 0.0, self.elasticity.youngs_modulus)?;
        elastic_constants(&self.elasticity)?;
        within("opening", opening, f64::MIN_POSITIVE, LARGEST_OPENING)?;
        // The rim moves as if the sheet were elastic, or less: the metal that yields thickens.
        let mut rim = 0.0;
        let mut histories = vec![History::default(); 2 * INTERVALS + 1];
        let step = opening / STEPS as f64;
        let mut found = None;
        for k in 1..=STEPS {
            let wanted = step * k as f64;
            rim = self.rim_for(wanted, rim, &histories, step).ok_or(OutOfRange {
                quantity: "opening",
                value: opening,
                low: 0.0,
                high: wanted - step,
            })?;
            found = self.inward(rim, &mut histories, true);
        }
        found.ok_or(OutOfRange { quantity: "opening", value: opening, low: 0.0, high: 0.0 })
    }

    /// Displacement of the rim at which the hole is open by `wanted`; `from` is the last one, mm.
    fn rim_for(&self, wanted: f64, from: f64, histories: &[History], step: f64) -> Option<f64> {
        let mut histories = histories.to_vec();
        let mut off = |rim: f64| {
            self.inward(rim, &mut histories, false).map_or(f64::NAN, |found| found.opening - wanted)
        };
        // Of an elastic sheet the rim moves by 2(a/b)/(1 − ν + (1 + ν)(a/b)²…) of the edge, at most
        // as much as the edge itself.
        let mut high = from;
        let mut reach = 0.25 * step * self.inner * self.inner / self.outer;
        for _ in 0..40 {
            high += reach;
            if off(high) > 0.0 {
                break;
            }
            reach *= 1.5;
        }
        let (mut low, mut at_low, mut at_high) = (from, off(from), off(high));
        // The rule of false position, which halves the weight of an end that stays (Illinois).
        for _ in 0..100 {
            let middle = low + (high - low) * at_low / (at_low - at_high);
            let at_middle = off(middle);
            if !at_middle.is_finite() {
                return None;
            }
            if at_middle.abs() < 1e-9 {
                return Some(middle);
            }
            if at_middle * at_high < 0.0 {
                (low, at_low) = (high, at_high);
            } else {
                at_low *= 0.5;
            }
            (high, at_high) = (middle, at_middle);
        }
        None
    }

    /// Integrates from the rim, moved by `rim` mm, inward; with `keep` the histories become those
    /// of this state. `None` where the metal bears no such stress.
    fn inward(&self, rim: f64, histories: &mut [History], keep: bool) -> Option<Opened> {
        let step = (self.inner / self.outer).ln() / INTERVALS as f64;
        let mut now: Unknowns = [rim, 0.0];
        for interval in 0..INTERVALS {
            let at = 2 * interval;
            let log = step * interval as f64;
            let radius = |share: f64| self.outer * (log + share * step).exp();
            let slope = |share: f64, unknowns: Unknowns, history: &History| {
                let radius = radius(share);
                let (answer, [radial, hoop]) = self.answer(radius, unknowns, history)?;
                // By the logarithm of the radius.
                let rise = answer.hoop / hoop - answer.radial / radial;
                Some(([radius * (radial - 1.0), rise], answer.history))
            };
            let along = |by: f64, slope: Unknowns| [now[0] + by * slope[0], now[1] + by * slope[1]];
            let (first, kept) = slope(0.0, now, &histories[at])?;
            let (second, _) = slope(0.5, along(0.5 * step, first), &histories[at + 1])?;
            let (third, kept_middle) = slope(0.5, along(0.5 * step, second), &histories[at + 1])?;
            let (fourth, _) = slope(1.0, along(step, third), &histories[at + 2])?;
            if keep {
                histories[at] = kept;
                histories[at + 1] = kept_middle;
            }
            for k in 0..2 {
                now[k] += step / 6.0 * (first[k] + 2.0 * second[k] + 2.0 * third[k] + fourth[k]);
            }
        }
        let last = histories.len() - 1;
        let (answer, [radial, hoop]) = self.answer(self.inner, now, &histories[last])?;
        if keep {
            histories[last] = answer.history;
        }
        let Elasticity { youngs_modulus, poissons_ratio } = self.elasticity;
        let History { radial: flow, hoop: hoop_flow, equivalent } = answer.history;
        let across =
            -poissons_ratio / youngs_modulus * (answer.radial + answer.hoop) - flow - hoop_flow;
        Some(Opened {
            opening: hoop - 1.0,
            pressure: -answer.radial / (radial * hoop * across.exp()),
            thickness_change: across.exp_m1(),
            plastic_strain: equivalent,
        })
    }

    /// Answer of the metal at a drawn radius, and its stretches `[radial, hoop]`.
    fn answer(
        &self,
        radius: f64,
        [displacement, stress]: Unknowns,
        history: &History,
    ) -> Option<(Answer, [f64; 2])> {
        let hoop = 1.0 + displacement / radius;
        if hoop <= 0.0 {
            return None;
        }
        let excess =
            |radial: f64| self.respond([radial, hoop.ln()], history).radial - stress * radial.exp();
        let slope = self.elasticity.youngs_modulus * 1e-7;
        let radial = bracketed_newton(RADIAL[0], RADIAL[1], slope * 1e-4, |strain| {
            let by = 1e-7;
            let value = excess(strain);
            (value, (excess(strain + by) - value) / by)
        })?;
        Some((self.respond([radial, hoop.ln()], history), [radial.exp(), hoop]))
    }

    /// Stress and history at the logarithmic strains `[radial, hoop]`, by one backward step of Euler.
    fn respond(&self, [radial, hoop]: [f64; 2], history: &History) -> Answer {
        let Elasticity { youngs_modulus, poissons_ratio } = self.elasticity;
        let (of_sum, of_difference) =
            (youngs_modulus / (1.0 - poissons_ratio), youngs_modulus / (1.0 + poissons_ratio));
        let (radial, hoop) = (radial - history.radial, hoop - history.hoop);
        // Sum and difference of the stresses do not mix.
        let (sum, difference) = (of_sum * (radial + hoop), of_difference * (radial - hoop));
        let equivalent =
            |sum: f64, difference: f64| (0.5 * sum).hypot(0.75_f64.sqrt() * difference);
        // dεᵖ = flow · (2τr − τθ, 2τθ − τr)/3, dp = flow · ⅔ τe.
        let reduced = |flow: f64| {
            (sum / (1.0 + of_sum * flow / 3.0), difference / (1.0 + of_difference * flow))
        };
        let growth = |flow: f64, size: f64| flow * size / 1.5;
        let size = equivalent(sum, difference);
        let strength = |p: f64| self.yield_stress + self.slope * p;
        let flow = if size <= strength(history.equivalent) {
            0.0
        } else {
            let excess = |flow: f64| {
                let (sum, difference) = reduced(flow);
                let size = equivalent(sum, difference);
                size - strength(history.equivalent + growth(flow, size))
            };
            // The stress is below the yield stress where all of the strain is plastic.
            let most = 3.0 * (size / self.yield_stress) / of_difference.min(of_sum);
            bracketed_newton(0.0, most, 1e-9 * self.yield_stress, |flow| {
                let by = 1e-7 * most;
                let value = excess(flow);
                (value, (excess(flow + by) - value) / by)
            })
            .unwrap_or(0.0)
        };
        let (sum, difference) = reduced(flow);
        let (tau_radial, tau_hoop) = (0.5 * (sum + difference), 0.5 * (sum - difference));
        Answer {
            radial: tau_radial,
            hoop: tau_hoop,
            history: History {
                radial: history.radial + flow * (2.0 * tau_radial - tau_hoop) / 3.0,
                hoop: history.hoop + flow * (2.0 * tau_hoop - tau_radial) / 3.0,
                equivalent: history.equivalent + growth(flow, equivalent(sum, difference)),
            },
        }
    }
}
