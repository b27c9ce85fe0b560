//! Numbers crossing the border between a case file and the program, both ways.

use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued, quoted};
use crate::numeric::nearest::nearest;
use crate::units::Units;

/// The units of one case file.
#[derive(Clone, Copy, Debug)]
pub(super) struct Border {
    /// Units of the file.
    pub(super) units: Units,
}

impl Border {
    /// A length of the file in mm.
    pub(super) fn length(self, written: f64) -> f64 {
        written * self.units.length_scale()
    }

    /// A stress of the file in MPa.
    pub(super) fn stress(self, written: f64) -> f64 {
        written * self.units.stress_scale()
    }

    /// A point of the file in mm.
    pub(super) fn point(self, written: [f64; 2]) -> [f64; 2] {
        written.map(|number| self.length(number))
    }

    /// A length in mm, as the file would write it, with its unit.
    pub(super) fn show_length(self, mm: f64) -> String {
        format!("{} {}", self.show_bare_length(mm), self.units.length_name())
    }

    /// A length in mm, as the file would write it.
    pub(super) fn show_bare_length(self, mm: f64) -> String {
        // A hundredth of the tolerance that holes are drilled to, in either unit.
        let digits = if self.units == Units::InKsi { 4 } else { 3 };
        short(mm / self.units.length_scale(), digits)
    }

    /// A largest length in mm, rounded down, so that the length shown is itself small enough.
    pub(super) fn show_most(self, mm: f64) -> String {
        let step = self.units.length_scale() / if self.units == Units::InKsi { 1e4 } else { 1e3 };
        self.show_length(step * (mm / step + 1e-6).floor())
    }

    /// A smallest length in mm, rounded up, so that the length shown is itself enough.
    pub(super) fn show_least(self, mm: f64) -> String {
        let step = self.units.length_scale() / if self.units == Units::InKsi { 1e4 } else { 1e3 };
        // A millionth of a step: a length that was a whole number of steps must stay one.
        self.show_length(step * (mm / step - 1e-6).ceil())
    }

    /// A stress in MPa, as the file would write it, with its unit.
    pub(super) fn show_stress(self, mpa: f64) -> String {
        format!("{} {}", short(mpa / self.units.stress_scale(), 1), self.units.stress_name())
    }
}

/// A number with at most `digits` decimals and no trailing zeros.
pub(super) fn short(number: f64, digits: usize) -> String {
    let text = format!("{number:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Lengths outside these, mm, are a slip of units or of the decimal point: a thousandth of a
/// millimetre to a hundred metres.
pub(super) const LENGTHS: [f64; 2] = [1e-3, 1e5];

/// A length in mm that must be there, larger than zero and of a size that parts have.
pub(super) fn required_length(
    table: &Table<'_>,
    key: &'static str,
    remedy: &str,
    border: Border,
) -> Result<Valued<f64>, Complaint> {
    let Valued { value: written, key, span } = required_positive(table, key, remedy)?;
    let number = Valued { value: border.length(written), key, span };
    if (LENGTHS[0]..=LENGTHS[1]).contains(&number.value) {
        return Ok(number);
    }
    let unit = border.units.length_name();
    let problem = format!("`{key}` is {} {unit}, which is no size of a part", plain(written));
    let remedy = format!("lengths are read in {unit}; check the decimal point");
    Err(table.about(&number, Kind::OutOfRange, problem, remedy))
}

/// A number of the file as a person would write it.
pub(super) fn plain(number: f64) -> String {
    let size = number.abs();
    if size != 0.0 && !(1e-4..1e9).contains(&size) {
        format!("{number:e}")
    } else {
        format!("{number}")
    }
}

/// Refuses a number that is not larger than zero.
pub(super) fn positive(
    table: &Table<'_>,
    number: &Valued<f64>,
    remedy: &str,
) -> Result<f64, Complaint> {
    if number.value > 0.0 {
        return Ok(number.value);
    }
    let problem =
        format!("`{}` is {}, but must be larger than zero", number.key, plain(number.value));
    Err(table.about(number, Kind::OutOfRange, problem, remedy))
}

/// A number that must be there and larger than zero.
pub(super) fn required_positive(
    table: &Table<'_>,
    key: &'static str,
    remedy: &str,
) -> Result<Valued<f64>, Complaint> {
    let number = table.number(key)?.ok_or_else(|| table.missing(key, remedy))?;
    positive(table, &number, remedy)?;
    Ok(number)
}

/// The complaint that a word is none of those allowed.
pub(super) fn unknown_word(
    table: &Table<'_>,
    word: &Valued<&str>,
    what: &str,
    allowed: &[&str],
) -> Complaint {
    let remedy = match nearest(word.value, allowed.iter().copied()) {
        Some(meant) => format!("did you mean `{meant}`?"),
        None if allowed.is_empty() => format!("there is no {what} to choose from"),
        None => format!("choose from {}", quoted(allowed)),
    };
    let problem = format!("`{}` is no {what}", word.value.escape_debug());
    table.about(word, Kind::UnknownName, problem, remedy)
}
