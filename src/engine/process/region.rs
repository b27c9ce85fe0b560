//! Regions of the plate that are thicker, thinner, or of another metal: pads, steps, pockets, rings.
//!
//! A plane model gives every element its own thickness and balances the forces over a step. The step
//! counts as centred on the middle of the plate: bending of a step on one face, and the stress at its
//! root, are outside.

use serde::{Deserialize, Serialize};

use crate::geometry::outline::Loop;
use crate::material::hardening::Material;

/// A region of another thickness or metal.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Region {
    /// Name in the case file.
    pub name: String,
    /// Its outline, counter-clockwise; it may reach beyond the plate.
    pub outline: Loop,
    /// Thickness, mm; `None` where it is that of the plate.
    pub thickness: Option<f64>,
    /// The metal; `None` where it is that of the plate.
    pub material: Option<Material>,
    /// Coefficient of linear thermal expansion, by degree; `None` where the case gives none of its own.
    pub thermal_expansion: Option<f64>,
    /// Name of the metal for reports; empty where it is that of the plate.
    pub material_name: String,
    /// Elements of an imported mesh that are in it; `None` where it is drawn.
    #[serde(default)]
    pub elements: Option<usize>,
}
