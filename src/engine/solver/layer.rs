//! The layer between the plate and a sheet on it.

use serde::{Deserialize, Serialize};

/// The layer under one sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Joint {
    /// Shear stiffness of an area, `G/h`, N/mm³.
    pub stiffness: f64,
    /// Displacement of every node at which the layer is free of stress, mm.
    pub reference: Vec<[f64; 2]>,
}
