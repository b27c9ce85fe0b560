//! Control chart of individual values and their moving ranges.
//!
//! The scatter of one hole to the next is taken from the mean moving range `R̄` of two, `σ = R̄/d₂`; the limits
//! are `x̄ ± 3σ`, hence `x̄ ± 2.66 R̄`, and `D₄ R̄ = 3.267 R̄` for the ranges. For two values
//! `d₂ = 2/√π = 1.128` and `d₃ = √(2 − 4/π) = 0.853`, `D₄ = 1 + 3 d₃/d₂`.
//!
//! Source: W. A. Shewhart, Economic control of quality of manufactured product (1931); constants as tabulated in
//! ISO 7870-2:2013 (from memory; derived here from the normal distribution). Nine values in a row on one side:
//! L. S. Nelson, J. Quality Technology 16 (1984) 237–239 (from memory).

use std::cmp::Ordering;
use std::f64::consts::PI;

/// Values in a row on one side of the centre that are a signal.
pub const RUN: usize = 9;

/// A control chart.
#[derive(Clone, Debug, PartialEq)]
pub struct ControlChart {
    /// Mean of the values.
    pub centre: f64,
    /// Mean of the moving ranges.
    pub mean_range: f64,
    /// Lower and upper limit of the values.
    pub limits: [f64; 2],
    /// Upper limit of the moving ranges.
    pub range_limit: f64,
}

/// Mean range of two standard normal values, `d₂`.
#[must_use]
pub fn mean_range_of_two() -> f64 {
    2.0 / PI.sqrt()
}

/// Standard deviation of that range, `d₃`.
#[must_use]
pub fn range_error_of_two() -> f64 {
    (2.0 - 4.0 / PI).sqrt()
}

impl ControlChart {
    /// The chart of `values` in their order; `None` of fewer than two.
    #[must_use]
    pub fn new(values: &[f64]) -> Option<Self> {
        if values.len() < 2 {
            return None;
        }
        let centre = values.iter().sum::<f64>() / values.len() as f64;
        let ranges = values.windows(2).map(|pair| (pair[1] - pair[0]).abs());
        let mean_range = ranges.sum::<f64>() / (values.len() - 1) as f64;
        let by = 3.0 * mean_range / mean_range_of_two();
        let above = 1.0 + 3.0 * range_error_of_two() / mean_range_of_two();
        Some(Self {
            centre,
            mean_range,
            limits: [centre - by, centre + by],
            range_limit: above * mean_range,
        })
    }

    /// Whether a value lies outside the limits.
    #[must_use]
    pub fn is_out(&self, value: f64) -> bool {
        value < self.limits[0] || value > self.limits[1]
    }

    /// Which of `values` end a run of [`RUN`] or more on one side of the centre.
    #[must_use]
    pub fn runs(&self, values: &[f64]) -> Vec<usize> {
        let mut found = Vec::new();
        let (mut side, mut length) = (Ordering::Equal, 0);
        for (k, value) in values.iter().enumerate() {
            let own = value.partial_cmp(&self.centre).unwrap_or(Ordering::Equal);
            length = match own {
                // On the centre line it is on neither side.
                Ordering::Equal => 0,
                _ if own == side => length + 1,
                _ => 1,
            };
            side = own;
            if length >= RUN {
                found.push(k);
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: flow rates of ten batches, whose limits are
    /// printed as 55.8041 and 45.8159 with d₂ rounded to 1.128 (from memory).
    #[test]
    fn the_limits_are_those_of_the_published_example() {
        let flow = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
        let chart = ControlChart::new(&flow).expect("ten values");
        assert_relative_eq!(chart.centre, 50.81, epsilon = 1e-12);
        assert_relative_eq!(chart.mean_range, 1.8778, epsilon = 5e-5);
        // The rounding of 1.128 moves a limit by 3 × 1.8778 × 3e-4 / 1.128.
        assert_relative_eq!(chart.limits[1], 55.8041, epsilon = 2e-3);
        assert_relative_eq!(chart.limits[0], 45.8159, epsilon = 2e-3);
    }

    #[test]
    fn the_constants_are_those_of_the_tables() {
        // n = 2 of the tables: 1.128, 0.853, 2.660, 3.267.
        assert_relative_eq!(mean_range_of_two(), 1.128, epsilon = 5e-4);
        assert_relative_eq!(range_error_of_two(), 0.853, epsilon = 5e-4);
        let chart = ControlChart::new(&[0.0, 1.0]).expect("two values");
        // The tables divide by the rounded 1.128, which gives 2.660; undivided by rounding it is 2.6587.
        assert_relative_eq!(chart.limits[1] - chart.centre, 2.66, epsilon = 5e-3);
        assert_relative_eq!(3.0 / 1.128, 2.660, epsilon = 5e-4);
        assert_relative_eq!(chart.range_limit, 3.267, epsilon = 5e-4);
    }

    #[test]
    fn a_ninth_value_on_one_side_is_a_signal_and_an_eighth_is_none() {
        let mut values = vec![0.0, 2.0, 0.0, 2.0];
        values.extend([1.1; 9]);
        let chart = ControlChart { centre: 1.0, ..ControlChart::new(&values).expect("some") };
        // The fourth value lies above as well: it is the first of ten.
        assert_eq!(chart.runs(&values), vec![11, 12]);
        assert!(chart.runs(&values[..11]).is_empty());
    }
}
