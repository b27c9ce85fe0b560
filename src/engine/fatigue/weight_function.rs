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
    // Counted, not looked for: that takes all at once.
    let finite = |all: &[f64]| all.iter().filter(|value| !value.is_finite()).count() == 0;
    if !(finite(x) && finite(s)) {
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

    let weight = Weight { length: a, terms: coefficients(geometry.sides(), a / geometry.radius()) };
    let mut sum =
        Sum { weight: &weight, last: [0.0, s[0]], integrals: weight.up_to(0.0), total: 0.0 };
    sum.on_to([first.clamp(0.0, a), s[0]]);
    for k in 1..x.len() {
        if x[k] <= 0.0 || x[k] <= x[k - 1] {
            continue;
        }
        if x[k - 1] >= a {
            break;
        }
        let at = |y: f64| s[k - 1] + (s[k] - s[k - 1]) * (y - x[k - 1]) / (x[k] - x[k - 1]);
        let (from, to) = (x[k - 1].max(0.0), x[k].min(a));
        // Steps of the stress have no width.
        sum.last = [from, at(from)];
        sum.on_to([to, at(to)]);
    }
    if short && beyond == Beyond::Hold {
        let end = s[s.len() - 1];
        sum.last = [last, end];
        sum.on_to([a, end]);
    }
    Ok(2.0 * (a / (2.0 * PI)).sqrt() * sum.total)
}

/// The weight function of one crack.
struct Weight {
    /// mm.
    length: f64,
    terms: [f64; TERMS],
}

impl Weight {
    /// Distance of `y` mm from the tip over the length.
    fn place(&self, y: f64) -> f64 {
        (self.length - y) / self.length
    }

    /// Integrals over `q` from the tip to `y` mm of `q^(−1/2) (1 + M₁ q + …)` and of `q` times that.
    fn up_to(&self, y: f64) -> [f64; 2] {
        let q = self.place(y).max(0.0);
        // `M_k q^(k + 1/2)/(k + 1/2)`, and with one more.
        let (mut even, mut odd) = (0.0, 0.0);
        for (k, term) in self.terms.iter().enumerate().rev() {
            let power = (k + 1) as f64;
            even = q * even + term / (power + 0.5);
            odd = q * odd + term / (power + 1.5);
        }
        let root = q.sqrt();
        [root * (2.0 + q * even), root * q * (2.0 / 3.0 + q * odd)]
    }
}

/// `∫ σ m dy` over stretches of straight stress, one after the other.
struct Sum<'a> {
    weight: &'a Weight,
    /// Where the last stretch ended, mm, and the stress there.
    last: [f64; 2],
    integrals: [f64; 2],
    total: f64,
}

impl Sum<'_> {
    /// Adds the stretch from the last place to `(y, σ)`.
    fn on_to(&mut self, [y1, s1]: [f64; 2]) {
        let [y0, s0] = self.last;
        if y1 > y0 {
            // Near and far end seen from the tip; σ = base + slope · q.
            let [near, far] = [y1, y0].map(|y| self.weight.place(y));
            let slope = (s0 - s1) / (far - near);
            let base = s1 - slope * near;
            let here = self.weight.up_to(y1);
            let [even, odd] = [0, 1].map(|k| self.integrals[k] - here[k]);
            self.total += base * even + slope * odd;
            self.integrals = here;
        }
        self.last = [y1, s1];
    }
}
