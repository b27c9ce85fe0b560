//! Which figures a run draws.

mod overlays;
mod rank;

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::case::Case;
use crate::cli::figures::overlays::{Job, bands, fringes, overlays};
use crate::cli::figures::rank::{Rank, thin_out};
use crate::geometry::hole::Hole;
use crate::material::idealisation::Idealisation;
use crate::plot::{
    FigureContext, FitState, MeshLines, Overlay, PathChart, contact_pressure_round_hole,
    convergence_history, deformed_outline, drawn_stages, fit_pressure, hoop_closeup, hoop_contour,
    hoop_paths, hoop_with_doubler, joint_forces, plastic_zones, pressure_history, service_loop,
    service_reversals, thickness_paths,
};
use crate::process::history::{HistoryRecord, Phase};
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::result::closed_form::HoleForms;
use crate::result::fit::{BushSummary, bushes};
use crate::result::path::StressPath;
use crate::result::service_summary::ServiceSummary;
use crate::result::stage::StageResult;
use crate::solver::newton::RESIDUAL_TOLERANCE;

/// A figure for the page, with what to say under it.
pub(crate) struct Drawn {
    pub(crate) picture: PathBuf,
    pub(crate) caption: String,
}

/// The figures to be drawn, in the order of the page.
type Jobs<'a> = Vec<(Rank, Job<'a>)>;

/// Result of drawing.
pub(crate) struct Gallery {
    /// The figures.
    pub(crate) drawn: Vec<Drawn>,
    /// One line for every figure that is missing, and for those left out.
    pub(crate) troubles: Vec<String>,
    /// Whether drawing was stopped before its end.
    pub(crate) interrupted: bool,
}

/// A doubler in one snapshot.
pub(crate) struct SheetResult {
    /// Its holes.
    pub(crate) holes: Vec<Hole>,
    /// Its fields.
    pub(crate) stage: StageResult,
}

/// Everything that the figures of a run show.
#[derive(Clone, Copy)]
pub(crate) struct Subject<'a> {
    pub(crate) case: &'a Case,
    pub(crate) snapshots: &'a [Snapshot],
    /// The snapshots as read, in their order.
    pub(crate) stages: &'a [StageResult],
    /// The doublers in the snapshots, as read.
    pub(crate) sheets: &'a [SheetResult],
    pub(crate) history: &'a [HistoryRecord],
    pub(crate) forms: &'a [HoleForms],
    pub(crate) services: &'a [ServiceSummary],
    /// Paths of the last state under isotropic and under kinematic hardening; fewer than two when
    /// they were not computed.
    pub(crate) bounds: &'a [Vec<StressPath>],
}

