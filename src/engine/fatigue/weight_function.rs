//! Stress intensity of a crack from the stress on its line in the uncracked part.
//!
//! ```text
//!   K = ∫₀ᵃ σ(y) m(y) dy,   m = 2/√(2πd) · [1 + M₁ q + M₂ q² + … + M₆ q⁶]
//!   d = a − y,  q = d/a,  y from the hole edge
//! ```
//!
//! Whole powers, because that is how a weight function goes near a straight tip (H. F. Bueckner, Z.
//! Angew. Math. Mech. 50 (1970) 529, from memory). Three terms in half powers, as are often used (G. Shen,
//! G. Glinka, Theor. Appl. Fract. Mech. 15 (1991) 247, from memory), serve loads as well, but a residual
//! field that is short beside a long crack nearly cancels, and then they miss K by several percent.
//! The coefficients stand in [`crate::fatigue::weight_table`]. A profile is
//! straight between its points, so every stretch is a sum of powers of `d`, integrated
//! exactly, the singular one at the tip included.
//!
//! The plate is infinite here; [`crate::fatigue::width`] adds the edges.

use std::f64::consts::PI;
use std::fmt;

use crate::fatigue::crack::{CrackError, CrackGeometry};
use crate::fatigue::weight_table::{TERMS, coefficients};
use crate::numeric::profile::Profile;

/// Stress on a crack beyond the last point of a profile.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beyond {
    /// None: a residual field that has died out.
    Zero,
    /// That of the last point: a load on a large plate.
    Hold,
    /// Unknown: the crack is refused.
    Refuse,
}

/// Largest gap between the hole edge and the first point of a profile, over the radius.
const LARGEST_GAP: f64 = 0.01;

/// A profile that does not cover the crack, or a crack outside the limits.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum WeightError {
    /// The crack itself.
    Crack(CrackError),
    /// The profile has no points.
    EmptyProfile,
    /// The profile begins inside the metal, lengths in mm.
    StartsLate {
        /// Distance of the first point from the hole edge.
        first: f64,
    },
    /// The profile ends before the crack tip, lengths in mm.
    EndsEarly {
        /// Distance of the last point.
        last: f64,
        /// Crack length.
        length: f64,
    },
    /// A stress or a distance is not a finite number.
    NotFinite,
}

impl fmt::Display for WeightError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Crack(error) => error.fmt(f),
            Self::EmptyProfile => f.write_str("the stress profile has no points"),
            Self::StartsLate { first } => {
                write!(f, "the stress profile starts {first} mm from the hole edge")
            }
            Self::EndsEarly { last, length } => write!(
                f,
                "the stress profile ends at {last} mm, before the tip of a crack of {length} mm"
            ),
            Self::NotFinite => f.write_str("the stress profile has a value that is not finite"),
        }
    }
}

impl std::error::Error for WeightError {}

impl From<CrackError> for WeightError {
    fn from(error: CrackError) -> Self {
        Self::Crack(error)
    }
}

/// Stress intensity in MPa√mm of a crack of `length` mm under `stress` (MPa against mm from
/// the hole edge) on its line, in an infinite plate; negative when the stress closes the crack.
///
/// Between the hole edge and a first point at most 1 % of the radius away the first value
/// is held. With two cracks the stress is the same on both.
///
/// # Errors
/// [`WeightError`]: a crack beyond its limits, a profile that does not cover it.
pub fn infinite_plate(
    geometry: &CrackGeometry,
    stress: &Profile,
    length: f64,
    beyond: Beyond,
) -> Result<f64, WeightError> {
    let a = geometry.valid_length(length)?;
    let (x, s) = (stress.distances(), stress.values());
    let (&first, &last) = x.first().zip(x.last()).ok_or(WeightError::EmptyProfile)?;
    if x.iter().chain(s).any(|value| !value.is_finite()) {
        return Err(WeightError::NotFinite);
    }
    if first > LARGEST_GAP * geometry.radius() {
        return Err(WeightError::StartsLate { first });
    }
    // 1e-9: a path that ends at an edge reaches it but for rounding.
    let short = last < a * (1.0 - 1e-9);
    if short && beyond == Beyond::Refuse {
        return Err(WeightError::EndsEarly { last, length: a });
    }

    let m = coefficients(geometry.sides(), a / geometry.radius());
    let stretch = |from: [f64; 2], to: [f64; 2]| stretch(a, m, from, to);
    let mut sum = stretch([0.0, s[0]], [first.clamp(0.0, a), s[0]]);
    for k in 1..x.len() {
        if x[k] <= 0.0 || x[k] <= x[k - 1] {
            continue;
        }
        if x[k - 1] >= a {
            break;
        }
        let at = |y: f64| s[k - 1] + (s[k] - s[k - 1]) * (y - x[k - 1]) / (x[k] - x[k - 1]);
        let (from, to) = (x[k - 1].max(0.0), x[k].min(a));
        sum += stretch([from, at(from)], [to, at(to)]);
    }
    if short && beyond == Beyond::Hold {
        let end = s[s.len() - 1];
        sum += stretch([last, end], [a, end]);
    }
    Ok(sum)
}

/// `∫ σ m dy` over one straight stretch of stress from `(y, σ)` to `(y, σ)`.
fn stretch(a: f64, m: [f64; TERMS], [y0, s0]: [f64; 2], [y1, s1]: [f64; 2]) -> f64 {
    if y1 <= y0 {
        return 0.0;
    }
    // In d/a, near and far end of the stretch seen from the tip; σ = base + slope · q.
    let (near, far) = ((a - y1) / a, (a - y0) / a);
    let slope = (s0 - s1) / (far - near);
    let base = s1 - slope * near;
    let (near_root, far_root) = (near.max(0.0).sqrt(), far.sqrt());
    // Integral of q^(k/2) from near to far, for k ≥ −1.
    let power = |k: i32| {
        let k = k + 2;
        (far_root.powi(k) - near_root.powi(k)) * 2.0 / f64::from(k)
    };
    let mut sum = base * power(-1) + slope * power(1);
    for (k, coefficient) in (1..).step_by(2).zip(m) {
        sum += coefficient * (base * power(k) + slope * power(k + 2));
    }
    2.0 * (a / (2.0 * PI)).sqrt() * sum
}
