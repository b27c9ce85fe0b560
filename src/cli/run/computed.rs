//! Everything that a run has computed, read and written.

use std::path::Path;
use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::cli::convergence::{self, Watchful};
use crate::cli::drawing::case_drawing;
use crate::cli::exit::CliError;
use crate::cli::figures::{Gallery, SheetResult, Subject};
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
use crate::result::read::read;
use crate::result::summary::MeshSummary;
use crate::study::companions::Companions;
use crate::study::reading::RunReading;

/// A run that has ended, one way or another.
pub(super) struct Computed<'a> {
    pub(super) case: &'a Case,
    /// The case file.
    pub(super) path: &'a Path,
    pub(super) mesh: MeshSummary,
    pub(super) snapshots: Vec<Snapshot>,
    pub(super) history: Vec<HistoryRecord>,
    /// Solutions beside it; empty when not asked for.
    pub(super) companions: Companions,
    pub(super) ending: Result<Ending, StageFailure>,
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
        let reading = self.read(folder)?;
        clock.lap("fields and paths");
        let sheets = self.read_sheets(folder)?;
        let subject = Subject {
            case,
            sheets: &sheets,
            snapshots: &self.snapshots,
            stages: &reading.stages,
            history: &self.history,
            forms: &reading.forms,
            services: &reading.services,
            bounds: &reading.bounds.paths,
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
        let told = [reading.warnings.clone(), troubles].concat();
        told[case.warnings.len()..].iter().for_each(|warning| warn(warning));
        let outcome = if interrupted { Outcome::Interrupted } else { Outcome::of(&self.ending) };
        let report = RunReport {
            record,
            drawing: drawing.as_ref(),
            mesh: Some(&self.mesh),
            idealisations: &self.companions.idealisations.states,
            history: &self.history,
            warnings: &told,
            ..RunReport::of(case, self.path, &reading, outcome)
        };
        write::rest(folder, &report, &reading.stages, &figures)?;
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

    /// Fields of the doublers in every snapshot that has some, each with the holes of its sheet; written at once.
    fn read_sheets(&self, folder: &ResultsFolder) -> Result<Vec<SheetResult>, CliError> {
        let job = &self.case.job;
        let mut sheets = Vec::new();
        for snapshot in &self.snapshots {
            for (own, alone) in snapshot.doublers_alone(job) {
                let (mut stage, _) = read(&alone, &own, &[])?;
                stage.label = format!("{}-{}", snapshot.label, alone.heading);
                stage.heading = format!("doubler {}, {}", alone.heading, snapshot.heading);
                write::fields(folder, &stage, &own.plate.holes, self.case.units)?;
                sheets.push(SheetResult { holes: own.plate.holes, stage });
            }
        }
        Ok(sheets)
    }

    /// Every snapshot as fields and numbers; fields are written at once, those of the last state in
    /// equilibrium before a failure too.
    fn read(&self, folder: &ResultsFolder) -> Result<RunReading, CliError> {
        let case = self.case;
        let holes = &case.job.plate.holes;
        let work = (&self.snapshots[..], &self.history[..]);
        let reading = RunReading::new(case, work, &self.companions, |stage| {
            write::fields(folder, stage, holes, case.units).map_err(CliError::from)
        })?;
        if let Err(StageFailure { last_good: Some(last), .. }) = &self.ending {
            let (stage, _) = read(last, &case.job, &case.path_angles)?;
            write::fields(folder, &stage, holes, case.units)?;
        }
        Ok(reading)
    }
}
