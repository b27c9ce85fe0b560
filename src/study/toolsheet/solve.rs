//! One set of sizes, worked on the plate: expanded, released, reamed.

use std::ops::ControlFlow;

use crate::case::sheet::Sheet;
use crate::numeric::profile::Profile;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer, Sequence};
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::process::tool::{Centre, Tool};
use crate::result::read::read;
use crate::result::summary::{HoleSummary, PathSummary};
use crate::study::toolsheet::outputs::Output;
use crate::study::toolsheet::sheet_error::SheetError;
use crate::study::toolsheet::sizes::Sizes;

/// The hole after the tool has left, before the ream. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expanded {
    /// Retained expansion, fraction of the starting diameter.
    pub retained: f64,
    /// Mean diameter.
    pub mean: f64,
    /// Smallest diameter over all directions: what a plug feels.
    pub smallest: f64,
    /// Largest diameter over all directions.
    pub largest: f64,
}

/// Results of a set of sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The hole before the ream.
    pub expanded: Expanded,
    /// The path after the ream, in numbers.
    pub path: PathSummary,
    /// Residual hoop stress along it, MPa against mm.
    pub hoop: Profile,
}

impl Found {
    /// The value of `output`.
    #[must_use]
    pub fn get(&self, output: Output) -> Option<f64> {
        match output {
            Output::EdgeHoop => Some(self.path.edge_hoop),
            Output::PeakCompression => self.path.peak_compression.map(|peak| peak[0]),
            Output::Depth => self.path.compression_depth,
            Output::PeakTension => self.path.peak_tension.map(|peak| peak[0]),
            Output::Retained => Some(self.expanded.retained),
            Output::ExpandedDiameter => Some(self.expanded.mean),
        }
    }
}

/// The job of a set of sizes, without its ream when `finished` is `None`.
#[must_use]
pub(super) fn job(sheet: &Sheet, start: f64, tool: Tool, finished: Option<f64>) -> Job {
    let mut plate = sheet.plate.clone();
    plate.holes[0].starting_diameter = start;
    let ream = finished.map(|diameter| Stage::Ream { hole: 0, diameter, offset: [0.0; 2] });
    Job {
        plate,
        idealisation: sheet.idealisation,
        material: sheet.material.clone(),
        stages: [Stage::Expand { hole: 0, tool }].into_iter().chain(ream).collect(),
        numerics: sheet.numerics.clone(),
        supports: vec![],
        regions: vec![],
    }
}

pub(super) fn tool(sheet: &Sheet, mandrel_diameter: f64, sleeve_thickness: f64) -> Tool {
    Tool {
        mandrel_diameter,
        sleeve_thickness,
        split: None,
        elastic: sheet.elastic,
        centre: Centre::Floating,
        offset: [0.0; 2],
    }
}

/// Expands a hole of `start` mm by the fraction `expansion`, no ream.
///
/// # Errors
///
/// As [`solve`].
pub fn expand_only(
    sheet: &Sheet,
    start: f64,
    expansion: f64,
    progress: impl FnMut(f64) -> ControlFlow<()>,
) -> Result<Expanded, SheetError> {
    let job = job(sheet, start, tool(sheet, start * (1.0 + expansion), 0.0), None);
    let last = Follow::run(&job, "the first expansion", progress)?.pop();
    let (_, summary) = read(&last.ok_or(SheetError::Stopped)?, &job, &[])?;
    Ok(expanded(&summary.holes[0], start))
}

/// Works `sizes`.
///
/// # Errors
///
/// [`SheetError::Stage`] when a stage fails, [`SheetError::Stopped`], [`SheetError::Read`].
pub fn solve(
    sheet: &Sheet,
    sizes: &Sizes,
    what: &str,
    progress: impl FnMut(f64) -> ControlFlow<()>,
) -> Result<Found, SheetError> {
    let tool = tool(sheet, sizes.mandrel, sizes.sleeve);
    let job = job(sheet, sizes.start, tool, Some(sizes.finished));
    let snapshots = Follow::run(&job, what, progress)?;
    let [released, reamed] = snapshots.as_slice() else { return Err(SheetError::Stopped) };
    let extra = [sheet.path.into_iter().collect::<Vec<f64>>()];
    let (_, before) = read(released, &job, &extra)?;
    let (stage, after) = read(reamed, &job, &extra)?;
    let wanted = direction(sheet);
    let off = |angle: f64| {
        let turn = (angle - wanted).rem_euclid(360.0);
        turn.min(360.0 - turn)
    };
    let nearest = (0..after.paths.len())
        .min_by(|a, b| off(after.paths[*a].angle_deg).total_cmp(&off(after.paths[*b].angle_deg)))
        .ok_or(SheetError::Stopped)?;
    Ok(Found {
        expanded: expanded(&before.holes[0], sizes.start),
        path: after.paths[nearest].clone(),
        hoop: stage.paths[nearest].hoop(),
    })
}

/// Direction in which stresses are read, degrees.
#[must_use]
pub fn direction(sheet: &Sheet) -> f64 {
    sheet.path.unwrap_or_else(|| sheet.plate.nearest_edge(0).angle.to_degrees())
}

pub(super) fn expanded(hole: &HoleSummary, start: f64) -> Expanded {
    let retained = hole.retained_expansion.unwrap_or(f64::NAN);
    Expanded {
        retained,
        mean: start * (1.0 + retained),
        smallest: hole.smallest_diameter,
        largest: hole.largest_diameter,
    }
}

/// Keeps the snapshots at the ends of stages.
pub(super) struct Follow<P> {
    kept: Vec<Snapshot>,
    progress: P,
    phases: f64,
    done: f64,
    last: f64,
}

impl<P: FnMut(f64) -> ControlFlow<()>> Follow<P> {
    pub(super) fn run(job: &Job, what: &str, progress: P) -> Result<Vec<Snapshot>, SheetError> {
        let stage = |stage: &str, error| SheetError::Stage {
            what: what.to_owned(),
            stage: stage.to_owned(),
            error: Box::new(error),
        };
        let phases = job.stages.iter().map(Stage::phases).sum::<usize>() as f64;
        let mut follow = Self { kept: vec![], progress, phases, done: 0.0, last: 0.0 };
        if (follow.progress)(0.0).is_break() {
            return Err(SheetError::Stopped);
        }
        let mut sequence = Sequence::new(job.clone()).map_err(|error| stage("set-up", error))?;
        match sequence.run(&mut follow) {
            Ok(Ending::Done) => Ok(follow.kept),
            Ok(Ending::Interrupted) => Err(SheetError::Stopped),
            Err(failure) => Err(stage(&failure.stage, failure.error)),
        }
    }
}

impl<P: FnMut(f64) -> ControlFlow<()>> Observer for Follow<P> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        if record.share <= self.last {
            self.done += 1.0;
        }
        self.last = record.share;
        (self.progress)(((self.done + record.share) / self.phases).min(1.0))
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if snapshot.finished {
            self.kept.push(snapshot);
        }
        ControlFlow::Continue(())
    }
}
