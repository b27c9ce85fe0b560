//! One root of one equation: Newton's steps, kept inside a bracket that shrinks.

/// Steps after which a bracketed search has certainly ended: halving alone
/// reduces any double-precision bracket to neighbouring numbers in fewer.
const MOST_STEPS: usize = 200;

/// Root of `f` in `[low, high]`, where `f(low)` and `f(high)` differ in sign.
///
/// `f` returns value and slope. A Newton step that leaves the bracket or gains
/// less than halving is replaced by halving, so the search always ends; near the
/// root it is quadratic. Stops when the value is within `value_tolerance` of
/// zero or the bracket is down to rounding.
///
/// Returns `None` when the ends do not bracket a root or `f` is not finite there.
pub fn bracketed_newton(
    mut low: f64,
    mut high: f64,
    value_tolerance: f64,
    mut f: impl FnMut(f64) -> (f64, f64),
) -> Option<f64> {
    let (at_low, _) = f(low);
    if at_low.abs() <= value_tolerance {
        return Some(low);
    }
    let (at_high, _) = f(high);
    if at_high.abs() <= value_tolerance {
        return Some(high);
    }
    // Written so that a NaN at an end is refused too.
    let bracketed = at_low * at_high < 0.0;
    if !bracketed {
        return None;
    }
    let rises = at_high > 0.0;
    // The end with the smaller value is the better first guess.
    let mut x = if at_low.abs() < at_high.abs() { low } else { high };
    let mut last_width = high - low;
    for _ in 0..MOST_STEPS {
        let (value, slope) = f(x);
        if value.abs() <= value_tolerance {
            return Some(x);
        }
        if (value > 0.0) == rises {
            high = x;
        } else {
            low = x;
        }
        let width = high - low;
        let step = -value / slope;
        let newton = x + step;
        let inside = newton > low && newton < high;
        x = if inside && step.abs() < 0.5 * last_width { newton } else { 0.5 * (low + high) };
        last_width = if inside { step.abs().max(0.5 * width) } else { width };
        if width <= 4.0 * f64::EPSILON * low.abs().max(high.abs()) {
            return Some(x);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_smooth_root_is_found_to_rounding() {
        let root = bracketed_newton(0.0, 2.0, 1e-15, |x| (x * x - 2.0, 2.0 * x));
        assert_relative_eq!(
            root.unwrap_or(f64::NAN),
            std::f64::consts::SQRT_2,
            max_relative = 1e-14
        );
    }

    #[test]
    fn a_wild_slope_does_not_throw_the_search_out() {
        // Newton alone diverges on the cube root from anywhere but zero.
        let root = bracketed_newton(-1.0, 3.0, 1e-9, |x| {
            (x.cbrt(), x.abs().max(1e-300).powf(-2.0 / 3.0) / 3.0)
        });
        assert!(root.unwrap_or(f64::NAN).abs() < 1e-8);
    }

    #[test]
    fn ends_of_one_sign_give_none() {
        assert!(bracketed_newton(1.0, 2.0, 1e-12, |x| (x * x + 1.0, 2.0 * x)).is_none());
    }
}
