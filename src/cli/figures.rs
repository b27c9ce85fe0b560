//! Which figures a run draws.
//!
//! Floor 11, `cli`.

use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::case::Case;
use crate::plot::{
    Figure, FigureContext, FigureError, MeshLines, Overlay, PathChart, contact_pressure_round_hole,
    convergence_history, deformed_outline, drawn_stages, fringe_view, hoop_closeup, hoop_contour,
    hoop_paths, plastic_zones, pressure_history, service_loop, service_reversals,
};
use crate::process::coating::Coating;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::snapshot::Snapshot;
use crate::result::closed_form::HoleForms;
use crate::result::coating::FaceStrain;
use crate::result::service::ServiceSummary;
use crate::result::stage::StageResult;
use crate::solver::newton::RESIDUAL_TOLERANCE;

/// A figure for the page, with what to say under it.
pub(crate) struct Drawn {
    pub(crate) picture: PathBuf,
    pub(crate) caption: String,
}

type Job<'a> = Box<dyn Fn() -> Result<(Figure, String), FigureError> + Send + Sync + 'a>;

/// Draws every figure of a run into `folder`, most telling first. A figure that cannot be drawn
/// is no reason to lose the results: it is named among the troubles instead.
#[allow(clippy::too_many_arguments)]
#[allow(clippy::too_many_lines, reason = "a list of figures, one after another")]
pub(crate) fn draw(
    case: &Case,
    snapshots: &[Snapshot],
    stages: &[StageResult],
    history: &[HistoryRecord],
    forms: &[HoleForms],
    services: &[ServiceSummary],
    folder: &Path,
) -> (Vec<Drawn>, Vec<String>) {
    let context = FigureContext { case_title: &case.title, units: case.units };
    let holes = &case.job.plate.holes;
    let mut jobs: Vec<Job> = Vec::new();
    let residual: Vec<&StageResult> =
        stages.iter().zip(snapshots).filter(|(_, s)| !s.loaded).map(|(stage, _)| stage).collect();
    for &stage in residual.iter().rev() {
        jobs.push(Box::new(move || {
            let figure = hoop_contour(stage, holes, MeshLines::Hidden, context, folder)?;
            Ok((figure, format!("Residual hoop stress over the plate, {}", stage.heading)))
        }));
        for index in 0..holes.len() {
            jobs.push(Box::new(move || {
                let figure = hoop_closeup(stage, holes, index, MeshLines::Hidden, context, folder)?;
                let name = &holes[index].name;
                Ok((
                    figure,
                    format!("Residual hoop stress close to hole {name}, {}", stage.heading),
                ))
            }));
        }
    }
    for hole in holes.iter().filter(|_| !stages.is_empty()) {
        jobs.push(Box::new(move || {
            let overlays: Vec<Overlay> = forms
                .iter()
                .filter(|of_hole| of_hole.hole == hole.name)
                .flat_map(|of_hole| overlays(of_hole, stages, &drawn_stages(stages, hole)))
                .collect();
            let beside = PathChart { overlays: &overlays, ..PathChart::default() };
            let figure = hoop_paths(stages, hole, &beside, context, folder)?;
            let theory = if overlays.is_empty() {
                ""
            } else {
                ", with the closed form of the same state laid over"
            };
            let name = &hole.name;
            let caption =
                format!("Hoop stress against distance from the edge of hole {name}{theory}");
            Ok((figure, caption))
        }));
    }
    for service in services {
        jobs.push(Box::new(move || {
            let figure = service_reversals(service, context, folder)?;
            Ok((figure, format!("Edge hoop stress at every reversal, {}", service.stage)))
        }));
        jobs.push(Box::new(move || {
            let figure = service_loop(service, context, folder)?;
            Ok((figure, format!("Edge hoop stress against load, {}", service.stage)))
        }));
    }
    let mut expansions: Vec<&str> = history
        .iter()
        .filter(|record| record.phase == Phase::Expand)
        .map(|record| record.stage.as_str())
        .collect();
    expansions.dedup();
    for label in expansions {
        jobs.push(Box::new(move || {
            let figure = pressure_history(history, label, context, folder)?;
            Ok((figure, format!("Contact pressure against expansion, {label}")))
        }));
    }
    for (stage, snapshot) in stages.iter().zip(snapshots) {
        if !snapshot.tools.is_empty() {
            jobs.push(Box::new(move || {
                let figure = contact_pressure_round_hole(stage, holes, context, folder)?;
                Ok((figure, "Contact pressure round the hole at full size".to_owned()))
            }));
        }
        if snapshot.finished {
            for index in 0..holes.len() {
                jobs.push(Box::new(move || {
                    let figure = plastic_zones(stage, holes, index, context, folder)?;
                    let name = &holes[index].name;
                    Ok((figure, format!("Yielded metal round hole {name}, {}", stage.heading)))
                }));
            }
        }
        jobs.push(Box::new(move || {
            let figure = deformed_outline(stage, holes, context, folder)?;
            Ok((figure, format!("Displaced outline, magnified, {}", stage.heading)))
        }));
    }
    if let Some(coating) = &case.coating {
        jobs.extend(fringes(case, coating, snapshots, folder));
    }
    if history.iter().any(|record| !record.residuals.is_empty()) {
        jobs.push(Box::new(move || {
            let figure = convergence_history(history, RESIDUAL_TOLERANCE, context, folder)?;
            Ok((figure, "Out-of-balance force at every iteration of the run".to_owned()))
        }));
    }
    let results: Vec<Result<Drawn, String>> = jobs
        .par_iter()
        .map(|job| match job() {
            Ok((figure, caption)) => Ok(Drawn { picture: figure.png, caption }),
            Err(error) => Err(format!("a figure is missing: {error}")),
        })
        .collect();
    let (mut drawn, mut troubles) = (Vec::new(), Vec::new());
    for result in results {
        match result {
            Ok(figure) => drawn.push(figure),
            Err(trouble) => troubles.push(trouble),
        }
    }
    (drawn, troubles)
}

/// The closed forms of one hole, for those snapshots that are drawn.
fn overlays(of_hole: &HoleForms, stages: &[StageResult], drawn: &[String]) -> Vec<Overlay> {
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
fn fringes<'a>(
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
