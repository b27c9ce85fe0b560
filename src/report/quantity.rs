//! What kind of quantity a column holds, hence its unit and its conversion at the border.
//!
//! Floor 7, `report`.

use crate::units::Units;

/// Kind of a column, key or array.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// A name.
    Name,
    /// A whole number.
    Count,
    /// Dimensionless: a fraction, a strain, a ratio.
    Fraction,
    /// An angle, degrees already.
    Degrees,
    /// A length; inside mm.
    Length,
    /// A stress or pressure; inside MPa.
    Stress,
    /// An energy or work; inside N·mm.
    Energy,
}

impl Quantity {
    /// Unit as printed; `1` for dimensionless numbers, empty for names.
    #[must_use]
    pub fn unit(self, units: Units) -> &'static str {
        match self {
            Self::Name => "",
            Self::Count | Self::Fraction => "1",
            Self::Degrees => "degree",
            Self::Length => units.length_name(),
            Self::Stress => units.stress_name(),
            Self::Energy => units.energy_name(),
        }
    }

    /// `value`, inside units, in border units.
    #[must_use]
    pub fn at_border(self, value: f64, units: Units) -> f64 {
        match self {
            Self::Name | Self::Count | Self::Fraction | Self::Degrees => value,
            Self::Length => value / units.length_scale(),
            Self::Stress => value / units.stress_scale(),
            Self::Energy => value / units.energy_scale(),
        }
    }
}

/// What a reader needs to know of a column or array.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Described {
    /// Its name in the file.
    pub name: &'static str,
    /// Its kind.
    pub quantity: Quantity,
    /// What it means, in one line.
    pub meaning: &'static str,
}
