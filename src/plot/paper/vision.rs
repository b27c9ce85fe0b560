//! How colours look to readers without one kind of cone, and how far two of them are apart.
//!
//! Only tests ask.

use crate::plot::paper::colour::Rgb;

/// Cones that are missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Missing {
    None,
    /// Those for long waves: protanopia.
    Long,
    /// Those for middle waves: deuteranopia.
    Middle,
}

/// Linear red, green and blue as such a reader sees them.
///
/// Source: G. M. Machado, M. M. Oliveira and L. A. F. Fernandes, IEEE Trans. Visualization and
/// Computer Graphics 15 (2009) 1291–1298, severity 1 (from memory).
fn seen(linear: [f64; 3], missing: Missing) -> [f64; 3] {
    let matrix = match missing {
        Missing::None => return linear,
        Missing::Long => [
            [0.152_286, 1.052_583, -0.204_868],
            [0.114_503, 0.786_281, 0.099_216],
            [-0.003_882, -0.048_116, 1.051_998],
        ],
        Missing::Middle => [
            [0.367_322, 0.860_646, -0.227_968],
            [0.280_085, 0.672_501, 0.047_413],
            [-0.011_820, 0.042_940, 0.968_881],
        ],
    };
    matrix.map(|row: [f64; 3]| {
        row.iter().zip(linear).map(|(m, c)| m * c).sum::<f64>().clamp(0.0, 1.0)
    })
}

fn linear(Rgb(bytes): Rgb) -> [f64; 3] {
    bytes.map(|byte| {
        let value = f64::from(byte) / 255.0;
        if value <= 0.040_45 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
    })
}

/// Lightness and the two opponent axes. Source: B. Ottosson, A perceptual color space for image
/// processing (2020), constants from memory.
fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    let long = (0.412_221_470_8 * r + 0.536_332_536_3 * g + 0.051_445_992_9 * b).cbrt();
    let middle = (0.211_903_498_2 * r + 0.680_699_545_1 * g + 0.107_396_956_6 * b).cbrt();
    let short = (0.088_302_461_9 * r + 0.281_718_837_6 * g + 0.629_978_700_5 * b).cbrt();
    [
        0.210_454_255_3 * long + 0.793_617_785_0 * middle - 0.004_072_046_8 * short,
        1.977_998_495_1 * long - 2.428_592_205_0 * middle + 0.450_593_709_9 * short,
        0.025_904_037_1 * long + 0.782_771_766_2 * middle - 0.808_675_766_0 * short,
    ]
}

/// Distance of two colours in the perceptual space, 0 to about 1: the least of what readers with
/// all cones, without long and without middle ones see.
fn apart(one: Rgb, other: Rgb) -> f64 {
    let distance = |missing| {
        let [p, q] = [one, other].map(|colour| lab(seen(linear(colour), missing)));
        p.iter().zip(q).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
    };
    [Missing::None, Missing::Long, Missing::Middle].map(distance).into_iter().fold(1.0, f64::min)
}

mod tests {
    use super::*;
    use crate::plot::paper::colour::{
        BAND, ELASTIC, FILL_TINT, MESH, REVERSE_YIELDED, RING_TINT, SERIES, WHITE, YIELDED,
        diverging,
    };

    #[test]
    fn red_and_green_meet_where_they_are_known_to_and_blue_and_yellow_do_not() {
        // A red and a green of one lightness: the pair that these readers cannot tell apart.
        let pair = [Rgb([178, 102, 60]), Rgb([128, 118, 40])];
        assert!(apart(pair[0], pair[1]) < 0.06, "{}", apart(pair[0], pair[1]));
        assert!(apart(Rgb([40, 80, 200]), Rgb([220, 200, 40])) > 0.3);
        assert!(apart(WHITE, Rgb([0, 0, 0])) > 0.95);
    }

    #[test]
    fn no_two_lines_meet_for_any_reader() {
        for (k, one) in SERIES.iter().enumerate() {
            for other in &SERIES[..k] {
                // Six times what is just seen side by side, about 0.02.
                assert!(apart(*one, *other) > 0.14, "{one:?} {other:?}: {}", apart(*one, *other));
            }
            assert!(apart(*one, MESH) > 0.05 && apart(*one, BAND) > 0.2, "{one:?}");
        }
    }

    #[test]
    fn no_two_areas_meet_for_any_reader() {
        for pair in [[ELASTIC, YIELDED], [YIELDED, REVERSE_YIELDED], [ELASTIC, REVERSE_YIELDED]] {
            assert!(apart(pair[0], pair[1]) > 0.14, "{pair:?}: {}", apart(pair[0], pair[1]));
        }
        assert!(apart(RING_TINT, FILL_TINT) > 0.03);
    }

    #[test]
    fn compression_and_tension_stay_apart_for_every_reader() {
        for step in 2..=10 {
            let t = f64::from(step) / 10.0;
            assert!(apart(diverging(t), diverging(-t)) > 0.06, "{t}");
        }
        let bands: Vec<Rgb> = (-9..=8).map(|k| diverging((f64::from(k) + 0.5) / 9.0)).collect();
        for pair in bands.windows(2) {
            assert!(apart(pair[0], pair[1]) > 0.02, "{pair:?}: {}", apart(pair[0], pair[1]));
        }
    }
}
