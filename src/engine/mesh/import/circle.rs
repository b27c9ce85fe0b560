//! The circle through points, in the sense of least squares.
//!
//! Minimises `Σ (|p − c| − r)²` over centre c and radius r: the algebraic fit first (linear in
//! its unknowns), then Gauss–Newton on the distances.
//!
//! Source: I. Kåsa, IEEE Trans. Instrum. Meas. 25 (1976) 8–14, for the start (from memory).

use nalgebra::{Matrix3, Vector3};

/// Steps of Gauss–Newton; points near a circle need two.
const STEPS: usize = 8;

/// A circle, mm, and how well points lie on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Circle {
    pub(super) centre: [f64; 2],
    pub(super) radius: f64,
    /// Largest distance of a point from it, mm.
    pub(super) deviation: f64,
}

/// The circle nearest to `points`; `None` for fewer than three, or points on a line.
pub(super) fn fit(points: &[[f64; 2]]) -> Option<Circle> {
    if points.len() < 3 {
        return None;
    }
    let count = points.len() as f64;
    let mean = [0, 1].map(|axis| points.iter().map(|p| p[axis]).sum::<f64>() / count);
    // About the mean and in units of the spread, so that squares keep their digits.
    let spread = points.iter().map(|p| (p[0] - mean[0]).hypot(p[1] - mean[1])).sum::<f64>() / count;
    let near: Vec<[f64; 2]> =
        points.iter().map(|p| [(p[0] - mean[0]) / spread, (p[1] - mean[1]) / spread]).collect();

    // x² + y² = 2 a x + 2 b y + d.
    let (mut matrix, mut right) = (Matrix3::zeros(), Vector3::zeros());
    for &[x, y] in &near {
        let row = Vector3::new(2.0 * x, 2.0 * y, 1.0);
        matrix += row * row.transpose();
        right += row * (x * x + y * y);
    }
    let start = matrix.lu().solve(&right)?;
    let mut unknowns =
        Vector3::new(start[0], start[1], (start[2] + start[0].powi(2) + start[1].powi(2)).sqrt());
    for _ in 0..STEPS {
        let (mut matrix, mut right) = (Matrix3::zeros(), Vector3::zeros());
        for &[x, y] in &near {
            let (dx, dy) = (x - unknowns[0], y - unknowns[1]);
            let distance = dx.hypot(dy);
            let row = Vector3::new(-dx / distance, -dy / distance, -1.0);
            matrix += row * row.transpose();
            right -= row * (distance - unknowns[2]);
        }
        unknowns += matrix.lu().solve(&right)?;
    }
    let centre = [mean[0] + spread * unknowns[0], mean[1] + spread * unknowns[1]];
    let radius = spread * unknowns[2];
    let deviation = points
        .iter()
        .map(|p| ((p[0] - centre[0]).hypot(p[1] - centre[1]) - radius).abs())
        .fold(0.0, f64::max);
    (radius.is_finite() && radius > 0.0 && deviation.is_finite()).then_some(Circle {
        centre,
        radius,
        deviation,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn points(count: u32, turn: f64) -> Vec<[f64; 2]> {
        (0..count)
            .map(|k| {
                let angle = turn * f64::from(k) / f64::from(count);
                [112.0 + 2.85 * angle.cos(), -30.0 + 2.85 * angle.sin()]
            })
            .collect()
    }

    #[test]
    fn points_of_a_circle_give_it_back() {
        for turn in [std::f64::consts::TAU, 1.5] {
            let circle = fit(&points(17, turn)).expect("they are not on a line");
            assert_relative_eq!(circle.centre[0], 112.0, max_relative = 1e-12);
            assert_relative_eq!(circle.centre[1], -30.0, max_relative = 1e-12);
            assert_relative_eq!(circle.radius, 2.85, max_relative = 1e-11);
            assert!(circle.deviation < 1e-11);
        }
    }

    #[test]
    fn points_on_a_line_and_too_few_have_no_circle() {
        let line: Vec<[f64; 2]> = (0..5).map(|k| [f64::from(k), 2.0 * f64::from(k)]).collect();
        assert!(fit(&line).is_none_or(|circle| circle.radius > 1e3));
        assert!(fit(&line[..2]).is_none());
    }
}
