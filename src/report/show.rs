//! Numbers as people read them: few decimals, the unit in the table head.

use crate::result::headline::{Dimension, Measure};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Sign that stands where there is no value.
pub(crate) const NOTHING: &str = "–";

/// Prints values (inside units) for people, in border units.
#[derive(Clone, Copy, Debug)]
pub struct Show {
    /// Units of the case.
    pub units: Units,
}

impl Show {
    /// A stress, to a tenth of an MPa or a hundredth of a ksi.
    #[must_use]
    pub fn stress(self, value: f64) -> String {
        let digits = if self.units == Units::MmMpa { 1 } else { 2 };
        fixed(Quantity::Stress.at_border(value, self.units), digits)
    }

    /// A length, to a micrometre or a ten-thousandth of an inch.
    #[must_use]
    pub fn length(self, value: f64) -> String {
        let digits = if self.units == Units::MmMpa { 3 } else { 4 };
        fixed(Quantity::Length.at_border(value, self.units), digits)
    }

    /// A length of the case, as short as it was written.
    #[must_use]
    pub(crate) fn input_length(self, value: f64) -> String {
        short(Quantity::Length.at_border(value, self.units), 6)
    }

    /// A stress of the case, as short as it was written.
    #[must_use]
    pub(crate) fn input_stress(self, value: f64) -> String {
        short(Quantity::Stress.at_border(value, self.units), 4)
    }

    /// A force of the case, as short as it was written.
    #[must_use]
    pub(crate) fn input_force(self, value: f64) -> String {
        short(value / self.units.force_scale(), 4)
    }

    /// A stress and the distance it stands at: `-312.4` and `0.021`.
    #[must_use]
    pub fn peak(self, extreme: Option<[f64; 2]>) -> [String; 2] {
        extreme.map_or_else(
            || [NOTHING.to_owned(), NOTHING.to_owned()],
            |[stress, distance]| [self.stress(stress), self.length(distance)],
        )
    }

    /// A headline number or the width of its band, with a digit more than the tables of a run
    /// show; fractions in per cent.
    #[must_use]
    pub fn measure(self, measure: Measure, value: f64) -> String {
        let border = quantity(measure).at_border(value, self.units);
        match (measure.dimension(), self.units) {
            (Dimension::Stress, Units::MmMpa) => fixed(border, 2),
            (Dimension::Stress, Units::InKsi) => fixed(border, 3),
            (Dimension::Length, Units::MmMpa) => fixed(border, 4),
            (Dimension::Length, Units::InKsi) => fixed(border, 5),
            (Dimension::Fraction, _) => fixed(100.0 * border, 4),
        }
    }

    /// Unit of [`Show::measure`].
    #[must_use]
    pub fn unit(self, measure: Measure) -> &'static str {
        match measure.dimension() {
            Dimension::Fraction => "%",
            Dimension::Stress | Dimension::Length => quantity(measure).unit(self.units),
        }
    }

    /// A length that may be absent.
    #[must_use]
    pub(crate) fn maybe_length(self, value: Option<f64>) -> String {
        value.map_or_else(|| NOTHING.to_owned(), |value| self.length(value))
    }
}

/// Kind of quantity of a headline number.
#[must_use]
pub fn quantity(measure: Measure) -> Quantity {
    match measure.dimension() {
        Dimension::Stress => Quantity::Stress,
        Dimension::Length => Quantity::Length,
        Dimension::Fraction => Quantity::Fraction,
    }
}

/// A fraction as per cent with two decimals, without the sign `%`.
#[must_use]
pub fn percent(value: f64) -> String {
    fixed(100.0 * value, 2)
}

/// As [`percent`] with the sign, for running text; [`NOTHING`] when absent.
#[must_use]
pub(crate) fn maybe_percent(value: Option<f64>) -> String {
    value.map_or_else(|| NOTHING.to_owned(), |value| format!("{} %", percent(value)))
}

/// An angle in degrees, as short as it is.
#[must_use]
pub fn angle(degrees: f64) -> String {
    format!("{}°", short(degrees, 3))
}

/// A small relative number, such as `2.1e-9`.
#[must_use]
pub fn small(value: f64) -> String {
    if value == 0.0 { "0".to_owned() } else { format!("{value:.1e}") }
}

/// `value` with `digits` decimals, no negative zero.
#[must_use]
pub fn fixed(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "not finite".to_owned();
    }
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(size) if size.chars().all(|c| matches!(c, '0' | '.')) => size.to_owned(),
        _ => text,
    }
}

/// `value` with `digits` decimals at most.
#[must_use]
pub fn short(value: f64, digits: usize) -> String {
    let text = fixed(value, digits);
    if !text.contains('.') {
        return text;
    }
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_for_people_are_short_and_have_no_negative_zero() {
        let show = Show { units: Units::MmMpa };
        assert_eq!(show.stress(-312.44), "-312.4");
        assert_eq!(show.stress(-0.04), "0.0");
        assert_eq!(show.stress(f64::NAN), "not finite");
        assert_eq!(angle(22.5), "22.5°");
        assert_eq!(angle(180.0), "180°");
        assert_eq!(show.input_length(60.0), "60");
        assert_eq!(short(100.0, 0), "100");
        assert_eq!(percent(0.038_596), "3.86");
    }

    #[test]
    fn inches_and_ksi_come_out_converted() {
        let show = Show { units: Units::InKsi };
        assert_eq!(show.length(25.4), "1.0000");
        // 1 ksi = 6.894 757 MPa (1000 lbf/in², exact pound and gravity).
        assert_eq!(show.stress(68.947_572_93), "10.00");
    }
}
