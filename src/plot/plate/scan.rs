//! Triangles with linear fields painted into pixels, one colour per pixel.
//!
//! A pixel belongs to the triangle in which its middle lies, so neighbours meet without gap.

use crate::plot::level::count;
use crate::plot::paper::colour::Rgb;
use crate::plot::paper::pixels::Pixels;

/// A corner in pixels of the picture with its `D` values.
pub(crate) type Corner<const D: usize> = ([f64; 2], [f64; D]);

/// Paints a triangle, each pixel in the `colour` of the values at its middle.
pub(crate) fn paint<const D: usize>(
    pixels: &mut Pixels,
    corners: &[Corner<D>; 3],
    colour: impl Fn([f64; D]) -> Rgb,
) {
    let [width, height] = pixels.size();
    let ys = corners.map(|(at, _)| at[1]);
    let low = ys[0].min(ys[1]).min(ys[2]);
    let high = ys[0].max(ys[1]).max(ys[2]);
    for y in first(low, height)..first(high, height) {
        let middle = count(y) + 0.5;
        let mut ends: Vec<(f64, [f64; D])> = Vec::with_capacity(2);
        for k in 0..3 {
            let (one, other) = (corners[k], corners[(k + 1) % 3]);
            if (one.0[1] <= middle) == (other.0[1] <= middle) {
                continue;
            }
            // From the lower end, whichever triangle asks: neighbours find the same place.
            let (from, to) = if one.0[1] < other.0[1] { (one, other) } else { (other, one) };
            let share = (middle - from.0[1]) / (to.0[1] - from.0[1]);
            let between = |a: f64, b: f64| a + share * (b - a);
            ends.push((
                between(from.0[0], to.0[0]),
                std::array::from_fn(|d| between(from.1[d], to.1[d])),
            ));
        }
        let [one, other] = ends[..] else { continue };
        let (left, right) = if one.0 <= other.0 { (one, other) } else { (other, one) };
        let (from, to) = (first(left.0, width), first(right.0, width));
        let run = right.0 - left.0;
        for (k, pixel) in pixels.row_mut(y, from, to.max(from)).chunks_exact_mut(3).enumerate() {
            let share = (count(from + k) + 0.5 - left.0) / run;
            let values = std::array::from_fn(|d| left.1[d] + share * (right.1[d] - left.1[d]));
            pixel.copy_from_slice(&colour(values).0);
        }
    }
}

/// The first pixel of `size` whose middle does not lie before `at`.
fn first(at: f64, size: usize) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let first = (at - 0.5).ceil().clamp(0.0, count(size)) as usize;
    first
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_triangles_fill_their_square_once_and_carry_their_values() {
        let corners = [[1.3, 2.1], [17.7, 3.9], [15.2, 18.4], [2.6, 14.8]];
        let with = |k: usize| (corners[k], [2.0 * corners[k][0] + corners[k][1]]);
        let mut pixels = Pixels::new([20, 20], Rgb([255; 3]));
        for triangle in [[0, 1, 2], [0, 2, 3]] {
            paint(&mut pixels, &triangle.map(with), |[value]| {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "small"
                )]
                Rgb([value.round() as u8, 0, 0])
            });
        }
        let mut inside = 0;
        for (k, pixel) in pixels.bytes().chunks_exact(3).enumerate() {
            if pixel[1] == 255 {
                continue;
            }
            inside += 1;
            let (x, y) = (count(k % 20) + 0.5, count(k / 20) + 0.5);
            assert!((f64::from(pixel[0]) - (2.0 * x + y)).abs() <= 0.51, "at {x} {y}");
        }
        // Shoelace formula: 198.8 pixels; half of those on the border count.
        assert!(i32::abs(inside - 199) <= 6, "{inside}");
    }
}
