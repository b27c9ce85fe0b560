//! A hole that is not round: oval, or with several lobes, as a drill leaves it.

use serde::{Deserialize, Serialize};

/// The edge `r(θ) = a + ½ δ cos n(θ − θ₀)` about the drilled centre.
///
/// δ is the deviation from roundness of ISO 1101: the distance between the two concentric circles that
/// hold the edge. With two lobes the hole is oval, and its diameters differ by 2 δ; with an odd number every
/// diameter is the same, and callipers find nothing.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct OutOfRound {
    /// δ, mm.
    pub deviation: f64,
    /// n, at least 2.
    pub lobes: u8,
    /// θ₀, direction of a lobe, radians counter-clockwise from +x.
    pub toward: f64,
}

impl OutOfRound {
    /// How far the edge lies outside the mean circle in a direction (radians), mm.
    #[must_use]
    pub fn beyond_mean(&self, angle: f64) -> f64 {
        0.5 * self.deviation * (f64::from(self.lobes) * (angle - self.toward)).cos()
    }

    /// Whether it is its own mirror image about a line through the centre along `x` (axis 1) or `y` (axis 0):
    /// the axis that the mirror turns round.
    #[must_use]
    pub fn mirrors(&self, axis: usize) -> bool {
        // θ → −θ leaves cos n(θ − θ₀) as it is when sin nθ₀ vanishes; θ → π − θ when sin n(θ₀ − π/2) does.
        let line = if axis == 0 { std::f64::consts::FRAC_PI_2 } else { 0.0 };
        let off = (f64::from(self.lobes) * (self.toward - line)).sin();
        self.deviation == 0.0 || off.abs() <= ALONG_LINE
    }
}

/// A direction this close to a mirror line, radians times lobes, is along it.
const ALONG_LINE: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_oval_is_longest_along_its_lobe_and_three_lobes_have_one_diameter() {
        let oval = OutOfRound { deviation: 0.04, lobes: 2, toward: 0.3 };
        let across = |shape: &OutOfRound, angle: f64| {
            shape.beyond_mean(angle) + shape.beyond_mean(angle + std::f64::consts::PI)
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        assert!((across(&oval, 0.3) - across(&oval, 0.3 + quarter) - 0.08).abs() < 1e-15);
        let three = OutOfRound { deviation: 0.04, lobes: 3, toward: 0.3 };
        assert!((0..12).all(|k| across(&three, 0.5 * f64::from(k)).abs() < 1e-15));
    }

    #[test]
    fn a_shape_mirrors_about_a_line_through_a_lobe_or_between_two() {
        let shape = |lobes, degrees: f64| OutOfRound {
            deviation: 0.01,
            lobes,
            toward: degrees.to_radians(),
        };
        let mirrors = |shape: OutOfRound| [shape.mirrors(0), shape.mirrors(1)];
        assert_eq!(mirrors(shape(2, 0.0)), [true, true]);
        assert_eq!(mirrors(shape(2, 45.0)), [false, false]);
        assert_eq!(mirrors(shape(3, 0.0)), [false, true]);
        assert_eq!(mirrors(shape(3, 90.0)), [true, false]);
        assert_eq!(mirrors(shape(3, 30.0)), [true, false]);
    }
}
