//! Stress along a straight path that leaves a hole at an angle.
//!
//! A path is a straight line of the drawing, and a line of the metal from then on. Distances are
//! measured in the part as it stands, from the hole's edge there, as a measurement would find
//! them, mm; with small strains the part stands as it is drawn. Polar components are about the
//! drawn centre of the named hole.

use serde::{Deserialize, Serialize};

use crate::numeric::profile::Profile;
use crate::tensor::Polar;

/// One point of a path.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PathPoint {
    /// Distance from the hole edge as they both stand, mm.
    pub distance: f64,
    /// Position `[x, y]` in the part as it stands, mm.
    pub position: [f64; 2],
    /// Position in the drawing, mm.
    pub drawn: [f64; 2],
    /// Recovered stress about the hole's centre, MPa.
    pub stress: Polar,
    /// Equivalent stress of the recovered components, MPa.
    pub von_mises: f64,
    /// Equivalent plastic strain.
    pub equivalent_plastic_strain: f64,
    /// Part of it added since a tool last stood at full size.
    pub reverse_plastic_strain: f64,
    /// Hoop stress at the nearest integration point, as computed, MPa.
    pub hoop_point: f64,
    /// Largest difference of hoop stress between the elements that meet here, MPa.
    pub hoop_jump: f64,
    /// Change of the thickness over the drawn one.
    pub thickness_change: f64,
}

/// Where a path runs in the drawn plate, before anything is solved.
#[derive(Clone, Debug, PartialEq)]
pub struct PathLine {
    /// Index of the hole it leaves.
    pub hole: usize,
    /// Direction, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Its ends `[x, y]`, mm: on the edge of the hole, and on the next free edge or hole.
    pub ends: [[f64; 2]; 2],
}

/// A path from the edge of a hole outward.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StressPath {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees counter-clockwise from +x (a border unit: it is a label).
    pub angle_deg: f64,
    /// Points, rising distance; the first is on the hole edge.
    pub points: Vec<PathPoint>,
}

impl StressPath {
    /// Recovered hoop stress (MPa) against distance from the edge (mm).
    #[must_use]
    pub fn hoop(&self) -> Profile {
        self.profile(|point| point.stress.hoop)
    }

    /// Recovered radial stress (MPa) against distance from the edge (mm).
    #[must_use]
    pub fn radial(&self) -> Profile {
        self.profile(|point| point.stress.radial)
    }

    /// Any quantity of the points against distance from the edge (mm).
    #[must_use]
    pub fn profile(&self, quantity: impl Fn(&PathPoint) -> f64) -> Profile {
        Profile::new(
            self.points.iter().map(|point| point.distance).collect(),
            self.points.iter().map(quantity).collect(),
        )
    }
}
