//! Everything that a run has computed, read and written.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::cli::convergence::{self, Watchful};
use crate::cli::drawing::case_drawing;
use crate::cli::exit::CliError;
use crate::cli::figures::{Gallery, Subject};
use crate::cli::progress::Progress;
use crate::cli::run::clock::Clock;
use crate::cli::warn;
use crate::process::history::HistoryRecord;
use crate::process::sequence::{Ending, StageFailure};
use crate::process::snapshot::Snapshot;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure;
use crate::report::record::Record;
use crate::report::run::{Outcome, RunReport};
use crate::report::{table, write};
use crate::result::closed_form::closed_forms;
use crate::result::measured::{Agreement, compare};
use crate::result::read::read;
use crate::result::service_summary::services;
use crate::result::stage::StageResult;
use crate::result::summary::{IdealisationSummary, MeshSummary, StageSummary};
use crate::result::warnings::warnings;
use crate::study::bracket::ReadBounds;
use crate::study::plain_hole::PlainHole;

/// A run that has ended, one way or another.
pub(super) struct Computed<'a> {
    pub(super) case: &'a Case,
    /// The case file.
    pub(super) path: &'a Path,
    pub(super) mesh: MeshSummary,
    pub(super) snapshots: Vec<Snapshot>,
    pub(super) history: Vec<HistoryRecord>,
    /// Last state under the bounding hardening laws; empty when not asked for.
    pub(super) bracket: ReadBounds,
    /// Last state in the other idealisations; empty when not asked for.
    pub(super) idealisations: Vec<IdealisationSummary>,
    pub(super) plain: PlainHole,
    pub(super) ending: Result<Ending, StageFailure>,
    /// Warnings about studies that belong to the run.
    pub(super) troubles: Vec<String>,
}

/// Where a run is written to, and what goes along with the writing.
pub(super) struct Outlet<'a> {
    pub(super) folder: &'a ResultsFolder,
    pub(super) progress: &'a Progress,
    /// How the convergence study is watched over, when one is asked for.
    pub(super) study: Option<Watchful<'a>>,
    /// Whether every figure is drawn, however many.
    pub(super) all_figures: bool,
    /// Raised when the user wants the run to end.
    pub(super) stop: &'a AtomicBool,
    pub(super) clock: &'a mut Clock,
    /// Number, revision and date of the report.
    pub(super) record: Record,
}

/// A run whose files are written.
pub(super) struct Written {
    /// The answer in words, to be printed once the folder stands.
    pub(super) answer: String,
    /// Whether the figures or the convergence study were interrupted.
    pub(super) cut_short: bool,
}

impl Computed<'_> {
    /// Reads all snapshots and writes every file; then the convergence study, when it is asked for
    /// and the case is done.
    pub(super) fn write(&self, outlet: Outlet<'_>) -> Result<Written, CliError> {
        let Outlet { folder, progress, study, all_figures, stop, clock, record } = outlet;
        let case = self.case;
        let (stages, summaries) = self.read(folder)?;
        clock.lap("fields and paths");
        let residual = stages.iter().zip(&summaries).rev().find(|(_, summary)| !summary.loaded);
        let measured: Vec<Agreement> = residual.map_or_else(Vec::new, |(stage, _)| {
            case.measured.iter().map(|measured| compare(measured, &stage.paths)).collect()
        });
        let forms = closed_forms(&case.job, &self.snapshots, &stages);
        let services = self.snapshots.last().map_or_else(Vec::new, |last| {
            services(last, &case.job, &case.path_angles, self.plain.solved())
        });
        let subject = Subject {
            case,
            snapshots: &self.snapshots,
            stages: &stages,
            history: &self.history,
            forms: &forms,
            services: &services,
            bounds: &self.bracket.paths,
        };
        let Gallery { drawn, mut troubles, interrupted } =
            subject.draw(&folder.subfolder("figures")?, all_figures, stop);
        let mut figures = drawn
            .into_iter()
            .map(|drawn| Figure::read(&drawn.picture, drawn.caption))
            .collect::<Result<Vec<_>, _>>()?;
        let drawing = match case_drawing(case, folder) {
            Ok(drawing) => Some(drawing),
            Err(error) => {
                troubles.push(format!("a figure is missing: {error}"));
                None
            }
        };
        clock.lap("figures");
        let told = self.warnings(&summaries, troubles);
        told[case.warnings.len()..].iter().for_each(|warning| warn(warning));
        let report = RunReport {
            title: &case.title,
            record,
            drawing: drawing.as_ref(),
            case_file: &self.path.to_string_lossy(),
            case_text: &case.text,
            case_sha256: &case.sha256,
            units: case.units,
            job: &case.job,
            material_name: &case.material_name,
            material_sources: &case.material_sources,
            mesh: Some(&self.mesh),
            stages: &summaries,
            bracket: &self.bracket.summaries,
            idealisations: &self.idealisations,
            measured: &measured,
            closed_forms: &forms,
            service: &services,
            convergence: None,
            history: &self.history,
            outcome: if interrupted { Outcome::Interrupted } else { self.outcome() },
            warnings: &told,
        };
        write::rest(folder, &report, &stages, &figures)?;
        clock.lap("tables and page");
        progress.finish();
        let mut answer = table::answer(&report);
        let study = study.filter(|_| report.complete());
        let mut cut_short = interrupted;
        if let Some(watchful) = study {
            match convergence::study(case, &report, &mut figures, folder, watchful)? {
                Some(words) => answer = format!("{answer}\n{words}"),
                None => cut_short = true,
            }
            clock.lap("convergence study");
        }
        write::timings(folder, clock.laps())?;
        Ok(Written { answer, cut_short })
    }

    /// Every snapshot as fields and numbers; fields are written at once, those of the last state in
    /// equilibrium before a failure too.
    fn read(
        &self,
        folder: &ResultsFolder,
    ) -> Result<(Vec<StageResult>, Vec<StageSummary>), CliError> {
        let case = self.case;
        let holes = &case.job.plate.holes;
        let (mut stages, mut summaries) = (Vec::new(), Vec::new());
        for snapshot in &self.snapshots {
            let (stage, summary) = read(snapshot, &case.job, &case.path_angles)?;
            write::fields(folder, &stage, holes, case.units)?;
            stages.push(stage);
            summaries.push(summary);
        }
        if let Err(StageFailure { last_good: Some(last), .. }) = &self.ending {
            let (stage, _) = read(last, &case.job, &case.path_angles)?;
            write::fields(folder, &stage, holes, case.units)?;
        }
        Ok((stages, summaries))
    }

    /// Warnings of the case, then those of its results.
    fn warnings(&self, summaries: &[StageSummary], troubles: Vec<String>) -> Vec<String> {
        let plastic = self.history.iter().map(|r| r.largest_plastic_strain).fold(0.0, f64::max);
        let broken = self.snapshots.last().map_or(&[][..], |last| &last.break_throughs);
        let mut told = self.case.warnings.clone();
        told.extend(warnings(&self.case.job, summaries, plastic, broken));
        told.extend(self.troubles.iter().cloned());
        told.extend(self.plain.trouble().map(str::to_owned));
        told.extend(troubles);
        told
    }

    fn outcome(&self) -> Outcome {
        match &self.ending {
            Ok(Ending::Done) => Outcome::Done,
            Ok(Ending::Interrupted) => Outcome::Interrupted,
            Err(failure) => Outcome::Failed {
                message: format!("stage {}: {}", failure.stage, failure.error),
                hint: failure.error.hint(),
            },
        }
    }
}
