//! A polynomial through values at Chebyshev points of a rectangle.

use std::f64::consts::PI;

/// `n` Chebyshev points of the second kind on `[low, high]`, rising, ends included; the middle
/// when `n` is 1.
///
/// Source: J.-P. Berrut, L. N. Trefethen, Barycentric Lagrange interpolation, SIAM Review 46
/// (2004) 501–517, sections 5 (from memory).
#[must_use]
pub fn points(n: usize, [low, high]: [f64; 2]) -> Vec<f64> {
    let middle = 0.5 * (low + high);
    let place = |k: usize| -(PI * k as f64 / (n - 1) as f64).cos();
    match n {
        0 | 1 => vec![middle; n],
        _ => (0..n).map(|k| middle + 0.5 * (high - low) * place(k)).collect(),
    }
}

/// Weights of the values at [`points`] for the value at `x` (barycentric form, same source).
fn weights(points: &[f64], x: f64) -> Vec<f64> {
    let last = points.len() - 1;
    // Where the points coincide, the variable does not matter.
    if points[0] >= points[last] {
        return points.iter().enumerate().map(|(k, _)| f64::from(u8::from(k == 0))).collect();
    }
    if let Some(hit) = points.iter().position(|point| x.total_cmp(point).is_eq()) {
        return (0..points.len()).map(|k| f64::from(u8::from(k == hit))).collect();
    }
    let parts: Vec<f64> = points
        .iter()
        .enumerate()
        .map(|(k, point)| {
            let end = if k == 0 || k == last { 0.5 } else { 1.0 };
            let sign = if k % 2 == 0 { 1.0 } else { -1.0 };
            sign * end / (x - point)
        })
        .collect();
    let sum: f64 = parts.iter().sum();
    parts.iter().map(|part| part / sum).collect()
}

/// Values on a grid of Chebyshev points, and the polynomial through them.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Points along the two variables.
    pub points: [Vec<f64>; 2],
    /// Value at `(points[0][i], points[1][j])` as number `i * points[1].len() + j`.
    pub values: Vec<f64>,
}

impl Grid {
    /// The polynomial at `x`.
    #[must_use]
    pub fn at(&self, x: [f64; 2]) -> f64 {
        let [first, second] = [0, 1].map(|axis| weights(&self.points[axis], x[axis]));
        let row = |i: usize| -> f64 {
            let values = &self.values[i * second.len()..];
            second.iter().zip(values).map(|(w, v)| w * v).sum()
        };
        first.iter().enumerate().map(|(i, w)| w * row(i)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polynomial_of_the_degree_of_the_grid_is_met_exactly() {
        let f = |x: f64, y: f64| 3.0 - x + 2.0 * x * x * y - 0.5 * y * y;
        let points = [points(3, [-2.0, 1.0]), points(3, [4.0, 5.0])];
        let values =
            points[0].iter().flat_map(|x| points[1].iter().map(move |y| f(*x, *y))).collect();
        let grid = Grid { points, values };
        for [x, y] in [[-2.0, 4.0], [0.3, 4.9], [1.0, 4.5], [-0.5, 5.0]] {
            // Rounding of some ten terms of size 40.
            assert!((grid.at([x, y]) - f(x, y)).abs() < 1e-12 * 400.0, "{x} {y}");
        }
    }

    #[test]
    fn a_variable_without_a_range_does_not_matter() {
        let grid = Grid {
            points: [points(2, [0.0, 1.0]), points(3, [7.0, 7.0])],
            values: vec![1.0, 1.0, 1.0, 3.0, 3.0, 3.0],
        };
        assert!((grid.at([0.25, 7.0]) - 1.5).abs() < 1e-14);
    }
}
