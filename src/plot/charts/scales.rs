//! The scales in which lengths and stresses of a chart are printed: the units of the case, or shares of a
//! length and a stress of the case.

use crate::plot::figure::FigureContext;

/// Lengths and stresses that a chart is made dimensionless with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Normal<'a> {
    /// Length, mm.
    pub length: f64,
    /// Its name, e.g. `radius of the hole`.
    pub length_words: &'a str,
    /// Stress, MPa.
    pub stress: f64,
    /// Its name, e.g. `yield stress`.
    pub stress_words: &'a str,
}

/// Turns mm and MPa into what is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scales<'a> {
    context: FigureContext<'a>,
    normal: Option<Normal<'a>>,
}

impl<'a> Scales<'a> {
    pub(crate) fn new(context: FigureContext<'a>, normal: Option<Normal<'a>>) -> Self {
        Self { context, normal }
    }

    pub(crate) fn length(&self, millimetres: f64) -> f64 {
        match self.normal {
            Some(normal) => millimetres / normal.length,
            None => self.context.length(millimetres),
        }
    }

    pub(crate) fn stress(&self, megapascals: f64) -> f64 {
        match self.normal {
            Some(normal) => megapascals / normal.stress,
            None => self.context.stress(megapascals),
        }
    }

    /// Name of an axis of lengths.
    pub(crate) fn length_axis(&self, quantity: &str) -> String {
        match self.normal {
            Some(normal) => format!("{quantity} / {}", normal.length_words),
            None => self.context.length_axis(quantity),
        }
    }

    /// Name of an axis of stresses.
    pub(crate) fn stress_axis(&self, quantity: &str) -> String {
        match self.normal {
            Some(normal) => format!("{quantity} / {}", normal.stress_words),
            None => self.context.stress_axis(quantity),
        }
    }

    /// `length_mm` and `stress_MPa` with the unit, or with `ratio`, for the head of a table.
    pub(crate) fn columns(&self, length: &str, stress: &str) -> [String; 2] {
        let units = self.context.units;
        match self.normal {
            Some(_) => [format!("{length}_ratio"), format!("{stress}_ratio")],
            None => [
                format!("{length}_{}", units.length_name()),
                format!("{stress}_{}", units.stress_name()),
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;
    use approx::assert_relative_eq;

    #[test]
    fn shares_are_the_same_in_every_unit() {
        let normal = Normal {
            length: 3.0,
            length_words: "radius",
            stress: 350.0,
            stress_words: "yield stress",
        };
        for units in [Units::MmMpa, Units::InKsi] {
            let scales = Scales::new(FigureContext { case_title: "", units }, Some(normal));
            assert_relative_eq!(scales.length(6.0), 2.0);
            assert_relative_eq!(scales.stress(-175.0), -0.5);
            assert_eq!(scales.stress_axis("Hoop stress"), "Hoop stress / yield stress");
        }
    }
}
