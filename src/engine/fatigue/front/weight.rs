//! Stress intensity of any stress over the crack plane, as a ratio to a known one.
//!
//! ```text
//!   K(φ; σ) = K(φ; σ₀) · W(φ; σ)/W(φ; σ₀)
//!   W(φ; σ) = √2/π ∫∫ σ dA / [ℓ² √(∮ dΓ/ρ²)],   ℓ from the place on the front, ρ from there to the front
//! ```
//!
//! `W` is the weight function of an embedded crack; the stress is mirrored into the quadrants that the part
//! does not have. It is exact for circles and errs by up to 14 % for ellipses of 1 to 4 under uniform
//! stress, most of which the ratio takes out. With the elastic stress of the hole as `σ₀`, whose K the
//! equations give, a field in proportion to it comes out exactly. Held against finite elements with
//! residual-like fields a quarter of the points lie outside 3 %, the worst at 13 %.
//!
//! Source: M. Oore, D. J. Burns, J. Press. Vess. Tech. 102 (1980) 202 (from memory). The use as a ratio is
//! ours.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};
use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use crate::numeric::whole::whole_part;

/// Directions from the place on the front.
const RAYS: usize = 28;
/// Places on each.
const PLACES: usize = 20;
/// Aspects in the table, geometric from the first to the last.
const ASPECTS: usize = 25;
/// Ends of the aspects `a/c` in the table.
const ENDS: [f64; 2] = [0.1, 10.0];

/// A place of the crack plane with its weights at every aspect; `x/c` and `z/a`.
struct Node {
    x: f64,
    z: f64,
    weights: [f64; ASPECTS],
}

/// The weight function at one angle of the front, for all aspects.
pub struct FrontWeight {
    degrees: f64,
    nodes: Vec<Node>,
}

impl FrontWeight {
    /// The weight function at the parametric angle `degrees`, as it was made the first time.
    pub(super) fn shared(degrees: f64) -> Arc<Self> {
        static MADE: Mutex<Vec<Arc<FrontWeight>>> = Mutex::new(Vec::new());
        let kept = || MADE.lock().unwrap_or_else(PoisonError::into_inner);
        let same = |weight: &&Arc<Self>| weight.degrees.total_cmp(&degrees).is_eq();
        if let Some(weight) = kept().iter().find(same) {
            return Arc::clone(weight);
        }
        // Not under the lock: a thread that makes one may take up work that asks for one.
        let weight = Arc::new(Self::new(degrees));
        kept().push(Arc::clone(&weight));
        weight
    }

    /// The weight function at the parametric angle `degrees`.
    #[must_use]
    pub fn new(degrees: f64) -> Self {
        let phi = degrees.to_radians();
        let (z0, x0) = phi.sin_cos();
        let (rays, places, front) = (legendre(RAYS), legendre(PLACES), legendre(FRONT));
        let aspects: Vec<f64> = (0..ASPECTS).map(aspect).collect();
        let on_ray = |&(u, ray_weight): &(f64, f64)| -> Vec<Node> {
            // Crowding towards the tangent, where the chords become short.
            let turn = FRAC_PI_2 * (FRAC_PI_2 * u).sin();
            let turn_weight = ray_weight * FRAC_PI_2 * FRAC_PI_2 * (FRAC_PI_2 * u).cos();
            let direction = phi + PI + turn;
            let (dz, dx) = direction.sin_cos();
            let chord = 2.0 * turn.cos();
            let node = |&(v, place_weight): &(f64, f64)| {
                // The distance goes as s², which takes the root at the front away, and as 1 − (1 − s)²
                // at the far end, where the front comes near again.
                let p = 0.5 * (1.0 + v);
                let s = p * (2.0 - p);
                let ds = 2.0 * (1.0 - p) * 0.5 * place_weight;
                let along = chord * s * s;
                let (x, z) = (x0 + along * dx, z0 + along * dz);
                // In the plane of the unit circle; the area of the ellipse is a·c times this.
                let area = along * 2.0 * chord * s * ds * turn_weight;
                let mut weights = [0.0; ASPECTS];
                for (weight, &aspect) in weights.iter_mut().zip(&aspects) {
                    // Lengths over c: x as it is, z times a/c.
                    let distance = along * along * (dx * dx + aspect * aspect * dz * dz);
                    *weight = SQRT_2 / PI * aspect * area
                        / (distance * contour(x, z, aspect, &front).sqrt());
                }
                Node { x: x.abs(), z: z.abs(), weights }
            };
            places.iter().map(node).collect()
        };
        let nodes = rays.par_iter().flat_map_iter(on_ray).collect();
        Self { degrees, nodes }
    }

    /// The angle, degrees.
    #[must_use]
    pub fn degrees(&self) -> f64 {
        self.degrees
    }

