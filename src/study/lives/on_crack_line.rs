//! Measured hoop stresses beside the residual stress that a crack grows in.

use crate::case::Case;
use crate::fatigue::assessment::{CrackOrigin, Place};
use crate::process::measured::Component;
use crate::result::depth::bare_point;
use crate::result::measured::{Agreement, compare};
use crate::result::path::StressPath;

/// Measurements of `case` on the line of the crack at `place`, as far as they have points there; none on a crack from the
/// edge of the plate, which counts its distance from there.
pub(super) fn on_crack_line(case: &Case, place: &Place) -> Vec<Agreement> {
    if place.origin != CrackOrigin::Hole {
        return Vec::new();
    }
    let residual = place.worked_hoop.as_ref().unwrap_or(&place.residual_hoop);
    let rows = residual.distances().iter().zip(residual.values());
    let path = StressPath {
        hole: place.hole.clone(),
        angle_deg: place.angle_deg,
        points: rows.map(|(distance, hoop)| bare_point(*distance, [*hoop, 0.0])).collect(),
    };
    let hoop = case.measured.iter().filter(|measured| measured.component == Component::Hoop);
    let mut found: Vec<Agreement> =
        hoop.map(|measured| compare(measured, std::slice::from_ref(&path))).collect();
    for agreement in &mut found {
        agreement.points.retain(|point| point.computed.is_some());
    }
    found.retain(|agreement| !agreement.points.is_empty());
    found
}
