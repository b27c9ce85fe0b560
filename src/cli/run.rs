//! `hoopset run`: a case from file to results folder.
//!
//! Floor 9, `cli`.

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use crate::case::{self, Case};
use crate::cli::args::Run;
use crate::cli::check::{beside, mesh_summary};
use crate::cli::convergence::{self, Watchful};
use crate::cli::error::CliError;
use crate::cli::figures;
use crate::cli::plain::{self, Plain};
use crate::cli::progress::{Progress, interrupt_flag};
use crate::cli::resume::{Fingerprints, store, stored};
use crate::cli::warn;
use crate::material::bracket::{purely_isotropic, purely_kinematic};
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer, Sequence, StageFailure};
use crate::process::snapshot::Snapshot;
use crate::report::folder::ResultsFolder;
use crate::report::page::figure::Figure as PageFigure;
use crate::report::run::{Outcome, RunReport};
use crate::report::{csv, table, write};
use crate::result::closed_form::closed_forms;
use crate::result::read::read;
use crate::result::service::services;
use crate::result::summary::{BracketSummary, MeshSummary};
use crate::result::warnings::warnings;
use crate::solver::system::Times;

/// Exit code of an interrupted run: 128 plus the number of the interrupt signal, as shells
/// have it.
pub(crate) const INTERRUPTED: u8 = 130;

/// Name of the demonstration case, hence `demo-results`.
const DEMO_FILE: &str = "demo.toml";

pub(crate) fn run(arguments: &Run) -> Result<ExitCode, CliError> {
    run_until(arguments, &interrupt_flag())
}

/// The same, stopped by a flag that is there already.
pub(crate) fn run_until(
    arguments: &Run,
    stop: &std::sync::Arc<AtomicBool>,
) -> Result<ExitCode, CliError> {
    let mut clock = Clock::new();
    let (case, path) = match &arguments.case {
        Some(path) => (case::read(path)?, path.clone()),
        None => (case::parse(case::DEMO, DEMO_FILE)?, PathBuf::from(DEMO_FILE)),
    };
    if arguments.convergence && case.imported.is_some() {
        return Err(CliError::Unrefinable);
    }
    case.warnings.iter().for_each(|warning| warn(warning));
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&path, "results"));
    let fingerprints = Fingerprints::new(&case);
    // The plate must mesh before the results folder is touched.
    let fresh = case.sequence(case.job.clone())?;
    let mesh = mesh_summary(fresh.mesh());
    clock.lap("mesh and set-up");
    let folder = ResultsFolder::create(&target)?;

    let mut watch = Watch {
        folder: &folder,
        fingerprints: &fingerprints,
        case: &case,
        progress: Progress::new(&case.job),
        stop: std::sync::Arc::clone(stop),
        snapshots: Vec::new(),
        history: Vec::new(),
        trouble: None,
    };
    let earlier =
        if arguments.fresh { Vec::new() } else { stored(&folder, &fingerprints, &case.job) };
    let mut sequence = take_up(fresh, earlier, &case, &target, &mut watch)?;
    let ending = sequence.run(&mut watch);
    clock.stages(sequence.system().times);
    watch.progress.say("reading results");
    let Watch { snapshots, history, trouble, progress, stop, .. } = watch;
    if let Some(trouble) = trouble {
        return Err(trouble);
    }
    let bracket = match &ending {
        Ok(Ending::Done) if case.bracket => {
            progress.say("bounding hardening laws");
            bracket(&case, &stop)?
        }
        _ => Vec::new(),
    };
    clock.lap("bounding laws");
    let plain = match &ending {
        Ok(Ending::Done) if case.plain_hole => {
            progress.say("plain hole");
            plain::solve(&case, &stop)?
        }
        _ => Plain::default(),
    };
    clock.lap("plain hole");
    progress.say("writing results");
    let study = arguments.convergence.then(|| Watchful { stop: &stop, fresh: arguments.fresh });
    let cut_short = write_all(
        &case, &path, &folder, &mesh, &snapshots, &history, &bracket, &plain, &ending, &progress,
        study, &mut clock,
    )?;
    let kept = folder.finish()?;
    clock.print();
    println!("results: {}", kept.display());
    match ending {
        Ok(Ending::Done) if cut_short => {
            warn(
                "interrupted: the results are complete, the convergence study is not; the same command goes on",
            );
            Ok(ExitCode::from(INTERRUPTED))
        }
        Ok(Ending::Done) => Ok(ExitCode::SUCCESS),
        Ok(Ending::Interrupted) => {
            warn("interrupted: the same command goes on from the last finished stage");
            Ok(ExitCode::from(INTERRUPTED))
        }
        Err(failure) => {
            Err(CliError::Stage { stage: failure.stage, error: Box::new(failure.error), kept })
        }
    }
}

