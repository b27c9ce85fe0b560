//! A photoelastic coating on the face of the plate, and the light it is looked at with.
//!
//! [`crate::result::coating`] reads its fringes.

/// A coating and the light it is looked at with.
#[derive(Clone, Debug, PartialEq)]
pub struct Coating {
    /// Thickness `t`, mm.
    pub thickness: f64,
    /// Strain-optic coefficient `K`, dimensionless.
    pub strain_optic_coefficient: f64,
    /// Wavelength `λ` that orders are counted by, mm.
    pub wavelength: f64,
    /// Label of the stage after which it was bonded; `None`: before any work.
    pub bonded_after: Option<String>,
    /// The light.
    pub light: Light,
}

/// The lamp of the polariscope.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Light {
    /// All visible wavelengths: coloured fringes.
    #[default]
    White,
    /// One wavelength: dark fringes at whole orders.
    Monochrome,
}

impl Light {
    /// Every name a case file may use.
    pub const NAMES: [&'static str; 2] = ["white", "monochrome"];

    /// The light called `name` in a case file.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "white" => Some(Self::White),
            "monochrome" => Some(Self::Monochrome),
            _ => None,
        }
    }
}

impl Coating {
    /// Difference of principal strains that makes one fringe, `f = λ/(2tK)`.
    #[must_use]
    pub fn fringe_value(&self) -> f64 {
        self.wavelength / (2.0 * self.thickness * self.strain_optic_coefficient)
    }

    /// Fringe order of a difference of principal strains.
    #[must_use]
    pub fn order(&self, difference: f64) -> f64 {
        difference / self.fringe_value()
    }
}
