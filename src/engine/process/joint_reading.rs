//! The joint of a doubler with the plate, read off a state in equilibrium: forces of the fasteners, forces in the
//! sections of plate and doubler, shear of the bond.
//!
//! The force in a section is the sum of the nodal forces of the stresses on one side of it, so it is in
//! balance with what acts there as far as the state is.

use serde::{Deserialize, Serialize};

/// Sections in which forces are read, besides those between fasteners.
pub const SECTIONS: usize = 40;

/// Stress over the gross section below which it counts as free of load, MPa.
const NO_STRESS: f64 = 1e-3;

/// Readings of the joint of one doubler.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct JointReading {
    /// Name of the doubler.
    pub doubler: String,
    /// Axis that sections are counted along: 0 for x, 1 for y.
    pub along: usize,
    /// Its fasteners, in the order of the case.
    pub fasteners: Vec<FastenerReading>,
    /// Gross section of the plate across it: width of its box times its thickness, mm².
    pub gross_section: f64,
    /// Forces in sections across that axis, from low to high; none through the hole of a fastener.
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
    /// Its force over diameter and thickness, in the plate and in the doubler, MPa.
    pub bearing_stress: [f64; 2],
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

impl FastenerReading {
    /// Load of the section of the plate that passes the fastener by, N: the smaller of those before and
    /// behind it, nothing where they have different signs (common practice, no source).
    #[must_use]
    pub fn bypass(&self) -> f64 {
        let [before, behind] = self.plate_force;
        if before * behind <= 0.0 {
            0.0
        } else if before.abs() < behind.abs() {
            before
        } else {
            behind
        }
    }
}

impl JointReading {
    /// The largest force in a section of the doubler, by size, N.
    #[must_use]
    pub fn largest_force(&self) -> f64 {
        let larger = |most: f64, section: &SectionForces| {
            if section.doubler.abs() > most.abs() { section.doubler } else { most }
        };
        self.sections.iter().fold(0.0, larger)
    }

    /// Largest share of the load of a section that the doubler carries; 0 where the section has no load to speak of.
    #[must_use]
    pub fn largest_share(&self) -> f64 {
        let load = |section: &SectionForces| (section.plate + section.doubler).abs();
        let largest = self.sections.iter().map(load).fold(0.0, f64::max);
        let least = (1e-6 * largest).max(NO_STRESS * self.gross_section);
        let share = |section: &SectionForces| {
            let both = section.plate + section.doubler;
            if both.abs() > least { section.doubler / both } else { 0.0 }
        };
        self.sections.iter().map(share).fold(0.0, f64::max)
    }
}