/// Limits the threads, when asked.
pub(crate) fn use_threads(threads: Option<u16>) -> Result<(), CliError> {
    let Some(threads) = threads else { return Ok(()) };
    rayon::ThreadPoolBuilder::new()
        .num_threads(usize::from(threads))
        .build_global()
        .map_err(CliError::Threads)
}

/// Starts from the snapshots of an earlier run of the same work, when there are any.
fn take_up(
    fresh: Sequence,
    earlier: Vec<Snapshot>,
    case: &Case,
    target: &Path,
    watch: &mut Watch<'_>,
) -> Result<Sequence, CliError> {
    let Some(last) = earlier.last().cloned() else { return Ok(fresh) };
    eprintln!(
        "taking {} finished stage(s) from `{}`; --fresh computes them anew",
        last.stage,
        target.display()
    );
    watch.history.clone_from(&last.history);
    for snapshot in earlier {
        watch.keep(snapshot);
    }
    Ok(Sequence::resume(case.job.clone(), last)?)
}

/// Reads all snapshots, writes every file and prints the answer; then the convergence study, when
/// it is asked for and the case is done. Whether that was interrupted.
#[allow(clippy::too_many_arguments)]
fn write_all(
    case: &Case,
    path: &Path,
    folder: &ResultsFolder,
    mesh: &MeshSummary,
    snapshots: &[Snapshot],
    history: &[HistoryRecord],
    bracket: &[BracketSummary],
    plain: &Plain,
    ending: &Result<Ending, StageFailure>,
    progress: &Progress,
    study: Option<Watchful<'_>>,
    clock: &mut Clock,
) -> Result<bool, CliError> {
    let holes = &case.job.plate.holes;
    let mut stages = Vec::new();
    let mut summaries = Vec::new();
    for snapshot in snapshots {
        let (stage, summary) = read(snapshot, &case.job, &case.path_angles)?;
        write::fields(folder, &stage, holes, case.units)?;
        stages.push(stage);
        summaries.push(summary);
    }
    if let Err(StageFailure { last_good: Some(last), .. }) = ending {
        let (stage, _) = read(last, &case.job, &case.path_angles)?;
        write::fields(folder, &stage, holes, case.units)?;
    }
    clock.lap("fields and paths");
    let forms = closed_forms(&case.job, snapshots, &stages);
    let reference = plain.solved.as_ref().map(|(snapshot, job)| (snapshot, job));
    let services = snapshots
        .last()
        .map(|last| services(last, &case.job, &case.path_angles, reference))
        .unwrap_or_default();
    let figures_folder = folder.subfolder("figures")?;
    let (drawn, troubles) =
        figures::draw(case, snapshots, &stages, history, &forms, &services, &figures_folder);
    let mut figures = drawn
        .into_iter()
        .map(|drawn| PageFigure::read(&drawn.picture, drawn.caption))
        .collect::<Result<Vec<_>, _>>()?;
    clock.lap("figures");
    let mut told = case.warnings.clone();
    let plastic = history.iter().map(|r| r.largest_plastic_strain).fold(0.0, f64::max);
    let broken = snapshots.last().map_or(&[][..], |last| &last.break_throughs);
    let found = warnings(&case.job, &summaries, plastic, broken);
    told.extend(found.into_iter().chain(plain.trouble.clone()).chain(troubles));
    told[case.warnings.len()..].iter().for_each(|warning| warn(warning));
    let outcome = match ending {
        Ok(Ending::Done) => Outcome::Done,
        Ok(Ending::Interrupted) => Outcome::Interrupted,
        Err(failure) => Outcome::Failed {
            message: format!("stage {}: {}", failure.stage, failure.error),
            hint: failure.error.hint(),
        },
    };
    let report = RunReport {
        title: &case.title,
        case_file: &path.to_string_lossy(),
        case_text: &case.text,
        case_sha256: &case.sha256,
        units: case.units,
        job: &case.job,
        material_name: &case.material_name,
        material_sources: &case.material_sources,
        mesh: Some(mesh),
        stages: &summaries,
        bracket,
        closed_forms: &forms,
        service: &services,
        convergence: None,
        history,
        outcome,
        warnings: &told,
    };
    write::rest(folder, &report, &stages, &figures)?;
    clock.lap("tables and page");
    progress.finish();
    println!("{}", table::answer(&report));
    let study = study.filter(|_| matches!(ending, Ok(Ending::Done)));
    let finished = match study {
        Some(watchful) => {
            let finished = convergence::study(case, &report, &mut figures, folder, watchful)?;
            clock.lap("convergence study");
            finished
        }
        None => true,
    };
    write::timings(folder, &clock.laps)?;
    Ok(!finished)
}

