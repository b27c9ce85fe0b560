//! Numbers of regions of another thickness or metal, element by element.

use serde::{Deserialize, Serialize};

/// Region of every element, and how thick the regions are.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Regions {
    /// Thickness of regions from 1 over that of the plate.
    pub relative_thickness: Vec<f64>,
    /// Region of every quadrilateral; empty when there is one region only.
    pub quads: Vec<u8>,
    /// Region of every triangle.
    pub triangles: Vec<u8>,
}

impl Regions {
    /// Thickness of `region` over that of the plate.
    #[must_use]
    pub fn thickness_of(&self, region: u8) -> f64 {
        let other = usize::from(region).checked_sub(1);
        other.and_then(|other| self.relative_thickness.get(other)).copied().unwrap_or(1.0)
    }
}
