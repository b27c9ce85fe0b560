//! A pin pressed sideways against a hole that it touches all round.
//!
//! ```text
//!   p₁ = F/(π a t)      θ from the direction of the force on the sheet
//!   contact pressure    p = p₀ + p₁ cos θ        while it is nowhere negative
//!   hoop at the edge    σθ = p₀ + ½(1 − ν) p₁ cos θ
//! ```
//!
//! `p₀` is the even pressure of the interference. The pin is rigid and smooth. That part of the
//! field which turns once round the hole is `φ = A r θ sin θ + B r ln r cos θ + C cos θ/r`
//! (J. H. Michell, Proc. London Math. Soc. 31 (1899), from memory): force gives `A = −½ p₁ a`,
//! single-valued displacements `B = −½(1 − ν) A`, a smooth edge `C = ½ B a²`. It moves the edge
//! radially as `cos θ`, as a rigid pin does; no other part is called for. In plane strain ν is
//! replaced by ν/(1 − ν).
//!
//! Takes as given: elastic, infinite sheet that reacts the force far away, full contact.
//!
//! Trap: a neat pin (`p₀ = 0`) touches only half of the edge, and its hoop is several times as
//! large.
//!
//! Source: derived.

use std::f64::consts::PI;

use crate::theory::range::{OutOfRange, positive, within};

/// A pin with interference and a force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PinInSheet {
    even: f64,
    swing: f64,
    ratio: f64,
}

impl PinInSheet {
    /// A pin that presses evenly with `pressure` MPa on a hole of `radius` mm in a sheet of
    /// `thickness` mm and then puts `force` N on it. `ratio` is Poisson's, of plane stress.
    ///
    /// # Errors
    /// [`OutOfRange`] when a length or the pressure is not positive, or the force lifts the pin
    /// off part of the edge.
    pub fn new(
        pressure: f64,
        force: f64,
        [radius, thickness]: [f64; 2],
        ratio: f64,
    ) -> Result<Self, OutOfRange> {
        let even = positive("pressure", pressure)?;
        let area = PI * positive("radius", radius)? * positive("thickness", thickness)?;
        let swing = within("force over contact area", force / area, 0.0, even)?;
        Ok(Self { even, swing, ratio })
    }

    /// Contact pressure at an angle from the force, MPa.
    #[must_use]
    pub fn pressure(&self, angle: f64) -> f64 {
        self.even + self.swing * angle.cos()
    }

    /// Hoop stress at the edge at an angle from the force, MPa.
    #[must_use]
    pub fn edge_hoop(&self, angle: f64) -> f64 {
        self.even + 0.5 * (1.0 - self.ratio) * self.swing * angle.cos()
    }
}
