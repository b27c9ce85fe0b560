//! How a number is written in a file: one rounding for CSV and JSON alike.

/// Significant digits in every file.
///
/// Twelve: two unit systems must agree to 1e-9 after conversion, which nine digits
/// (half a unit of the last place is up to 5e-9) cannot give; and the last four of a
/// double, which carry rounding alone, stay out of the files.
pub const SIGNIFICANT_DIGITS: usize = 12;

/// `value` to [`SIGNIFICANT_DIGITS`], without a negative zero; non-finite values unchanged.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { 0.0 } else { value };
    }
    let text = format!("{value:.*e}", SIGNIFICANT_DIGITS - 1);
    // What the standard library prints reads back.
    text.parse().unwrap_or(value)
}

/// `value` as text, rounded, the shortest that reads back; exponents where the plain form
/// would be long. Empty when it is not finite: readers take an empty cell as missing.
#[must_use]
pub fn text(value: f64) -> String {
    let value = rounded(value);
    let size = value.abs();
    if !value.is_finite() {
        String::new()
    } else if size == 0.0 || (1e-5..1e15).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_zero_has_no_sign() {
        let pairs = [
            (-0.0, "0"),
            (0.1 + 0.2, "0.3"),
            (-312.456_789_012_345_6, "-312.456789012"),
            (1.0e-9 / 3.0, "3.33333333333e-10"),
            (2.5e15, "2.5e15"),
            (f64::NAN, ""),
            (f64::NEG_INFINITY, ""),
        ];
        for (value, expected) in pairs {
            assert_eq!(text(value), expected);
        }
    }

    #[test]
    fn rounding_moves_a_number_by_half_a_unit_of_the_last_digit_at_most() {
        for value in [1.000_000_000_005_1, 9.999_999_999_994_9, -6.894_757_293_168_361e-7] {
            assert!(((rounded(value) - value) / value).abs() <= 5.0e-12, "{value}");
        }
    }
}
