//! Colours: a diverging scale for stress and a handful of distinct ones for lines and areas.
//!
//! The diverging scale is made in a perceptual space, so that `+t` and `−t` are equally
//! far from white in lightness and a picture printed in grey still shows the magnitude.
//! Blue (compression) against rust (tension) stays apart for every common kind of
//! colour blindness, which red against green does not.

/// A colour of the screen, 8 bits a channel, sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rgb(pub [u8; 3]);

/// Paper.
pub(crate) const WHITE: Rgb = Rgb([255, 255, 255]);
/// Text, frames, outlines.
pub(crate) const INK: Rgb = Rgb([28, 30, 36]);
/// Grid lines behind a chart.
pub(crate) const GRID: Rgb = Rgb([222, 224, 228]);
/// Element edges.
pub(crate) const MESH: Rgb = Rgb([96, 104, 116]);
/// Metal that stayed elastic.
pub const ELASTIC: Rgb = Rgb([236, 238, 241]);
/// Metal that yielded.
pub(crate) const YIELDED: Rgb = Rgb([240, 186, 96]);
/// Metal in reverse yielding.
pub(crate) const REVERSE_YIELDED: Rgb = Rgb([122, 62, 138]);
/// Tint of ring quadrilaterals in a mesh picture.
pub(crate) const RING_TINT: Rgb = Rgb([226, 236, 250]);
/// Tint of fill triangles in a mesh picture.
pub(crate) const FILL_TINT: Rgb = Rgb([252, 244, 228]);

/// An area behind lines, e.g. between two bounds.
pub(crate) const BAND: Rgb = Rgb([214, 219, 228]);

/// Line colours in order of use. Each has a contrast of 3 or more against white, and any two stay
/// apart for readers who do not see red or green as others do; see `vision.rs`.
pub(crate) const SERIES: [Rgb; 6] = [
    Rgb([26, 76, 158]),
    Rgb([206, 92, 10]),
    Rgb([16, 148, 146]),
    Rgb([36, 32, 44]),
    Rgb([168, 86, 240]),
    Rgb([124, 55, 0]),
];

/// Line colour number `index`, starting over after the last.
#[must_use]
pub fn series(index: usize) -> Rgb {
    SERIES[index % SERIES.len()]
}

/// Colour of `t` in −1 to 1: blue below zero, white at zero, rust above. Clamped outside.
///
/// Lightness and chroma depend on `|t|` alone. Source of the space: B. Ottosson, A
/// perceptual color space for image processing (2020), constants from memory, held by a
/// test on white and grey.
#[must_use]
pub(crate) fn diverging(t: f64) -> Rgb {
    /// Lightness of zero and of the ends.
    const LIGHTNESS: [f64; 2] = [0.985, 0.40];
    /// Chroma at the ends, as much as both hues have inside sRGB.
    const CHROMA: f64 = 0.125;
    /// Hues of compression and tension, radians.
    const HUE: [f64; 2] = [4.45, 0.72];
    // Residual tension is a fraction of the compression it balances: small values get more
    // than their share of the colours, the same on both sides.
    let size = t.abs().min(1.0).powf(0.75);
    let lightness = LIGHTNESS[0] + (LIGHTNESS[1] - LIGHTNESS[0]) * size;
    // Chroma rises faster than darkness, so that the first bands beside zero have a hue.
    let chroma = CHROMA * size.powf(0.8);
    let hue = if t < 0.0 { HUE[0] } else { HUE[1] };
    from_lab(lightness, chroma * hue.cos(), chroma * hue.sin())
}

fn from_lab(lightness: f64, a: f64, b: f64) -> Rgb {
    let long = (lightness + 0.396_337_777_4 * a + 0.215_803_757_3 * b).powi(3);
    let middle = (lightness - 0.105_561_345_8 * a - 0.063_854_172_8 * b).powi(3);
    let short = (lightness - 0.089_484_177_5 * a - 1.291_485_548_0 * b).powi(3);
    Rgb([
        encode(4.076_741_662_1 * long - 3.307_711_591_3 * middle + 0.230_969_929_2 * short),
        encode(-1.268_438_004_6 * long + 2.609_757_401_1 * middle - 0.341_319_396_5 * short),
        encode(-0.004_196_086_3 * long - 0.703_418_614_7 * middle + 1.707_614_701_0 * short),
    ])
}

/// One linear channel to 8 bits (sRGB transfer function, IEC 61966-2-1).
pub(crate) fn encode(linear: f64) -> u8 {
    let linear = linear.clamp(0.0, 1.0);
    let value =
        if linear <= 0.003_130_8 { 12.92 * linear } else { 1.055 * linear.powf(1.0 / 2.4) - 0.055 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
    let byte = (value * 255.0).round() as u8;
    byte
}

/// Relative luminance, 0 for black to 1 for white.
///
/// Source: W3C, Web Content Accessibility Guidelines 2.1, definition of relative luminance.
#[must_use]
pub(crate) fn luminance(colour: Rgb) -> f64 {
    let linear = colour.0.map(|byte| {
        let value = f64::from(byte) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    });
    0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
}

/// Contrast of two colours, 1 (equal) to 21 (black on white).
///
/// Source: W3C, Web Content Accessibility Guidelines 2.1, definition of contrast ratio.
#[cfg(test)]
fn contrast(one: Rgb, other: Rgb) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_tension_and_compression_are_equally_dark() {
        for step in 1..=10 {
            let t = f64::from(step) / 10.0;
            let ratio = contrast(diverging(t), diverging(-t));
            // Lightness of the perceptual space and luminance are not the same measure: they
            // part by up to a fifth for saturated blue against red; a step of the scale is more.
            assert!(ratio < 1.25, "t = {t}: contrast of the two signs {ratio}");
        }
    }

    #[test]
    fn the_scale_darkens_steadily_away_from_zero() {
        for sign in [-1.0, 1.0] {
            let light: Vec<f64> =
                (0..=20).map(|k| luminance(diverging(sign * f64::from(k) / 20.0))).collect();
            assert!(light.windows(2).all(|pair| pair[1] < pair[0]), "{light:?}");
        }
    }

    #[test]
    fn zero_is_near_white_and_the_signs_have_different_hues() {
        assert!(contrast(diverging(0.0), WHITE) < 1.06);
        let (blue, rust) = (diverging(-0.8).0, diverging(0.8).0);
        assert!(blue[2] > blue[0] + 60 && rust[0] > rust[2] + 60, "{blue:?} {rust:?}");
    }

    #[test]
    fn the_perceptual_space_maps_its_grey_axis_to_greys() {
        assert_eq!(from_lab(1.0, 0.0, 0.0), WHITE);
        let Rgb([r, g, b]) = from_lab(0.6, 0.0, 0.0);
        assert!(r == g && g == b);
    }

    #[test]
    fn black_on_white_has_the_contrast_of_the_guideline() {
        assert!((contrast(Rgb([0, 0, 0]), WHITE) - 21.0).abs() < 1e-12);
    }

    #[test]
    fn lines_text_and_areas_stand_out() {
        for colour in SERIES {
            assert!(contrast(colour, WHITE) >= 3.0, "{colour:?}");
        }
        assert!(contrast(INK, WHITE) > 12.0);
        assert!(contrast(ELASTIC, YIELDED) > 1.4);
        assert!(contrast(YIELDED, REVERSE_YIELDED) > 3.0);
        // The zero line is ink on the palest bands; text never lies on the darkest.
        assert!(contrast(INK, diverging(0.1)) > 7.0);
    }
}
