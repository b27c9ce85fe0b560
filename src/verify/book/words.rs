//! Numbers and verdicts as the book prints them.

use crate::verify::Judged;
use crate::verify::bench::Effort;
use crate::verify::expected::Quantity;
use crate::verify::judge::Row;

/// Significant digits of a printed value.
const DIGITS: usize = 6;

/// `value` to six significant digits, trailing zeros gone, with a true minus sign.
pub(super) fn value(value: f64) -> String {
    digits(value, DIGITS)
}

/// The same to so many digits.
pub(super) fn digits(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { "none".to_owned() };
    }
    let rounded: f64 = format!("{value:.*e}", digits - 1).parse().unwrap_or(value);
    let size = rounded.abs();
    let text = if (1e-4..1e9).contains(&size) { format!("{size}") } else { format!("{size:e}") };
    let text = text.replace("e-", "e−");
    if rounded < 0.0 { format!("−{text}") } else { text }
}

/// Expected quantity, with its unit.
pub(super) fn expected(quantity: &Quantity) -> String {
    let unit = if quantity.unit.is_empty() { String::new() } else { format!(" {}", quantity.unit) };
    match (quantity.value, quantity.at_least, quantity.at_most) {
        (Some(number), _, _) => format!("{}{unit}", value(number)),
        (None, Some(least), Some(most)) => format!("{} to {}{unit}", value(least), value(most)),
        (None, Some(least), None) => format!("≥ {}{unit}", value(least)),
        (None, None, Some(most)) => format!("≤ {}{unit}", value(most)),
        (None, None, None) => String::new(),
    }
}

/// Whether errors of a quantity are shown as they are rather than in per cent.
fn plain(quantity: &Quantity) -> bool {
    quantity.unit.is_empty() && quantity.of.is_some_and(|of| (of - 1.0).abs() < 1e-12)
}

/// A share in per cent, or as it is.
fn share(quantity: &Quantity, share: f64) -> String {
    if plain(quantity) { digits(share, 2) } else { format!("{} %", digits(100.0 * share, 2)) }
}

/// The error of a row.
pub(super) fn error(row: &Row) -> String {
    match row.error {
        None => "–".to_owned(),
        Some(_) if row.expected.value.is_none() => "–".to_owned(),
        Some(error) if error > 0.0 => format!("+{}", share(&row.expected, error)),
        Some(error) => share(&row.expected, error),
    }
}

/// The tolerance of a quantity and what it is a share of.
pub(super) fn tolerance(quantity: &Quantity) -> String {
    let Some(above) = quantity.tolerance else { return "bound".to_owned() };
    let mut words = match quantity.tolerance_below {
        Some(below) => format!("+{} −{}", share(quantity, above), share(quantity, below)),
        None => format!("±{}", share(quantity, above)),
    };
    if let (Some(of), false) = (quantity.of, plain(quantity)) {
        let unit = if quantity.unit.is_empty() { "" } else { " " };
        words.push_str(&format!(" of {}{unit}{}", value(of), quantity.unit));
    }
    words
}

/// Computed value of a row.
pub(super) fn computed(row: &Row) -> String {
    row.computed.map_or_else(|| "–".to_owned(), value)
}

/// The share of the book that was run.
pub(super) fn effort(effort: Effort) -> &'static str {
    match effort {
        Effort::Quick => "quick subset: few cases, coarse meshes",
        Effort::Whole => "whole book",
    }
}

/// How many numbers of a case agree, of how many.
pub(super) fn tally(case: &Judged) -> String {
    let good = case.shown().filter(|row| row.agrees()).count();
    format!("{good} of {}", case.shown().count())
}

/// The largest error of a case over its tolerance: how near it comes to falling short.
pub(super) fn closest(case: &Judged) -> String {
    let shares = case.shown().filter_map(|row| {
        let (error, above) = (row.error?, row.expected.tolerance?);
        let below = row.expected.tolerance_below.unwrap_or(above);
        Some(if error < 0.0 { -error / below } else { error / above })
    });
    shares.reduce(f64::max).map_or_else(|| "–".to_owned(), |share| digits(share, 2))
}

/// How many numbers agree, of how many.
pub(super) fn score(judged: &[Judged]) -> String {
    let rows = || judged.iter().flat_map(|case| &case.rows).filter(|row| row.computed.is_some());
    let (all, good) = (rows().count(), rows().filter(|row| row.agrees()).count());
    let short = judged.iter().filter(|case| !case.agrees()).count();
    let verdict = match short {
        0 => "every case agrees".to_owned(),
        1 => "1 case falls short".to_owned(),
        many => format!("{many} cases fall short"),
    };
    format!("{} cases, {good} of {all} numbers within tolerance: {verdict}", judged.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_to_significant_digits() {
        assert_eq!(value(166.666_666_7), "166.667");
        assert_eq!(value(-0.057_777_84), "−0.0577778");
        assert_eq!(value(0.0), "0");
        assert_eq!(digits(3.456e-9, 2), "3.5e−9");
        assert_eq!(value(f64::NAN), "none");
    }
}
