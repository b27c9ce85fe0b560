//! Curves and marks drawn over a figure: bounds of the hardening laws, closed forms, fringes.

use crate::case::Case;
use crate::geometry::hole::Hole;
use crate::plot::Figure;
use crate::plot::{Band, FigureContext, FigureError, Overlay, fringe_view};
use crate::process::coating::Coating;
use crate::process::snapshot::Snapshot;
use crate::result::closed_form::HoleForms;
use crate::result::coating::FaceStrain;
use crate::result::path::StressPath;
use crate::result::stage::StageResult;
use std::path::Path;

pub(super) type Job<'a> = Box<dyn Fn() -> Result<(Figure, String), FigureError> + Send + Sync + 'a>;

/// The area between isotropic and kinematic hardening on each path of a hole.
pub(super) fn bands(bounds: &[Vec<StressPath>], hole: &Hole) -> Vec<Band> {
    let [isotropic, kinematic] = bounds else { return Vec::new() };
    let of_hole = isotropic.iter().filter(|path| path.hole == hole.name);
    let pairs = of_hole.filter_map(|path| {
        let same = |other: &&StressPath| {
            other.hole == path.hole && other.angle_deg.total_cmp(&path.angle_deg).is_eq()
        };
        Some((path, kinematic.iter().find(same)?))
    });
    let label = "last state, from isotropic to kinematic hardening";
    pairs
        .map(|(one, other)| Band { label: label.to_owned(), ends: [one.hoop(), other.hoop()] })
        .collect()
}

/// The closed forms of one hole, for those snapshots that are drawn.
pub(super) fn overlays(
    of_hole: &HoleForms,
    stages: &[StageResult],
    drawn: &[String],
) -> Vec<Overlay> {
    let heading = |label: &str| {
        let stage = stages.iter().find(|stage| stage.label == label);
        stage.map_or(label, |stage| stage.heading.as_str()).to_owned()
    };
    let shown = of_hole.forms.iter().filter(|form| drawn.contains(&form.stage));
    shown
        .map(|form| {
            let at = form.angle_deg.map(|angle| format!(" at {angle}°")).unwrap_or_default();
            let label = format!("closed form ({}): {}{at}", form.name, heading(&form.stage));
            Overlay { label, profile: form.profile.clone() }
        })
        .collect()
}

/// The fringes of every snapshot after the coating was bonded, over the plate and close to each
/// hole.
pub(super) fn fringes<'a>(
    case: &'a Case,
    coating: &'a Coating,
    snapshots: &'a [Snapshot],
    folder: &'a Path,
) -> Vec<Job<'a>> {
    let context = FigureContext { case_title: &case.title, units: case.units };
    let holes = &case.job.plate.holes;
    let bonded = coating.bonded_after.as_deref();
    let base = bonded.and_then(|label| snapshots.iter().position(|s| s.label == label));
    if bonded.is_some() && base.is_none() {
        return Vec::new();
    }
    let mut jobs: Vec<Job<'a>> = Vec::new();
    for snapshot in &snapshots[base.map_or(0, |index| index + 1)..] {
        for near in std::iter::once(None).chain((0..holes.len()).map(Some)) {
            jobs.push(Box::new(move || {
                let read = |snapshot: &Snapshot| {
                    FaceStrain::of_snapshot(snapshot, &case.job)
                        .map_err(|_| FigureError::Mesh { figure: snapshot.label.clone() })
                };
                let mut strain = read(snapshot)?;
                if let Some(base) = base {
                    strain = strain.since(&read(&snapshots[base])?);
                }
                let heads = (snapshot.label.as_str(), snapshot.heading.as_str());
                let figure = fringe_view(&strain, coating, heads, (holes, near), context, folder)?;
                let place = near
                    .map_or(String::new(), |index| format!(" close to hole {}", holes[index].name));
                Ok((figure, format!("Fringes of a coating{place}, {}", snapshot.heading)))
            }));
        }
    }
    jobs
}
