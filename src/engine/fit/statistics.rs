//! The few distributions that the answers are judged by, from a library.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal, StudentsT};

/// Share of the truths that an interval is to hold.
pub const HELD: f64 = 0.9;

/// Standard errors from the value to either end of its interval, when the scatter is known.
#[must_use]
pub fn normal_quantile() -> f64 {
    Normal::standard().inverse_cdf(0.5 * (1.0 + HELD))
}

/// The standard normal number that is passed with chance `chance`.
#[must_use]
pub fn normal_passed_with(chance: f64) -> f64 {
    Normal::standard().inverse_cdf(1.0 - chance.clamp(1e-15, 1.0))
}

/// Chance of a standard normal number below `x`.
#[must_use]
pub fn normal_below(x: f64) -> f64 {
    Normal::standard().cdf(x)
}

/// The same when the scatter is taken from the deviations themselves, with so many of them to spare.
#[must_use]
pub fn student_quantile(spare: usize) -> f64 {
    StudentsT::new(0.0, 1.0, spare.max(1) as f64)
        .map_or_else(|_| normal_quantile(), |t| t.inverse_cdf(0.5 * (1.0 + HELD)))
}

/// Chance of a sum of squares of `squares` or more from `spare` standard normal numbers.
#[must_use]
pub fn chance_of_squares(squares: f64, spare: usize) -> f64 {
    ChiSquared::new(spare.max(1) as f64).map_or(1.0, |chi| chi.sf(squares))
}

/// Chance of a ratio of variances of `ratio` or more, with so many numbers above and below.
#[must_use]
pub fn chance_of_ratio(ratio: f64, [above, below]: [usize; 2]) -> f64 {
    if !ratio.is_finite() {
        return 0.0;
    }
    FisherSnedecor::new(above.max(1) as f64, below.max(1) as f64)
        .map_or(1.0, |f| f.sf(ratio.max(0.0)))
}

/// Chance that numbers in random order have as few runs of one sign as `values` have, or fewer; 1 where
/// there are too few of one sign to tell.
///
/// Source: A. Wald and J. Wolfowitz, Ann. Math. Stat. 11 (1940) 147–162, with the normal approximation
/// (from memory).
#[must_use]
pub fn chance_of_runs(values: &[f64]) -> f64 {
    let signs: Vec<bool> = values.iter().filter(|v| **v != 0.0).map(|v| *v > 0.0).collect();
    let up = signs.iter().filter(|up| **up).count() as f64;
    let down = signs.len() as f64 - up;
    if up < 5.0 || down < 5.0 {
        return if signs.len() >= 12 { 0.0 } else { 1.0 };
    }
    let runs = 1.0 + signs.windows(2).filter(|pair| pair[0] != pair[1]).count() as f64;
    let (both, all) = (2.0 * up * down, up + down);
    let mean = 1.0 + both / all;
    let variance = both * (both - all) / (all * all * (all - 1.0));
    Normal::standard().cdf((runs + 0.5 - mean) / variance.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Tables of Student, Fisher and χ² (5 % points, printed in every textbook; from memory).
    #[test]
    fn the_quantiles_are_those_of_the_tables() {
        assert_relative_eq!(normal_quantile(), 1.644_854, max_relative = 1e-6);
        assert_relative_eq!(student_quantile(10), 1.812, max_relative = 3e-4);
        assert_relative_eq!(student_quantile(1), 6.314, max_relative = 3e-4);
        assert_relative_eq!(chance_of_ratio(3.33, [5, 10]), 0.05, max_relative = 5e-3);
        assert_relative_eq!(chance_of_squares(18.31, 10), 0.05, max_relative = 5e-3);
    }

    #[test]
    fn a_bow_has_few_runs_and_an_alternation_many() {
        let bow: Vec<f64> = (0..40).map(|k| (f64::from(k) * 0.2).sin()).collect();
        assert!(chance_of_runs(&bow) < 1e-6);
        let wild: Vec<f64> = (0..40).map(|k| if k % 2 == 0 { 1.0 } else { -1.0 }).collect();
        assert!(chance_of_runs(&wild) > 0.99);
    }
}
