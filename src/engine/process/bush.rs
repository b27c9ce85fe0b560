//! A bush: a ring of metal that is put into a hole and stays there.
//!
//! Pressed in, it is larger than the hole by the interference, which the two share out as it enters;
//! the plane sees the end of that, not the way along the hole. Shrunk in, the bush is cold or the part
//! hot while it is placed with play, and both come back to the temperature of the drawing. With play
//! and nothing else it lies loose until an expansion of its bore brings it against the hole.
//!
//! Its nodes face those of the edge as that stands, so it is put into holes that were expanded or
//! reamed like into drilled ones. It is free of stress before.

use serde::{Deserialize, Serialize};

use crate::material::hardening::Material;
use crate::solver::friction::Friction;

/// A bush and how it is put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bush {
    /// Index of the hole.
    pub hole: usize,
    /// Diameter of its bore before it is put in, mm.
    pub inner_diameter: f64,
    /// Outer diameter before it is put in, mm.
    pub outer_diameter: f64,
    /// Its metal.
    pub material: Material,
    /// Name of the metal for reports.
    pub material_name: String,
    /// Coefficient of linear thermal expansion, by degree, when the case gives it.
    pub thermal_expansion: Option<f64>,
    /// Friction between it and what it sits in.
    pub friction: Friction,
    /// How it comes in.
    pub assembly: Assembly,
}

/// How a bush comes into its hole.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Assembly {
    /// As it is: pressed in where it is larger than the hole, laid in where it is smaller.
    #[default]
    Pressed,
    /// At other temperatures, counted from that of the drawing, to which both come back.
    Shrunk {
        /// Temperature of the bush.
        bush: f64,
        /// Temperature of the part, bushes that are in it already included.
        part: f64,
        /// Coefficients of linear expansion: of the plate, of every region, of every bush.
        expansions: Vec<f64>,
    },
}

impl Bush {
    /// Phases that putting it in takes at most.
    #[must_use]
    pub fn phases(&self) -> usize {
        match self.assembly {
            Assembly::Pressed => 1,
            Assembly::Shrunk { .. } => 2,
        }
    }
}
