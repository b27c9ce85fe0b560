//! Requirements on a mesh beyond the plate itself.

use serde::{Deserialize, Serialize};

use crate::geometry::outline::Loop;
use crate::mesh::topology::Symmetry;

/// Requirements on a mesh.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeshPlan {
    /// 1 is the default mesh; 2 halves every element size.
    pub fineness: f64,
    /// Which part of the plate is meshed.
    pub symmetry: Symmetry,
    /// One entry a hole, in the plate's order; holes beyond its end get the default.
    pub holes: Vec<HolePlan>,
    /// Regions whose outlines element sides follow.
    #[serde(default)]
    pub regions: Vec<RegionPlan>,
}

impl Default for MeshPlan {
    fn default() -> Self {
        Self {
            fineness: 1.0,
            symmetry: Symmetry::default(),
            holes: Vec::new(),
            regions: Vec::new(),
        }
    }
}

/// A region of another thickness or metal than the plate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RegionPlan {
    /// Its outline, counter-clockwise; it may reach beyond the plate.
    pub outline: Loop,
    /// Its thickness over that of the plate.
    pub relative_thickness: f64,
}

/// Requirements on the rings round one hole. Angles in radians about the hole's centre,
/// counter-clockwise from +x.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct HolePlan {
    /// Radii at which ring lines are laid and on both sides of which the rings are as thin as at
    /// the hole, mm in the drawn configuration, rising: the planned ream, or the reams between which
    /// cases on this mesh differ.
    pub cut_radii: Vec<f64>,
    /// Angles that must be element corners, besides 0°, 90°, 180° and 270°.
    pub key_angles: Vec<f64>,
    /// Arc `(from, to)`, counter-clockwise, that at least four elements resolve: the gap
    /// of a split sleeve. Its ends become element corners.
    pub gap: Option<(f64, f64)>,
}
