//! Kinematic hardening: how the centre of the yield surface follows the plastic strain.
//!
//! Each term obeys `dα = (2/3) C dεᵖ − γ α dp`; their sum is the backstress.
//! Source: P. J. Armstrong and C. O. Frederick, CEGB report RD/B/N 731 (1966);
//! sums of terms: J. L. Chaboche, Int. J. Plasticity 2 (1986) 149–188 (both from memory).

use nalgebra::Vector4;
use serde::{Deserialize, Serialize};

/// Terms a point carries at most. A case file may give three; the bounding laws
/// made from a combined curve (see [`crate::material::hardening`]) may need more.
pub const MOST_TERMS: usize = 6;

/// One Armstrong–Frederick term.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Backstress {
    /// Initial modulus `C`, MPa.
    pub modulus: f64,
    /// Rate of fading memory `γ`, dimensionless; 0 gives a linear term (Prager).
    pub recall: f64,
}

impl Backstress {
    /// Share of the term in the stress of a first, uniaxial pull at plastic strain `p`, MPa:
    /// `C/γ · (1 − e^(−γ p))`, or `C p` without recall.
    #[must_use]
    pub fn monotonic_rise(&self, p: f64) -> f64 {
        if self.recall == 0.0 {
            self.modulus * p
        } else {
            -self.modulus / self.recall * (-self.recall * p).exp_m1()
        }
    }

    /// Share of a backstress deviator `(xx, yy, zz, xy)`, MPa, that the term can have: `|α| ≤ √(2/3) C/γ`; 1 where
    /// it can have all of it.
    #[must_use]
    pub fn share_within_saturation(&self, back: &Vector4<f64>) -> f64 {
        let size = (back.dot(back) + back[3] * back[3]).sqrt();
        let most = (2.0_f64 / 3.0).sqrt() * self.modulus / self.recall;
        if size > most { most / size } else { 1.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_fading_term_saturates_and_starts_with_its_modulus() {
        let term = Backstress { modulus: 20_000.0, recall: 150.0 };
        assert_relative_eq!(term.monotonic_rise(1.0), 20_000.0 / 150.0, max_relative = 1e-12);
        assert_relative_eq!(term.monotonic_rise(1e-9) / 1e-9, 20_000.0, max_relative = 1e-6);
    }

    #[test]
    fn a_backstress_keeps_what_its_term_can_have_and_no_more() {
        let term = Backstress { modulus: 20_000.0, recall: 200.0 };
        // Uniaxial saturation, C/γ = 100 MPa, is (2/3, −1/3, −1/3) of it.
        let full = Vector4::new(200.0 / 3.0, -100.0 / 3.0, -100.0 / 3.0, 0.0);
        assert_relative_eq!(term.share_within_saturation(&(0.9 * full)), 1.0);
        assert_relative_eq!(
            term.share_within_saturation(&(1.25 * full)),
            0.8,
            max_relative = 1e-12
        );
        let linear = Backstress { modulus: 1000.0, recall: 0.0 };
        assert_relative_eq!(linear.share_within_saturation(&(9.0 * full)), 1.0);
    }
}
