//! Local stress and strain at a notch from elastic ones: Neuber's rule on a cyclic curve.
//!
//! ```text
//!   σ ε = σ_e²/E,   ε = σ/E + (σ/K′)^(1/n′)      first loading
//!   Δσ Δε = Δσ_e²/E, with the curve doubled      every later branch
//! ```
//!
//! `σ_e` is the elastic stress at the notch, the stress concentration times the remote one.
//! A residual stress is added to it once, at both ends, so it moves the mean and not the range.
//!
//! Source: H. Neuber, J. Appl. Mech. 28 (1961) 544; doubling as in G. Masing (1926), and the
//! use of both on cyclic curves as texts on strain-life give it (from memory).

use serde::Serialize;

use crate::fatigue::cycle::StressCycle;
use crate::numeric::root::bracketed_newton;

/// A stabilised cyclic stress–strain curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CyclicCurve {
    /// `E`, MPa.
    pub youngs_modulus: f64,
    /// `K′`, MPa.
    pub strength: f64,
    /// `n′`.
    pub exponent: f64,
}

/// A closed loop at a point: what strain-life needs of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LocalLoop {
    /// Half the strain range.
    pub strain_amplitude: f64,
    /// Highest stress, MPa.
    pub maximum: f64,
    /// Lowest stress, MPa.
    pub minimum: f64,
}

impl LocalLoop {
    /// Mean stress, MPa.
    #[must_use]
    pub fn mean(&self) -> f64 {
        0.5 * (self.maximum + self.minimum)
    }
}

impl CyclicCurve {
    /// Strain amplitude at stress amplitude `stress` MPa, not negative.
    #[must_use]
    pub fn strain(&self, stress: f64) -> f64 {
        stress / self.youngs_modulus + (stress / self.strength).powf(self.exponent.recip())
    }

    /// Local stress for the elastic stress `elastic`, both MPa; odd in its argument.
    ///
    /// `None` for an argument or constants that are not finite.
    #[must_use]
    pub fn neuber_stress(&self, elastic: f64) -> Option<f64> {
        let size = elastic.abs();
        if size == 0.0 {
            return Some(0.0);
        }
        let energy = size * size / self.youngs_modulus;
        let root = self.exponent.recip();
        // The elastic stress is an upper bound, 1e-12 of the energy is rounding.
        let stress = bracketed_newton(0.0, size, 1e-12 * energy, |s| {
            let plastic = (s / self.strength).powf(root);
            let value = s * s / self.youngs_modulus + s * plastic - energy;
            (value, 2.0 * s / self.youngs_modulus + (1.0 + root) * plastic)
        })?;
        Some(stress.copysign(elastic))
    }

    /// The loop at a notch under a cycle of elastic notch stress, residual stress `residual`
    /// added once to both ends; all MPa.
    ///
    /// The first loading runs to the end that is farther from zero.
    #[must_use]
    pub fn notch_loop(&self, elastic: &StressCycle, residual: f64) -> Option<LocalLoop> {
        let (upper, lower) = (elastic.maximum() + residual, elastic.minimum() + residual);
        let amplitude = self.neuber_stress(0.5 * (upper - lower))?;
        let (maximum, minimum) = if upper.abs() >= lower.abs() {
            let maximum = self.neuber_stress(upper)?;
            (maximum, maximum - 2.0 * amplitude)
        } else {
            let minimum = self.neuber_stress(lower)?;
            (minimum + 2.0 * amplitude, minimum)
        };
        Some(LocalLoop { strain_amplitude: self.strain(amplitude), maximum, minimum })
    }
}
