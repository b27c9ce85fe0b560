//! One axis of a chart: range, ticks, name.

use std::ops::Range;

use plotters::coord::ranged1d::{KeyPointHint, NoDefaultFormatting, Ranged, ValueFormatter};

use crate::plot::level::{label, multiples, round_step};

/// One axis: its range, its ticks, its name with the unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Axis {
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Position and number of each tick.
    pub(crate) ticks: Vec<(f64, String)>,
    /// Positions of small ticks without a number.
    pub(crate) minor: Vec<f64>,
    pub(crate) name: String,
}

impl Axis {
    /// Exactly `low..=high`, with at most about `most` round ticks.
    pub(crate) fn exact(low: f64, high: f64, most: usize, name: String) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        let step = round_step(high - low, most);
        let ticks = multiples(low, high, step).into_iter().map(|value| (value, label(value, step)));
        Self { low, high, ticks: ticks.collect(), minor: Vec::new(), name }
    }

    /// Widened to the round ticks outside `low..=high`, to the closer ones where it can have them.
    pub(crate) fn rounded(low: f64, high: f64, most: usize, name: String) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        let widened =
            |step: f64| [(low / step + 1e-9).floor() * step, (high / step - 1e-9).ceil() * step];
        let [wide, close] = [most, most + 2].map(|most| round_step(high - low, most));
        let [from, to] = widened(close);
        let kept = round_step(to - from, most + 2) <= close * (1.0 + 1e-9);
        let [low, high] = if kept { [from, to] } else { widened(wide) };
        Self::exact(low, high, most + 2, name)
    }

    /// Directions once round, degrees: 0 to 360, a tick every eighth of the turn.
    pub(crate) fn whole_turn(name: String) -> Self {
        let ticks = multiples(0.0, 360.0, 45.0).into_iter().map(|at| (at, label(at, 45.0)));
        Self { low: 0.0, high: 360.0, ticks: ticks.collect(), minor: Vec::new(), name }
    }

    /// Powers of ten, with small ticks at 2 to 9 times each while they can be told apart;
    /// positions on this axis are exponents. A short range gets numbers at 2 and 5 times as well.
    pub(crate) fn powers(low: f64, high: f64, name: String) -> Self {
        let between = |digit: u32, power: f64| f64::from(digit).log10() + power;
        let short = high - low < SHORT;
        let (low, high) = if short {
            (rounded_digit(low, f64::floor), rounded_digit(high, f64::ceil))
        } else {
            (low.floor(), high.ceil())
        };
        let high = if high > low { high } else { low + 1.0 };
        let step = round_step(high - low, 8).max(1.0);
        let inside = |at: &f64| (low - 1e-9..=high + 1e-9).contains(at);
        let whole = || multiples(low.floor(), high.ceil(), 1.0).into_iter();
        let mut ticks: Vec<(f64, String)> = multiples(low.floor(), high.ceil(), step)
            .into_iter()
            .map(|value| (value, power(value)))
            .collect();
        if short {
            let digits = whole().flat_map(|at| [2, 5].map(|digit| (digit, at)));
            ticks.extend(
                digits.map(|(digit, at)| (between(digit, at), format!("{digit}·{}", power(at)))),
            );
            ticks.sort_by(|one, other| one.0.total_cmp(&other.0));
        }
        ticks.retain(|(at, _)| inside(at));
        let minor = if high - low > FINE {
            Vec::new()
        } else {
            whole()
                .flat_map(|at| (2..10).map(move |digit| between(digit, at)))
                .filter(inside)
                .collect()
        };
        Self { low, high, ticks, minor, name }
    }
}

/// An axis of the plotting library: its key points are the ticks.
impl Ranged for Axis {
    type FormatOption = NoDefaultFormatting;
    type ValueType = f64;

    fn map(&self, value: &f64, (start, end): (i32, i32)) -> i32 {
        let share = (value - self.low) / (self.high - self.low);
        let at = f64::from(start) + share * (f64::from(end) - f64::from(start));
        #[expect(clippy::cast_possible_truncation, reason = "clamped")]
        let unit = at.round().clamp(-1e9, 1e9) as i32;
        unit
    }

    fn key_points<Hint: KeyPointHint>(&self, _: Hint) -> Vec<f64> {
        self.ticks.iter().map(|(value, _)| *value).collect()
    }

    fn range(&self) -> Range<f64> {
        self.low..self.high
    }
}

impl ValueFormatter<f64> for Axis {
    fn format_ext(&self, value: &f64) -> String {
        let tick = self.ticks.iter().find(|(at, _)| at.total_cmp(value).is_eq());
        tick.map_or_else(String::new, |(_, words)| words.clone())
    }
}

/// Range of exponents below which powers of ten alone would be too few numbers.
const SHORT: f64 = 1.6;
/// Range of exponents up to which small ticks can be told apart.
const FINE: f64 = 7.0;

/// An exponent moved to the next of 1, 2 or 5 times a power of ten.
fn rounded_digit(exponent: f64, round: impl Fn(f64) -> f64) -> f64 {
    let power = exponent.floor();
    let places = [0.0, 2f64.log10(), 5f64.log10(), 1.0];
    let place = exponent - power;
    let up = round(0.5) > 0.5;
    let found = if up {
        places.into_iter().find(|at| *at >= place - 1e-9)
    } else {
        places.into_iter().rev().find(|at| *at <= place + 1e-9)
    };
    power + found.unwrap_or(place)
}

/// `10` with a raised exponent.
fn power(exponent: f64) -> String {
    let digits = format!("{exponent:.0}");
    let raised = digits.chars().map(|sign| match sign {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        digit => char::from_u32(0x2070 + digit.to_digit(10).unwrap_or(0)).unwrap_or(digit),
    });
    "10".chars().chain(raised).collect()
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    #[test]
    fn powers_of_ten_have_raised_exponents() {
        assert_eq!(power(-8.0), "10⁻⁸");
        assert_eq!(power(12.0), "10¹²");
        assert_eq!(power(0.0), "10⁰");
    }

    #[test]
    fn a_rounded_axis_covers_its_values_and_ends_on_ticks() {
        let axis = Axis::rounded(-412.0, 133.0, 8, String::new());
        assert!(axis.low <= -412.0 && axis.high >= 133.0);
        let (first, last) = (axis.ticks.first().unwrap(), axis.ticks.last().unwrap());
        assert!((first.0 - axis.low).abs() < 1e-9 && (last.0 - axis.high).abs() < 1e-9);
    }

    #[test]
    fn an_axis_of_angles_ends_where_they_do() {
        let axis = Axis::rounded(0.0, 180.0, 8, String::new());
        assert_eq!((axis.low, axis.high, axis.ticks.len()), (0.0, 180.0, 10));
    }

    #[test]
    fn a_short_logarithmic_axis_still_has_numbers() {
        let axis = Axis::powers(3e-3f64.log10(), 8e-3f64.log10(), String::new());
        let words: Vec<&str> = axis.ticks.iter().map(|(_, words)| words.as_str()).collect();
        assert_eq!(words, ["2·10⁻³", "5·10⁻³", "10⁻²"]);
        let axis = Axis::powers(-8.2, 0.3, String::new());
        assert!(axis.ticks.len() > 3 && axis.minor.is_empty());
        assert!((axis.low + 9.0).abs() < 1e-12 && (axis.high - 1.0).abs() < 1e-12);
    }
}
