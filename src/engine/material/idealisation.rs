//! The two-dimensional idealisations: stress and strain in the third direction.

use serde::{Deserialize, Serialize};

/// Assumption for the direction out of the drawing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Idealisation {
    /// No stress through the thickness: thin sheets, and the faces of a plate.
    #[default]
    #[serde(rename = "plane stress")]
    PlaneStress,
    /// No strain through the thickness: the middle of a very thick part.
    #[serde(rename = "plane strain")]
    PlaneStrain,
    /// One uniform strain through the thickness and no net force: a thick part free at its faces.
    #[serde(rename = "generalised plane strain")]
    GeneralisedPlaneStrain,
    /// A body of revolution, drawn by its section: x is the radius, y the depth, and the third
    /// direction the hoop, strained by `u_r/r`. Components `(xx, yy, zz, xy)` are `(rr, zz, θθ, rz)`.
    #[serde(rename = "section")]
    Axisymmetric,
}

impl Idealisation {
    /// Every name the plate of a case file may use, for messages.
    pub const NAMES: [&'static str; 3] =
        ["plane stress", "plane strain", "generalised plane strain"];

    /// Name in a case file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::PlaneStress => Self::NAMES[0],
            Self::PlaneStrain => Self::NAMES[1],
            Self::GeneralisedPlaneStrain => Self::NAMES[2],
            Self::Axisymmetric => "section",
        }
    }

    /// The idealisation of a plate called `name` in a case file.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::PlaneStress, Self::PlaneStrain, Self::GeneralisedPlaneStrain]
            .into_iter()
            .find(|idealisation| idealisation.name() == name)
    }
}
