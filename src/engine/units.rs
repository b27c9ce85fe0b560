//! Units at the border: what a case file is written in and what its results come back in.
//!
//! Inside the crate there is one system: mm, N, MPa, radians. Conversion happens
//! here and nowhere else; `case` calls it on the way in, `report` and `plot` on
//! the way out.
//!
//! Floor 0.

pub mod quantity;

use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exact by definition.
const MM_PER_INCH: f64 = 25.4;
/// MPa in a ksi: 1000 lbf/in² with the exact pound (0.453 592 37 kg) and standard gravity.
const MPA_PER_KSI: f64 = 6.894_757_293_168_361;
/// Newtons in a kip, `MPA_PER_KSI · MM_PER_INCH²`, so that stress times area is consistent.
const N_PER_KIP: f64 = MPA_PER_KSI * MM_PER_INCH * MM_PER_INCH;

/// The pair of units a case is written in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Units {
    /// Millimetres and megapascals, hence newtons.
    #[default]
    #[serde(rename = "mm-MPa")]
    MmMpa,
    /// Inches and thousand pounds a square inch, hence kips.
    #[serde(rename = "in-ksi")]
    InKsi,
}

impl Units {
    /// Every name a case file may use, for messages.
    pub const NAMES: [&'static str; 2] = ["mm-MPa", "in-ksi"];

    /// The units called `name` in a case file.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "mm-MPa" => Some(Self::MmMpa),
            "in-ksi" => Some(Self::InKsi),
            _ => None,
        }
    }

    /// Name in a case file and in `summary.json`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::MmMpa => Self::NAMES[0],
            Self::InKsi => Self::NAMES[1],
        }
    }

    /// Millimetres in one border unit of length.
    #[must_use]
    pub fn length_scale(self) -> f64 {
        match self {
            Self::MmMpa => 1.0,
            Self::InKsi => MM_PER_INCH,
        }
    }

    /// MPa in one border unit of stress.
    #[must_use]
    pub fn stress_scale(self) -> f64 {
        match self {
            Self::MmMpa => 1.0,
            Self::InKsi => MPA_PER_KSI,
        }
    }

    /// Newtons in one border unit of force.
    #[must_use]
    pub fn force_scale(self) -> f64 {
        match self {
            Self::MmMpa => 1.0,
            Self::InKsi => N_PER_KIP,
        }
    }

    /// N·mm in one border unit of energy.
    #[must_use]
    pub(crate) fn energy_scale(self) -> f64 {
        self.force_scale() * self.length_scale()
    }

    /// Unit of length as printed on axes and in tables.
    #[must_use]
    pub fn length_name(self) -> &'static str {
        match self {
            Self::MmMpa => "mm",
            Self::InKsi => "in",
        }
    }

    /// Unit of stress as printed on axes and in tables.
    #[must_use]
    pub fn stress_name(self) -> &'static str {
        match self {
            Self::MmMpa => "MPa",
            Self::InKsi => "ksi",
        }
    }

    /// Unit of force as printed on axes and in tables.
    #[must_use]
    pub fn force_name(self) -> &'static str {
        match self {
            Self::MmMpa => "N",
            Self::InKsi => "kip",
        }
    }

    /// Decimals at which a force is printed: a tenth of a newton, a thousandth of a kip.
    #[must_use]
    pub fn force_digits(self) -> usize {
        match self {
            Self::MmMpa => 1,
            Self::InKsi => 3,
        }
    }

    /// Unit of energy as printed in tables.
    #[must_use]
    pub fn energy_name(self) -> &'static str {
        match self {
            Self::MmMpa => "N·mm",
            Self::InKsi => "kip·in",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_kip_is_4448_newtons() {
        // 1 lbf = 0.45359237 kg × 9.80665 m/s² = 4.4482216152605 N, exact (international pound).
        assert_relative_eq!(Units::InKsi.force_scale(), 4_448.221_615_260_5, max_relative = 1e-14);
    }

    #[test]
    fn every_listed_name_is_read_back() {
        for name in Units::NAMES {
            assert_eq!(Units::named(name).map(Units::name), Some(name));
        }
        assert_eq!(Units::named("cm-psi"), None);
    }
}
