//! The integral of a smooth function over a stretch: the three-point rule, panel by panel.

use crate::numeric::gauss::LINE_3;

/// Integral of `f` from `low` to `high` in `panels` equal panels; the error falls with
/// the sixth power of their width. `high` may lie below `low`: the sign follows.
pub fn integrate(low: f64, high: f64, panels: u32, mut f: impl FnMut(f64) -> f64) -> f64 {
    let half = 0.5 * (high - low) / f64::from(panels);
    (0..panels)
        .map(|k| {
            let middle = low + half * f64::from(2 * k + 1);
            LINE_3.iter().map(|(at, weight)| weight * half * f(middle + half * at)).sum::<f64>()
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_error_falls_with_the_sixth_power() {
        let error = |panels| integrate(0.0, 3.0, panels, f64::exp) - 3.0_f64.exp_m1();
        let order = (error(4) / error(8)).log2();
        assert!((order - 6.0).abs() < 0.1, "order {order}");
    }

    #[test]
    fn turning_the_ends_turns_the_sign() {
        let forth = integrate(1.0, 2.0, 8, f64::recip);
        assert_relative_eq!(forth, -integrate(2.0, 1.0, 8, f64::recip), max_relative = 1e-15);
        // 1e-8: (width/2)⁶ of eight panels, times a coefficient well below one.
        assert_relative_eq!(forth, std::f64::consts::LN_2, max_relative = 1e-8);
    }
}
