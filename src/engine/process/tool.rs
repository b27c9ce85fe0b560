//! The tool that expands a hole: mandrel, split sleeve, and how they give way.

use serde::{Deserialize, Serialize};

/// How the mandrel's centre moves in the plane of the plate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Centre {
    /// Nothing holds it sideways: the net in-plane force on it is zero (pulled mandrels).
    #[default]
    Floating,
    /// It stays on the axis of the hole as drilled or last reamed, or off it by a stated distance; the plate's supports take the difference.
    Held,
}

/// The slit of a split sleeve, where nothing presses on the hole.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Split {
    /// Direction of the middle of the slit from the hole centre, radians from +x.
    pub angle: f64,
    /// Angle that the open slit spans at the hole edge, radians.
    pub gap: f64,
}

/// Mandrel and sleeve of one expansion. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tool {
    /// Mandrel major diameter, mm. When the case states an applied expansion only,
    /// the diameter that gives it, with no sleeve.
    pub mandrel_diameter: f64,
    /// Wall of the sleeve, mm; 0 without sleeve.
    pub sleeve_thickness: f64,
    /// The slit of the sleeve, when it is modelled.
    pub split: Option<Split>,
    /// Elastic constants `(E in MPa, ν)` of the mandrel; `None` for a rigid one.
    pub elastic: Option<(f64, f64)>,
    /// Whether the centre floats.
    pub centre: Centre,
    /// Where a held mandrel stands, from the axis of the hole as drilled or last reamed `[x, y]`, mm.
    #[serde(default)]
    pub offset: [f64; 2],
}

impl Tool {
    /// A pin of `diameter` mm, 0 for a neat fit, that floats; `elastic` as of a mandrel.
    #[must_use]
    pub(crate) fn pin(diameter: f64, elastic: Option<(f64, f64)>) -> Self {
        Self {
            mandrel_diameter: diameter,
            sleeve_thickness: 0.0,
            split: None,
            elastic,
            centre: Centre::Floating,
            offset: [0.0; 2],
        }
    }

    /// Diameter that acts on the hole: mandrel plus twice the sleeve, mm.
    #[must_use]
    pub fn acting_diameter(&self) -> f64 {
        self.mandrel_diameter + 2.0 * self.sleeve_thickness
    }

    /// Applied expansion of a hole of `diameter` (mm), as a fraction:
    /// (acting diameter − diameter) / diameter (common practice, no source).
    #[must_use]
    pub fn applied_expansion(&self, diameter: f64) -> f64 {
        (self.acting_diameter() - diameter) / diameter
    }
}
