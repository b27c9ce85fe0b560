//! Stresses measured at a depth of a section, beside what was computed there.

use crate::process::section::readings::DepthMeasured;
use crate::process::section::record::SectionSnapshot;
use crate::result::measured::{Agreement, Level, compare};
use crate::result::path::{PathPoint, StressPath};
use crate::result::section::{SectionPath, path_at};
use crate::tensor::Polar;

/// Compares a measurement with a section that stands alone.
#[must_use]
pub fn compare_at_depth(
    asked: &DepthMeasured,
    hole: &str,
    snapshot: &SectionSnapshot,
) -> Agreement {
    labelled(asked, &[as_path(hole, &path_at(snapshot, asked.share))])
}

/// Compares a measurement with `paths` at its depth.
#[must_use]
pub fn labelled(asked: &DepthMeasured, paths: &[StressPath]) -> Agreement {
    let mut found = compare(&asked.measured, paths);
    found.level = Level::of(asked.share);
    found.label = format!("{}, {}", found.label, found.level.words());
    found
}

/// A path of a section as measurements see one.
#[must_use]
pub fn as_path(hole: &str, path: &SectionPath) -> StressPath {
    let points =
        path.points.iter().map(|at| bare_point(at.distance, [at.hoop, at.radial])).collect();
    StressPath { hole: hole.to_owned(), angle_deg: 0.0, points }
}

/// A point that carries hoop and radial stress, MPa, and nothing else that a measurement asks for.
#[must_use]
pub fn bare_point(distance: f64, [hoop, radial]: [f64; 2]) -> PathPoint {
    PathPoint {
        distance,
        position: [0.0; 2],
        drawn: [0.0; 2],
        stress: Polar { radial, hoop, ..Polar::default() },
        von_mises: 0.0,
        equivalent_plastic_strain: 0.0,
        reverse_plastic_strain: 0.0,
        hoop_point: hoop,
        hoop_jump: 0.0,
        thickness_change: 0.0,
    }
}
