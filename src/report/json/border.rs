//! Numbers on their way into the summary: converted, rounded, finite.

use crate::report::number::rounded;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Converts numbers and remembers those that are not finite.
pub(super) struct Border {
    units: Units,
    place: Vec<String>,
    /// One warning for each number that is not finite.
    pub(super) warnings: Vec<String>,
}

impl Border {
    pub(super) fn new(units: Units) -> Self {
        Self { units, place: Vec::new(), warnings: Vec::new() }
    }

    /// Whatever `convert` makes, with `name` in the place that warnings give.
    pub(super) fn within<T>(
        &mut self,
        name: impl Into<String>,
        convert: impl FnOnce(&mut Self) -> T,
    ) -> T {
        self.place.push(name.into());
        let converted = convert(self);
        self.place.pop();
        converted
    }

    /// `value` in border units; `None`, and a warning, when it is not finite.
    pub(super) fn number(&mut self, key: &str, quantity: Quantity, value: f64) -> Option<f64> {
        let converted = quantity.at_border(value, self.units);
        if converted.is_finite() {
            return Some(rounded(converted));
        }
        let mut place = self.place.join(".");
        if !place.is_empty() {
            place.push('.');
        }
        self.warnings.push(format!("`{place}{key}` is not a finite number; written as null"));
        None
    }

    /// As [`Border::number`] for a value that may be absent without being wrong.
    pub(super) fn maybe(
        &mut self,
        key: &str,
        quantity: Quantity,
        value: Option<f64>,
    ) -> Option<f64> {
        value.and_then(|value| self.number(key, quantity, value))
    }

    /// A point or vector.
    pub(super) fn pair(
        &mut self,
        key: &str,
        quantity: Quantity,
        value: [f64; 2],
    ) -> [Option<f64>; 2] {
        value.map(|component| self.number(key, quantity, component))
    }
}