    /// `W` in MPa√mm of `stress` in MPa at `(x, z)` in mm over a crack `a` by `c` mm.
    #[must_use]
    pub fn integral(&self, [a, c]: [f64; 2], stress: impl Fn(f64, f64) -> f64) -> f64 {
        let [integral] = self.integrals([a, c], |x, z| [stress(x, z)]);
        integral
    }

    /// Distances `x/c` from the bore at which [`integrals`](Self::integrals) asks for the stress, in its order.
    pub(super) fn distances(&self) -> impl Iterator<Item = f64> + '_ {
        self.nodes.iter().map(|node| node.x)
    }

    /// The same for several stresses at once.
    #[must_use]
    pub fn integrals<const N: usize>(
        &self,
        [a, c]: [f64; 2],
        mut stress: impl FnMut(f64, f64) -> [f64; N],
    ) -> [f64; N] {
        let [first, last] = ENDS;
        let step = (last / first).ln() / (ASPECTS - 1) as f64;
        let place = ((a / c).clamp(first, last) / first).ln() / step;
        let low = whole_part(place, ASPECTS - 2);
        let share = place - low as f64;
        let mut sum = [0.0; N];
        for node in &self.nodes {
            let weight = node.weights[low] + share * (node.weights[low + 1] - node.weights[low]);
            for (sum, stress) in sum.iter_mut().zip(stress(c * node.x, a * node.z)) {
                *sum += weight * stress;
            }
        }
        sum.map(|sum| sum * c.sqrt())
    }
}

fn aspect(k: usize) -> f64 {
    let [first, last] = ENDS;
    first * (last / first).powf(k as f64 / (ASPECTS - 1) as f64)
}

/// `∮ dΓ/ρ²` over the ellipse with half axes 1 and `aspect`, from the place `(x, aspect·z)` inside.
///
/// Nearly singular when the place is near the front: the parametric angle goes as `ψ* + η sinh t` about the
/// nearest place `ψ*`, `η` being the distance in that angle, which makes the integrand smooth
/// (P. R. Johnston, D. Elliott, Int. J. Numer. Meth. Eng. 62 (2005) 564, from memory).
fn contour(x: f64, z: f64, aspect: f64, rule: &[(f64, f64)]) -> f64 {
    let square = aspect * aspect;
    let mut nearest = z.atan2(x);
    for _ in 0..NEAREST_STEPS {
        let (s, c) = nearest.sin_cos();
        // Half the slope and half the curvature of the squared distance.
        let slope = -s * (c - x) + square * c * (s - z);
        let bend = s * s - c * (c - x) + square * (c * c - s * (s - z));
        // Where the distance is not convex, only the direction of its fall is used.
        let step = if bend > 0.0 { slope / bend } else { 0.3 * slope.signum() };
        nearest -= step.clamp(-0.3, 0.3);
        if step.abs() < 1e-14 {
            break;
        }
    }
    let (sine, cosine) = nearest.sin_cos();
    let at = |s: f64, c: f64| {
        let (dx, dz) = (c - x, aspect * (s - z));
        ((s * s + square * c * c).sqrt(), dx * dx + dz * dz)
    };
    let (length, distance) = at(sine, cosine);
    let eta = (distance.sqrt() / length).max(1e-12);
    let reach = (PI / eta).asinh();
    // The points of the rule lie in pairs about the nearest place.
    let sum: f64 = rule[..rule.len() / 2]
        .iter()
        .map(|(u, weight)| {
            let grown = (reach * u).exp();
            let (sinh, cosh) = (0.5 * (grown - grown.recip()), 0.5 * (grown + grown.recip()));
            let (s, c) = (eta * sinh).sin_cos();
            let (up, up_distance) = at(sine * c + cosine * s, cosine * c - sine * s);
            let (down, down_distance) = at(sine * c - cosine * s, cosine * c + sine * s);
            weight * cosh * (up / up_distance + down / down_distance)
        })
        .sum();
    sum * reach * eta
}

/// Steps of Newton's method to the nearest place of the front.
const NEAREST_STEPS: usize = 12;
/// Points along the front, an even number.
const FRONT: usize = 64;

/// Points and weights of the rule of Gauss and Legendre on `[−1, 1]`, by Newton's method on the polynomial.
fn legendre(count: usize) -> Vec<(f64, f64)> {
    (0..count)
        .map(|k| {
            let mut x = (PI * (k as f64 + 0.75) / (count as f64 + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..50 {
                let (mut before, mut now) = (1.0, x);
                for n in 2..=count {
                    let n = n as f64;
                    (before, now) = (now, ((2.0 * n - 1.0) * x * now - (n - 1.0) * before) / n);
                }
                slope = count as f64 * (x * now - before) / (x * x - 1.0);
                let step = now / slope;
                x -= step;
                if step.abs() < 1e-15 {
                    break;
                }
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}
