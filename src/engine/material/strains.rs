//! How deformation is measured: as it is, or taken to be small.

use serde::{Deserialize, Serialize};

/// The measure of strain that a run goes by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Strains {
    /// Logarithmic strain `½ ln FᵀF`; equilibrium in the part as it stands.
    #[default]
    Finite,
    /// Symmetric displacement gradient; equilibrium in the part as drawn. For teaching, and for the
    /// closed forms that speak of it.
    Small,
}

impl Strains {
    /// Every name a case file may use.
    pub const NAMES: [&'static str; 2] = ["finite", "small"];

    /// Name in a case file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Finite => Self::NAMES[0],
            Self::Small => Self::NAMES[1],
        }
    }

    /// The measure called `name` in a case file.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        [Self::Finite, Self::Small].into_iter().find(|strains| strains.name() == name)
    }
}
