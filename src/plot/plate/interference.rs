//! The colours of photoelastic fringes, from the optics.
//!
//! In a dark-field circular polariscope a retardation `δ` lets through the share
//! `I(λ) = sin²(π δ/λ)` of each wavelength; quarter-wave plates are taken as perfect at all of
//! them, and the coating as delaying all alike. An order `N` counted at `λ₀` is `δ = N λ₀`. The
//! light that is left over the visible wavelengths, weighed by the colour matching functions
//! of the standard observer, is the colour.
//!
//! Sources: dark-field intensity, any text on photoelasticity (from memory); colour matching
//! functions as sums of Gaussians, C. Wyman, P.-P. Sloan and P. Shirley, J. Computer Graphics
//! Techniques 2 (2013) (from memory); XYZ to linear sRGB, IEC 61966-2-1 (from memory). The
//! lamp is one of equal energy, and all of its light is shown as the white of the screen.

use std::f64::consts::PI;

use crate::plot::level::count;
use crate::plot::paper::colour::{Rgb, encode};

/// Visible wavelengths and the step between them, nm; fine enough for orders up to 200, where
/// the retardation of neighbouring wavelengths differs by an eighth of a wave.
const VISIBLE: [f64; 2] = [380.0, 780.0];
const STEPS: usize = 4000;
/// Nanometres in a millimetre.
const NANOMETRES: f64 = 1e6;

/// White light through a coating, ready to be asked for many orders.
pub struct WhiteLight {
    /// Wavelength that orders are counted by, nm.
    wavelength: f64,
    /// `[λ, r, g, b]`: linear response of the screen's channels to each wavelength.
    spectrum: Vec<[f64; 4]>,
}

impl WhiteLight {
    /// Orders counted at `wavelength`, mm.
    #[must_use]
    pub fn new(wavelength: f64) -> Self {
        let mut spectrum: Vec<[f64; 4]> = (0..=STEPS)
            .map(|k| {
                let share = count(k) / count(STEPS);
                let at = VISIBLE[0] + share * (VISIBLE[1] - VISIBLE[0]);
                let [r, g, b] = linear(matching(at));
                [at, r, g, b]
            })
            .collect();
        // All light together is white.
        for channel in 1..4 {
            let sum: f64 = spectrum.iter().map(|line| line[channel]).sum();
            for line in &mut spectrum {
                line[channel] /= sum;
            }
        }
        Self { wavelength: NANOMETRES * wavelength, spectrum }
    }

    /// Colour of fringe order `order`, 0 or more. What the screen cannot show is clipped.
    #[must_use]
    pub fn colour(&self, order: f64) -> Rgb {
        let retardation = order.abs() * self.wavelength;
        let mut light = [0.0; 3];
        for [at, r, g, b] in &self.spectrum {
            let passed = (PI * retardation / at).sin().powi(2);
            light[0] += passed * r;
            light[1] += passed * g;
            light[2] += passed * b;
        }
        Rgb(light.map(encode))
    }
}

/// Grey of fringe order `order` in light of one wavelength: black at whole orders.
#[must_use]
pub fn monochrome(order: f64) -> Rgb {
    Rgb([encode((PI * order).sin().powi(2)); 3])
}

/// Colour matching functions x, y, z at a wavelength in nm.
fn matching(at: f64) -> [f64; 3] {
    let lobe = |centre: f64, below: f64, above: f64| {
        let t = (at - centre) / if at < centre { below } else { above };
        (-0.5 * t * t).exp()
    };
    [
        1.056 * lobe(599.8, 37.9, 31.0) + 0.362 * lobe(442.0, 16.0, 26.7)
            - 0.065 * lobe(501.1, 20.4, 26.2),
        0.821 * lobe(568.8, 46.9, 40.5) + 0.286 * lobe(530.9, 16.3, 31.1),
        1.217 * lobe(437.0, 11.8, 36.0) + 0.681 * lobe(459.0, 26.0, 13.8),
    ]
}

/// XYZ to linear sRGB.
fn linear([x, y, z]: [f64; 3]) -> [f64; 3] {
    [
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The wavelength of the tint of passage, mm.
    const TINT: f64 = 575e-6;

    fn at(order: f64) -> [i32; 3] {
        WhiteLight::new(TINT).colour(order).0.map(i32::from)
    }

    #[test]
    fn no_fringe_is_black_and_the_tint_of_passage_is_purple() {
        assert_eq!(at(0.0), [0; 3]);
        // Where yellow–green, brightest to the eye, is put out, red and blue are left; a little
        // more turns it blue, which is why the eye finds the place so well. Source: any text on
        // photoelasticity (from memory). A lamp of equal energy puts the middle of it at 0.95.
        let [red, green, blue] = at(0.95);
        assert!(red > green + 100 && blue > green + 100, "{red} {green} {blue}");
        let [red, green, blue] = at(1.0);
        assert!(red > green && blue > green + 100, "{red} {green} {blue}");
    }

    #[test]
    fn colours_follow_each_other_as_in_the_books() {
        // Order of the first cycle by retardation: grey, white, yellow, orange to red, purple,
        // blue, blue–green, green–yellow. Source: chart of interference colours (from memory).
        let [red, green, blue] = at(0.15);
        assert!((red - green).abs() < 40 && (green - blue).abs() < 40, "grey {:?}", at(0.15));
        let [red, green, blue] = at(0.65);
        assert!(red > 200 && green > 190 && blue < red - 60, "yellow {:?}", at(0.65));
        let [red, green, blue] = at(0.85);
        assert!(red > green + 60 && red > blue + 60, "orange to red {:?}", at(0.85));
        let [red, green, blue] = at(1.1);
        assert!(blue > red + 60 && blue > green, "blue {:?}", at(1.1));
        let [red, green, blue] = at(1.35);
        assert!(green > blue && green > red, "green {:?}", at(1.35));
    }

    #[test]
    fn colours_fade_at_high_orders() {
        let spread = |order: f64| {
            let rgb = at(order);
            rgb.iter().max().copied().unwrap_or(0) - rgb.iter().min().copied().unwrap_or(0)
        };
        assert!(spread(12.3) < 25 && spread(1.0) > 100, "{} {}", spread(12.3), spread(1.0));
    }

    #[test]
    fn one_wavelength_is_dark_at_whole_orders_and_bright_between() {
        assert_eq!(monochrome(3.0), Rgb([0; 3]));
        assert_eq!(monochrome(2.5), Rgb([255; 3]));
    }

    #[test]
    fn the_observer_sees_most_at_555_nanometres() {
        // Source: CIE 1931 standard observer, peak of y at 555 nm with the value 1 (from memory).
        let peak = (400..700)
            .max_by(|&a, &b| matching(f64::from(a))[1].total_cmp(&matching(f64::from(b))[1]));
        assert!(peak.is_some_and(|at| (552..=559).contains(&at)), "{peak:?}");
        assert!((matching(555.0)[1] - 1.0).abs() < 0.01);
    }
}
