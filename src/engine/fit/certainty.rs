//! How well data tell the variables of a model: covariance, intervals, and directions that they do not
//! tell at all.
//!
//! Near the smallest sum of squares the deviations are `J x` with the columns `J` of derivatives. The
//! singular values of `J` say what a step along each of its right singular vectors does to them. A step
//! that does less than its scatter is not told by the data; variables that take part in it have no
//! number. What is left has the covariance `s² V S⁻² Vᵀ`.

use nalgebra::{DMatrix, DVector};

/// Singular value over the largest below which a direction does nothing at all: rounding of the
/// derivatives.
const NOTHING: f64 = 1e-9;

/// Half an interval, in the variables, beyond which a direction is not told. Variables are logarithms
/// or are scaled to what is expected of them: a factor of `e^0.7 = 2` either way.
pub const UNTOLD: f64 = std::f64::consts::LN_2;

/// Square of its part in an untold direction from which on a variable has no number of its own.
const PART: f64 = 0.05;

/// A direction that the data do not tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Direction {
    /// Its unit vector.
    pub parts: Vec<f64>,
    /// Standard error along it; infinite when the data do not change along it.
    pub error: f64,
}

impl Direction {
    /// Variables that take part, the largest part first, with the sign of their part; the sign of the
    /// first is positive.
    #[must_use]
    pub fn taking_part(&self) -> Vec<(usize, f64)> {
        let mut parts: Vec<(usize, f64)> = self.parts.iter().copied().enumerate().collect();
        parts.retain(|(_, part)| part * part >= PART);
        parts.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let sign = parts.first().map_or(1.0, |(_, part)| part.signum());
        parts.into_iter().map(|(k, part)| (k, sign * part)).collect()
    }
}

/// How well each variable is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Certainty {
    /// Standard error of each variable, of those directions that are told.
    pub errors: Vec<f64>,
    /// Covariance of the told directions, shape `(n, n)`.
    pub covariance: DMatrix<f64>,
    /// Standard errors from a value to either end of its interval.
    pub quantile: f64,
    /// Variance that the covariance was made with, of deviations over their standard errors.
    pub variance: f64,
    /// Directions that are not told, the worst first.
    pub untold: Vec<Direction>,
}

impl Certainty {
    /// From `columns` of derivatives, the `variance` of the deviations and the `quantile` of an interval.
    /// Variables that are `held` take no part.
    #[must_use]
    pub fn new(columns: &[Vec<f64>], held: &[bool], variance: f64, quantile: f64) -> Self {
        let n = columns.len();
        let points = columns.first().map_or(0, Vec::len);
        let mut jacobian = DMatrix::zeros(points.max(n), n);
        for (k, column) in columns.iter().enumerate().filter(|(k, _)| !held[*k]) {
            for (row, value) in column.iter().enumerate() {
                jacobian[(row, k)] = *value;
            }
        }
        let parts = jacobian.svd(false, true);
        let vectors = parts.v_t.unwrap_or_else(|| DMatrix::identity(n, n));
        let largest = parts.singular_values.iter().fold(0.0_f64, |most, value| most.max(*value));
        let mut covariance = DMatrix::zeros(n, n);
        let mut untold = Vec::new();
        for (value, vector) in parts.singular_values.iter().zip(vectors.row_iter()) {
            let vector: DVector<f64> = vector.transpose();
            // A held variable is a direction of its own, without any effect.
            let free: f64 = (0..n).filter(|k| !held[*k]).map(|k| vector[k] * vector[k]).sum();
            if free < 0.5 {
                continue;
            }
            let nothing = *value <= NOTHING * largest;
            let error = if nothing { f64::INFINITY } else { variance.sqrt() / value };
            if error * quantile > UNTOLD {
                untold.push(Direction { parts: vector.iter().copied().collect(), error });
            } else {
                covariance += &vector * vector.transpose() * (error * error);
            }
        }
        untold.sort_by(|a, b| b.error.total_cmp(&a.error));
        let errors = (0..n).map(|k| covariance[(k, k)].max(0.0).sqrt()).collect();
        Self { errors, covariance, quantile, variance, untold }
    }

    /// Correlation of two variables, −1 to 1; 0 where one has no error.
    #[must_use]
    pub fn correlation(&self, one: usize, other: usize) -> f64 {
        let scale = self.errors[one] * self.errors[other];
        if scale > 0.0 { (self.covariance[(one, other)] / scale).clamp(-1.0, 1.0) } else { 0.0 }
    }

    /// Whether a variable has a number: it takes no part in an untold direction.
    #[must_use]
    pub fn is_told(&self, variable: usize) -> bool {
        self.untold.iter().all(|direction| direction.parts[variable].powi(2) < PART)
    }

    /// Standard error of a number that changes by `slopes` with the variables, along the told
    /// directions.
    #[must_use]
    pub fn error_of(&self, slopes: &[f64]) -> f64 {
        let slopes = DVector::from_column_slice(slopes);
        (slopes.transpose() * &self.covariance * &slopes)[(0, 0)].max(0.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// A straight line through points at 0, 1, 2, 3: `(JᵀJ)⁻¹` by hand is `[14 −6; −6 4]/20`.
    #[test]
    fn the_covariance_of_a_straight_line_is_the_one_by_hand() {
        let columns = [vec![1.0; 4], vec![0.0, 1.0, 2.0, 3.0]];
        let found = Certainty::new(&columns, &[false; 2], 1e-4, 1.6);
        assert!(found.untold.is_empty());
        assert_relative_eq!(found.errors[0], 1e-2 * 0.7_f64.sqrt(), max_relative = 1e-12);
        assert_relative_eq!(found.errors[1], 1e-2 * 0.2_f64.sqrt(), max_relative = 1e-12);
        assert_relative_eq!(found.correlation(0, 1), -6.0 / 56.0_f64.sqrt(), max_relative = 1e-12);
        // At x = 1.5 the line is known best: variance 1/4.
        assert_relative_eq!(found.error_of(&[1.0, 1.5]), 0.5e-2, max_relative = 1e-12);
    }

    #[test]
    fn two_variables_of_which_the_sum_alone_acts_are_not_told() {
        let columns = [vec![1.0, 2.0], vec![1.0, 2.0], vec![1.0, -1.0]];
        let found = Certainty::new(&columns, &[false; 3], 1e-6, 1.6);
        assert_eq!(found.untold.len(), 1);
        let parts: Vec<usize> = found.untold[0].taking_part().iter().map(|part| part.0).collect();
        assert!(parts.contains(&0) && parts.contains(&1) && !parts.contains(&2));
        assert_eq!([0, 1, 2].map(|k| found.is_told(k)), [false, false, true]);
        // Held, the second leaves the first a number.
        let found = Certainty::new(&columns, &[false, true, false], 1e-6, 1.6);
        assert!(found.untold.is_empty());
    }
}
