//! A smooth curve through points, with no hill or hollow between them: for drawing.
//!
//! Every piece is a cubic. Slopes at the points are the three-point ones, cut down to where the cubic stays
//! monotone; they are zero at the peaks of the points.
//!
//! Source: F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238–246 (from memory); the
//! slopes as F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304 (from memory).

/// Pieces that a curve is drawn in between two points.
const PIECES: u32 = 8;

/// The points, and more of them on the curve between. Points that rise or fall along neither axis, such as
/// those of a loop, are left as they are.
#[must_use]
pub fn through(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let swapped =
        |points: &[[f64; 2]]| -> Vec<[f64; 2]> { points.iter().map(|&[x, y]| [y, x]).collect() };
    if points.len() < 3 {
        points.to_vec()
    } else if is_monotone(points) {
        along_x(points)
    } else {
        let across = swapped(points);
        if is_monotone(&across) { swapped(&along_x(&across)) } else { points.to_vec() }
    }
}

/// Whether the first coordinate rises, or falls, from each point to the next.
fn is_monotone(points: &[[f64; 2]]) -> bool {
    let steps = || points.windows(2).map(|w| w[1][0] - w[0][0]);
    steps().all(|step| step > 0.0) || steps().all(|step| step < 0.0)
}

fn along_x(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let slopes = slopes(points);
    let mut curve = vec![points[0]];
    for (k, pair) in points.windows(2).enumerate() {
        let ([[x0, y0], [x1, y1]], h) = ([pair[0], pair[1]], pair[1][0] - pair[0][0]);
        for piece in 1..PIECES {
            let t = f64::from(piece) / f64::from(PIECES);
            let (u, v) = (1.0 - t, t * t * (3.0 - 2.0 * t));
            let bend = h * t * u * (u * slopes[k] - t * slopes[k + 1]);
            curve.push([x0 + t * (x1 - x0), y0 + v * (y1 - y0) + bend]);
        }
        curve.push(pair[1]);
    }
    curve
}

/// Slope of the curve at every point.
fn slopes(points: &[[f64; 2]]) -> Vec<f64> {
    let steps: Vec<f64> = points.windows(2).map(|w| w[1][0] - w[0][0]).collect();
    let secants: Vec<f64> =
        points.windows(2).zip(&steps).map(|(w, h)| (w[1][1] - w[0][1]) / h).collect();
    let last = secants.len() - 1;
    let mut slopes = vec![end([steps[0], steps[1]], [secants[0], secants[1]])];
    for k in 1..=last {
        let (a, b) = (secants[k - 1], secants[k]);
        slopes.push(if a * b > 0.0 {
            let (before, after) = (2.0 * steps[k] + steps[k - 1], steps[k] + 2.0 * steps[k - 1]);
            (before + after) / (before / a + after / b)
        } else {
            0.0
        });
    }
    slopes.push(end([steps[last], steps[last - 1]], [secants[last], secants[last - 1]]));
    slopes
}

/// Slope at an end, from the steps and secants next to it.
fn end([h, next]: [f64; 2], [secant, beyond]: [f64; 2]) -> f64 {
    let slope = ((2.0 * h + next) * secant - h * beyond) / (h + next);
    if slope * secant <= 0.0 {
        0.0
    } else if slope.abs() > 3.0 * secant.abs() {
        3.0 * secant
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_stays_one() {
        for [x, y] in through(&[[0.0, 1.0], [1.0, 3.0], [4.0, 9.0]]) {
            assert!((y - (1.0 + 2.0 * x)).abs() < 1e-14);
        }
    }

    #[test]
    fn no_piece_leaves_the_range_of_its_ends() {
        let points = [[0.0, 0.0], [1.0, 0.1], [1.5, 5.0], [2.0, 5.0], [4.0, -1.0], [4.1, 0.0]];
        let curve = through(&points);
        assert_eq!(curve.len(), 5 * PIECES as usize + 1);
        for (ends, piece) in points.windows(2).zip(curve.chunks(PIECES as usize)) {
            let (low, high) = (ends[0][1].min(ends[1][1]), ends[0][1].max(ends[1][1]));
            assert!(piece.iter().all(|[_, y]| (low - 1e-12..=high + 1e-12).contains(y)));
        }
    }

    /// The curve of a parabola through points `h` apart is off by a share of h² at most.
    #[test]
    fn a_parabola_is_followed() {
        let points: Vec<[f64; 2]> =
            (0..=10).map(|k| 0.1 * f64::from(k)).map(|x| [x, x * x]).collect();
        for [x, y] in through(&points) {
            assert!((y - x * x).abs() < 1e-3, "{x}");
        }
    }

    #[test]
    fn a_curve_may_rise_along_the_other_axis_and_a_loop_stays_as_it_is() {
        let falling = [[9.0, 1.0], [4.0, 2.0], [4.0, 3.0], [5.0, 4.0]];
        let curve = through(&falling);
        assert!(curve.len() > falling.len() && falling.iter().all(|point| curve.contains(point)));
        let ring = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 0.0]];
        assert_eq!(through(&ring), ring);
    }
}
