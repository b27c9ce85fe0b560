//! Cutting a line into pieces that follow a wanted size.
//!
//! The number of pieces is the integral `T = ∫ ds / size(s)`, rounded up, and the cuts lie
//! where the integral reaches equal shares of `T`. With `size = s₀ + c·s` the pieces grow
//! by the constant ratio `exp(c·T/n)`; with a constant size they are equal.

/// Samples of the size along a line: enough for the steepest grading used here, which
/// changes the size tenfold over a tenth of the line, to be cut to a percent.
const SAMPLES: u32 = 2000;

/// An integral this little above a whole number is rounding, not another piece.
const SLACK: f64 = 0.01;

/// Positions that cut `[0, length]` into at least `least` pieces, ends included.
///
/// `size(s)` is the wanted length of a piece at `s`, positive, in the unit of `length`.
pub(crate) fn subdivide(length: f64, least: u32, size: impl Fn(f64) -> f64) -> Vec<f64> {
    let step = length / f64::from(SAMPLES);
    let mut running = Vec::with_capacity(SAMPLES as usize + 1);
    let mut total = 0.0;
    running.push(total);
    for sample in 0..SAMPLES {
        total += step / size(step * (f64::from(sample) + 0.5));
        running.push(total);
    }
    let pieces = whole(total - SLACK).max(least).max(1);
    let mut cuts = Vec::with_capacity(pieces as usize + 1);
    cuts.push(0.0);
    let (mut right, mut position) = (1, 0.0);
    for cut in 1..pieces {
        let share = total * f64::from(cut) / f64::from(pieces);
        while running[right] < share {
            right += 1;
            position += step;
        }
        let inside = (share - running[right - 1]) / (running[right] - running[right - 1]);
        cuts.push(position + inside * step);
    }
    cuts.push(length);
    cuts
}

/// The next whole number above `value`, within what a mesh can hold.
fn whole(value: f64) -> u32 {
    // Clamped first, so the conversion cannot leave the range of the integer.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let pieces = value.ceil().clamp(1.0, 1e6) as u32;
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_constant_size_gives_equal_pieces() {
        let cuts = subdivide(3.0, 1, |_| 0.8);
        assert_eq!(cuts.len(), 5);
        for (k, cut) in (0_u32..).zip(&cuts) {
            assert_relative_eq!(*cut, 0.75 * f64::from(k), max_relative = 1e-12);
        }
        assert_eq!(subdivide(3.0, 1, |_| 1.0).len(), 4, "three whole pieces stay three");
        assert_eq!(subdivide(3.0, 5, |_| 1.0).len(), 6, "the least number is kept");
    }

    #[test]
    fn a_size_that_grows_gives_a_constant_ratio() {
        let cuts = subdivide(10.0, 1, |s| 0.1 + 0.2 * s);
        let ratios: Vec<f64> = cuts.windows(3).map(|c| (c[2] - c[1]) / (c[1] - c[0])).collect();
        for ratio in &ratios {
            assert_relative_eq!(*ratio, ratios[0], max_relative = 2e-2);
        }
        assert!(ratios[0] > 1.15 && ratios[0] < 0.2_f64.exp());
    }
}
