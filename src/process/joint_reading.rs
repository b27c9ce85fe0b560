//! The joint of a doubler with the plate, read off a state in equilibrium: forces of the fasteners, forces in the
//! sections of plate and doubler, shear of the bond.
//!
//! The force in a section is the sum of the nodal forces of the stresses on one side of it, so it is in
//! balance with what acts there as far as the state is.

use serde::{Deserialize, Serialize};

/// Sections in which forces are read, besides those between fasteners.
pub const SECTIONS: usize = 40;

/// Readings of the joint of one doubler.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct JointReading {
    /// Name of the doubler.
    pub doubler: String,
    /// Axis that sections are counted along: 0 for x, 1 for y.
    pub along: usize,
    /// Its fasteners, in the order of the case.
    pub fasteners: Vec<FastenerReading>,
    /// Forces in sections across that axis, from low to high.
    pub sections: Vec<SectionForces>,
    /// The bond, where there is one.
    pub bond: Option<BondReading>,
}

/// A fastener.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FastenerReading {
    /// Index of the hole of the plate.
    pub hole: usize,
    /// Its place along the axis, mm.
    pub at: f64,
    /// Force on the doubler `[x, y]`, N on the whole of it.
    pub force: [f64; 2],
    /// How far its part in the doubler has moved on that in the plate `[x, y]`, mm.
    pub slip: [f64; 2],
    /// Diameter of the hole in the doubler, mm.
    pub hole_diameter: f64,
    /// Force in the section of the plate before it and behind it, in the sense of the axis, N.
    pub plate_force: [f64; 2],
}

/// Forces in one section, tension positive, N on the whole width.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionForces {
    /// Its place along the axis, mm.
    pub at: f64,
    /// Force in the plate.
    pub plate: f64,
    /// Force in the doubler.
    pub doubler: f64,
}

/// Shear of a bond.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BondReading {
    /// Largest shear stress at a node of the doubler, MPa.
    pub highest: f64,
    /// Where, mm.
    pub at: [f64; 2],
    /// Shear stress on the doubler at each of its nodes `[x, y]`, MPa; zero where it covers nothing.
    pub shear: Vec<[f64; 2]>,
}

impl JointReading {
    /// Largest share of the load of a section that the doubler carries, where both carry in one sense; 0 where
    /// nothing does.
    #[must_use]
    pub fn largest_share(&self) -> f64 {
        let largest =
            |all: f64, section: &SectionForces| all.max((section.plate + section.doubler).abs());
        let load = self.sections.iter().fold(0.0, largest);
        let share = |section: &SectionForces| {
            let both = section.plate + section.doubler;
            if both.abs() > 1e-6 * load { section.doubler / both } else { 0.0 }
        };
        self.sections.iter().map(share).fold(0.0, f64::max)
    }
}