/// The last state of the same work under the two bounding hardening laws.
fn bracket(case: &Case, stop: &AtomicBool) -> Result<Vec<BracketSummary>, CliError> {
    let (kinematic, misfit) = purely_kinematic(&case.job.material);
    let bounds = [
        ("isotropic", purely_isotropic(&case.job.material), 0.0),
        ("kinematic", kinematic, misfit),
    ];
    let solve = |(name, material, curve_misfit): (&str, _, f64)| {
        let job = Job { material, ..case.job.clone() };
        let mut last = LastOnly { stop, snapshot: None };
        let mut sequence = case.sequence(job.clone())?;
        // A bound that cannot be computed is left out; the case itself has been.
        if sequence.run(&mut last).is_err() {
            return Ok(None);
        }
        let Some(snapshot) = last.snapshot else { return Ok(None) };
        let (_, summary) = read(&snapshot, &job, &case.path_angles)?;
        Ok(Some(BracketSummary { hardening: name.to_owned(), paths: summary.paths, curve_misfit }))
    };
    let [isotropic, kinematic] = bounds;
    let (isotropic, kinematic): (Result<_, CliError>, Result<_, CliError>) =
        rayon::join(|| solve(isotropic), || solve(kinematic));
    Ok([isotropic?, kinematic?].into_iter().flatten().collect())
}

/// Writes what a run produces as it goes on.
struct Watch<'a> {
    folder: &'a ResultsFolder,
    fingerprints: &'a Fingerprints,
    case: &'a Case,
    progress: Progress,
    stop: std::sync::Arc<AtomicBool>,
    snapshots: Vec<Snapshot>,
    history: Vec<HistoryRecord>,
    trouble: Option<CliError>,
}

impl Watch<'_> {
    fn keep(&mut self, snapshot: Snapshot) {
        if let Err(error) = store(self.folder, self.fingerprints, &snapshot) {
            self.trouble.get_or_insert(error);
        }
        self.snapshots.push(snapshot);
    }

    fn flow(&self) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) || self.trouble.is_some() {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

impl Observer for Watch<'_> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        self.progress.increment(record);
        self.history.push(record.clone());
        let rows = csv::history(&self.history, self.case.units);
        if let Err(error) = self.folder.write("history.csv", rows.as_bytes()) {
            self.trouble.get_or_insert(error.into());
        }
        self.flow()
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.keep(snapshot);
        self.flow()
    }
}

/// Keeps the last snapshot.
pub(crate) struct LastOnly<'a> {
    pub(crate) stop: &'a AtomicBool,
    pub(crate) snapshot: Option<Snapshot>,
}

impl Observer for LastOnly<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.snapshot = Some(snapshot);
        ControlFlow::Continue(())
    }
}

/// Seconds of each part of a run.
struct Clock {
    last: Instant,
    laps: Vec<(&'static str, f64)>,
}

impl Clock {
    fn new() -> Self {
        Self { last: Instant::now(), laps: Vec::new() }
    }

    fn lap(&mut self, name: &'static str) {
        self.laps.push((name, self.last.elapsed().as_secs_f64()));
        self.last = Instant::now();
    }

    /// The stages, with their three largest parts apart.
    fn stages(&mut self, times: Times) {
        let all = self.last.elapsed().as_secs_f64();
        let rest = all - times.assembly - times.factorization - times.solution;
        self.laps.extend([
            ("assembly", times.assembly),
            ("factorization", times.factorization),
            ("solution", times.solution),
            ("rest of the stages", rest.max(0.0)),
        ]);
        self.last = Instant::now();
    }

    fn print(&self) {
        let parts: Vec<String> =
            self.laps.iter().map(|(name, seconds)| format!("{name} {seconds:.2} s")).collect();
        println!("time: {}", parts.join(", "));
    }
}
