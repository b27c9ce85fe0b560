//! Kind of quantity in a column, hence its unit and its conversion at the border.

use crate::units::Units;

/// MPa√mm in MPa√m.
const ROOT_METRE: f64 = 31.622_776_601_683_793;
/// Millimetres in an inch.
const MM_PER_INCH: f64 = 25.4;

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
    /// A force; inside N.
    Force,
    /// An energy or work; inside N·mm.
    Energy,
    /// A stress intensity; inside MPa√mm, at the border MPa√m or ksi√in.
    Intensity,
    /// Crack growth a cycle; inside mm.
    Growth,
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
            Self::Force => units.force_name(),
            Self::Energy => units.energy_name(),
            Self::Intensity if units == Units::InKsi => "ksi√in",
            Self::Intensity => "MPa√m",
            Self::Growth if units == Units::InKsi => "in/cycle",
            Self::Growth => "mm/cycle",
        }
    }

    /// `value`, inside units, in border units.
    #[must_use]
    pub fn at_border(self, value: f64, units: Units) -> f64 {
        match self {
            Self::Name | Self::Count | Self::Fraction | Self::Degrees => value,
            Self::Length | Self::Growth => value / units.length_scale(),
            Self::Intensity if units == Units::InKsi => {
                value / units.stress_scale() / MM_PER_INCH.sqrt()
            }
            Self::Intensity => value / ROOT_METRE,
            Self::Stress => value / units.stress_scale(),
            Self::Force => value / units.force_scale(),
            Self::Energy => value / units.energy_scale(),
        }
    }
}

/// Description of a column or array.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Described {
    /// Its name in the file.
    pub name: &'static str,
    /// Its kind.
    pub quantity: Quantity,
    /// Meaning, in one line.
    pub meaning: &'static str,
}