impl<'a> Subject<'a> {
    /// Draws the figures into `folder`, most telling first: all of them, or those that a reader looks
    /// at. A figure that cannot be drawn is no reason to lose the results: it is named among the
    /// troubles instead. None is begun after `stop` is raised.
    pub(crate) fn draw(self, folder: &'a Path, all: bool, stop: &AtomicBool) -> Gallery {
        let mut jobs: Jobs<'a> = Vec::new();
        self.fields(folder, &mut jobs);
        self.paths(folder, &mut jobs);
        self.joints(folder, &mut jobs);
        self.services(folder, &mut jobs);
        self.thicknesses(folder, &mut jobs);
        self.expansions(folder, &mut jobs);
        self.fits(folder, &mut jobs);
        self.states(folder, &mut jobs);
        if let Some(coating) = &self.case.coating {
            let fringes = fringes(self.case, coating, self.snapshots, folder);
            jobs.extend(fringes.into_iter().map(|job| (Rank::Answer, job)));
        }
        if self.history.iter().any(|record| !record.residuals.is_empty()) {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let (history, context) = (self.history, self.context());
                    let figure = convergence_history(history, RESIDUAL_TOLERANCE, context, folder)?;
                    Ok((figure, "Out-of-balance force at every iteration of the run".to_owned()))
                }),
            ));
        }
        let left_out = if all { 0 } else { thin_out(&mut jobs) };
        let results: Vec<Option<Result<Drawn, String>>> = jobs
            .par_iter()
            .map(|(_, job)| {
                if stop.load(Ordering::SeqCst) {
                    return None;
                }
                Some(match job() {
                    Ok((figure, caption)) => Ok(Drawn { picture: figure.png, caption }),
                    Err(error) => Err(format!("a figure is missing: {error}")),
                })
            })
            .collect();
        let interrupted = results.iter().any(Option::is_none);
        let (mut drawn, mut troubles) = (Vec::new(), Vec::new());
        for result in results.into_iter().flatten() {
            match result {
                Ok(figure) => drawn.push(figure),
                Err(trouble) => troubles.push(trouble),
            }
        }
        if left_out > 0 {
            troubles.push(format!(
                "{left_out} figures of single states were left out; `--large` draws them too"
            ));
        }
        Gallery { drawn, troubles, interrupted }
    }

    fn context(self) -> FigureContext<'a> {
        FigureContext { case_title: &self.case.title, units: self.case.units }
    }

    fn holes(self) -> &'a [Hole] {
        &self.case.job.plate.holes
    }

    /// Residual hoop stress over the plate and close to each hole, the last state first.
    fn fields(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let (context, holes) = (self.context(), self.holes());
        let both = self.stages.iter().zip(self.snapshots).rev();
        let residual = both.filter(|(_, snapshot)| !snapshot.loaded);
        for (place, (stage, _)) in residual.enumerate() {
            let ranks = if place == 0 { [Rank::Answer, Rank::Hole] } else { [Rank::Earlier; 2] };
            jobs.push((
                ranks[0],
                Box::new(move || {
                    let figure = hoop_contour(stage, holes, MeshLines::Hidden, context, folder)?;
                    Ok((figure, format!("Residual hoop stress over the plate, {}", stage.heading)))
                }),
            ));
            for (index, hole) in holes.iter().enumerate() {
                jobs.push((
                    ranks[1],
                    Box::new(move || {
                        let lines = MeshLines::Hidden;
                        let figure = hoop_closeup(stage, holes, index, lines, context, folder)?;
                        let (name, heading) = (&hole.name, &stage.heading);
                        Ok((
                            figure,
                            format!("Residual hoop stress close to hole {name}, {heading}"),
                        ))
                    }),
                ));
            }
        }
    }

    /// Hoop stress along the paths of each hole, with closed forms and the band of the hardening law.
    fn paths(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let (stages, measured) = (self.stages, self.case.measured.as_slice());
        for hole in self.holes().iter().filter(|_| !stages.is_empty()) {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let of_hole = self.forms.iter().filter(|of_hole| of_hole.hole == hole.name);
                    let overlays: Vec<Overlay> = of_hole
                        .flat_map(|of_hole| overlays(of_hole, stages, &drawn_stages(stages, hole)))
                        .collect();
                    let bands = bands(self.bounds, hole);
                    let beside = PathChart {
                        overlays: &overlays,
                        bands: &bands,
                        measured,
                        ..PathChart::default()
                    };
                    let figure = hoop_paths(stages, hole, &beside, self.context(), folder)?;
                    let mut caption =
                        format!("Hoop stress against distance from the edge of hole {}", hole.name);
                    if !overlays.is_empty() {
                        caption += ", with the closed form of the same state laid over";
                    }
                    if !measured.is_empty() {
                        caption += "; markers are measured points";
                    }
                    if !bands.is_empty() {
                        caption += "; the grey area is what the hardening law leaves open";
                    }
                    Ok((figure, caption))
                }),
            ));
        }
    }

    fn services(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        for service in self.services {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let figure = service_reversals(service, self.context(), folder)?;
                    Ok((figure, format!("Edge hoop stress at every reversal, {}", service.stage)))
                }),
            ));
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let figure = service_loop(service, self.context(), folder)?;
                    Ok((figure, format!("Edge hoop stress against load, {}", service.stage)))
                }),
            ));
        }
    }

    /// Forces along every doubler under the last load, and hoop stress over both sheets then.
    fn joints(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let context = self.context();
        let states = self.stages.iter().zip(self.snapshots).rev();
        let loaded = states.filter(|(_, snapshot)| !snapshot.finished);
        let Some((stage, snapshot)) =
            loaded.into_iter().find(|(_, snapshot)| !snapshot.joint_readings.is_empty())
        else {
            return;
        };
        for joint in &snapshot.joint_readings {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let words = [snapshot.label.as_str(), snapshot.heading.as_str()];
                    let figure = joint_forces(joint, words, context, folder)?;
                    Ok((figure, format!("Forces along doubler {}, {}", joint.doubler, words[1])))
                }),
            ));
        }
        let load = |of: &Snapshot| self.case.job.stages.get(of.stage - 1).and_then(Stage::load);
        // The same load before there was a doubler.
        let bare = self.stages.iter().zip(self.snapshots).rev().find(|(_, other)| {
            !other.finished && other.joint_readings.is_empty() && load(other) == load(snapshot)
        });
        for (hole, (bare, _)) in
            self.holes().iter().filter_map(|hole| bare.map(|bare| (hole, bare)))
        {
            jobs.push((
                Rank::Hole,
                Box::new(move || {
                    let figure = hoop_with_doubler([bare, stage], hole, context, folder)?;
                    let name = &hole.name;
                    Ok((
                        figure,
                        format!(
                            "Hoop stress from hole {name} under load, with a doubler and without"
                        ),
                    ))
                }),
            ));
        }
        let own = format!("{}-", snapshot.label);
        let sheets = self.sheets.iter().filter(move |sheet| sheet.stage.label.starts_with(&own));
        let all = sheets.map(|sheet| (&sheet.stage, &sheet.holes[..]));
        for (stage, holes) in std::iter::once((stage, self.holes())).chain(all) {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let figure = hoop_contour(stage, holes, MeshLines::Hidden, context, folder)?;
                    Ok((figure, format!("Hoop stress about the nearest hole, {}", stage.heading)))
                }),
            ));
        }
    }

    /// Change of thickness along the paths of each hole of a sheet.
    fn thicknesses(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let sheet = self.case.job.idealisation == Idealisation::PlaneStress;
        for hole in self.holes().iter().filter(|_| sheet && !self.stages.is_empty()) {
            jobs.push((
                Rank::Hole,
                Box::new(move || {
                    let figure = thickness_paths(self.stages, hole, self.context(), folder)?;
                    Ok((figure, format!("Change of the thickness near hole {}", hole.name)))
                }),
            ));
        }
    }

    /// Contact pressure against expansion, for each expansion.
    fn expansions(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let growing = self.history.iter().filter(|record| record.phase == Phase::Expand);
        let mut labels: Vec<&str> = growing.map(|record| record.stage.as_str()).collect();
        labels.dedup();
        for label in labels {
            jobs.push((
                Rank::Hole,
                Box::new(move || {
                    let figure = pressure_history(self.history, label, self.context(), folder)?;
                    Ok((figure, format!("Contact pressure against expansion, {label}")))
                }),
            ));
        }
    }

    /// Pressure round the fit of every bush, at the end of every stage.
    fn fits(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let Some(last) = self.snapshots.last() else { return };
        let symmetry = last.mesh.symmetry;
        for number in 0..last.mated.len() {
            jobs.push((
                Rank::Answer,
                Box::new(move || {
                    let both = self.stages.iter().zip(self.snapshots);
                    let ends = both.filter(|(_, snapshot)| snapshot.finished);
                    let read: Vec<(&StageResult, BushSummary)> = ends
                        .filter_map(|(stage, snapshot)| {
                            let mut all = bushes(snapshot, &self.case.job, stage);
                            (number < all.len()).then(|| (stage, all.swap_remove(number)))
                        })
                        .collect();
                    let states: Vec<FitState<'_>> = (read.iter())
                        .map(|(stage, bush)| (stage.heading.as_str(), stage.loaded, bush))
                        .collect();
                    let figure = fit_pressure(&states, symmetry, self.context(), folder)?;
                    let name = states.first().map_or("", |state| state.2.name.as_str());
                    Ok((figure, format!("Contact pressure between bush {name} and its hole")))
                }),
            ));
        }
    }

    /// Pressure round the hole, plastic zones and deformed outline of every state.
    fn states(self, folder: &'a Path, jobs: &mut Jobs<'a>) {
        let (context, holes) = (self.context(), self.holes());
        for (stage, snapshot) in self.stages.iter().zip(self.snapshots) {
            if !snapshot.tools.is_empty() {
                jobs.push((
                    Rank::Earlier,
                    Box::new(move || {
                        let figure = contact_pressure_round_hole(stage, holes, context, folder)?;
                        Ok((figure, "Contact pressure round the hole at full size".to_owned()))
                    }),
                ));
            }
            if snapshot.finished {
                for (index, hole) in holes.iter().enumerate() {
                    jobs.push((
                        Rank::Earlier,
                        Box::new(move || {
                            let figure = plastic_zones(stage, holes, index, context, folder)?;
                            let (name, heading) = (&hole.name, &stage.heading);
                            Ok((figure, format!("Yielded metal round hole {name}, {heading}")))
                        }),
                    ));
                }
            }
            jobs.push((
                Rank::Earlier,
                Box::new(move || {
                    let figure = deformed_outline(stage, holes, context, folder)?;
                    Ok((figure, format!("Displaced outline, magnified, {}", stage.heading)))
                }),
            ));
        }
    }
}
