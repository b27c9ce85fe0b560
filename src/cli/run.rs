//! `hoopset run`: a case from file to results folder.

mod clock;
mod computed;
mod watch;

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::case::{self, Case};
use crate::cli::args::Run;
use crate::cli::check::{beside, life_checked};
use crate::cli::convergence::Watchful;
use crate::cli::exit::{CliError, INTERRUPTED};
use crate::cli::output::{say, tell};
use crate::cli::progress::{Progress, interrupt_flag, use_threads};
use crate::cli::resume::{Fingerprints, KeptStates, stored};
use crate::cli::run::clock::Clock;
use crate::cli::run::computed::{Computed, Outlet, Written};
use crate::cli::run::watch::Watch;
use crate::cli::warn;
use crate::process::sequence::{Ending, Sequence};
use crate::process::snapshot::Snapshot;
use crate::report::folder::ResultsFolder;
use crate::result::summary::MeshSummary;
use crate::study::companions::{Companion, Companions};
use crate::study::effort::effort;
use crate::study::last_state::Shelf;

/// Name of the demonstration case, hence `demo-results`.
const DEMO_FILE: &str = "demo.toml";

pub(crate) fn run(arguments: &Run) -> Result<ExitCode, CliError> {
    run_with(arguments, interrupt_flag)
}

/// The same, stopped by a flag that is there already.
pub(crate) fn run_until(arguments: &Run, stop: &Arc<AtomicBool>) -> Result<ExitCode, CliError> {
    run_with(arguments, || Arc::clone(stop))
}

/// The case that a run is asked for, and where it stands; tells its warnings.
fn named_case(arguments: &Run) -> Result<(Case, PathBuf), CliError> {
    let (case, path) = match &arguments.case {
        Some(path) => (case::read(path)?, path.clone()),
        None => (case::parse(case::DEMO, DEMO_FILE)?, PathBuf::from(DEMO_FILE)),
    };
    life_checked(&case, &path)?;
    if arguments.convergence && case.imported.is_some() {
        return Err(CliError::Unrefinable);
    }
    case.warnings.iter().for_each(|warning| warn(warning));
    Ok((case, path))
}

/// Rejects a run beyond the stated limits, unless it was asked for.
fn check_effort(case: &Case, unknowns: usize, asked_for: bool) -> Result<(), CliError> {
    let expected = effort(case, unknowns);
    if expected.is_large() && !asked_for { Err(CliError::Large(expected)) } else { Ok(()) }
}

/// Runs a case. `listen` is called once there is something to keep: until then, while the plate is
/// meshed, a signal ends the program as it ends any other.
fn run_with(
    arguments: &Run,
    listen: impl FnOnce() -> Arc<AtomicBool>,
) -> Result<ExitCode, CliError> {
    let mut clock = Clock::new();
    let (case, path) = named_case(arguments)?;
    use_threads(arguments.threads)?;
    let target = arguments.out.clone().unwrap_or_else(|| beside(&path, "results"));
    let fingerprints = Fingerprints::new(&case);
    // The plate must mesh before the results folder is touched.
    let fresh = case.sequence(case.job.clone())?;
    let mesh = MeshSummary::of(fresh.mesh());
    check_effort(&case, mesh.unknowns, arguments.large)?;
    clock.lap("mesh and set-up");
    let stop = &listen();
    let folder = ResultsFolder::create(&target)?;

    let mut watch = Watch {
        folder: &folder,
        fingerprints: &fingerprints,
        case: &case,
        progress: Progress::new(&case.job),
        stop: Arc::clone(stop),
        snapshots: Vec::new(),
        history: Vec::new(),
        logged: false,
        trouble: None,
    };
    let earlier =
        if arguments.fresh { Vec::new() } else { stored(&folder, &fingerprints, &case.job) };
    let mut sequence = take_up(fresh, earlier, &case, &target, &mut watch)?;
    let mut ending = sequence.run(&mut watch);
    clock.stages(sequence.system().times);
    watch.progress.say("reading results");
    let Watch { snapshots, history, trouble, progress, .. } = watch;
    if let Some(trouble) = trouble {
        return Err(trouble);
    }
    let companions = match &ending {
        Ok(Ending::Done) => {
            let shelf = KeptStates { folder: &folder, case: &case, fresh: arguments.fresh };
            beside_the_case(&case, stop, &shelf, (&progress, &mut clock))?
        }
        _ => Companions::default(),
    };
    if companions.interrupted {
        ending = Ok(Ending::Interrupted);
    }
    progress.say("writing results");
    let computed =
        Computed { case: &case, path: &path, mesh, snapshots, history, companions, ending };
    let study = arguments.convergence.then_some(Watchful { stop, fresh: arguments.fresh });
    let Written { answer, cut_short } = computed.write(Outlet {
        folder: &folder,
        progress: &progress,
        study,
        all_figures: arguments.large,
        stop,
        clock: &mut clock,
        record: arguments.paper.record(),
    })?;
    let kept = folder.finish()?;
    say!("{answer}");
    say!("{}", clock.line());
    say!("results: {}", kept.display());
    end(computed.ending, cut_short, kept)
}

/// Says how a run ended, in words and as an exit code.
fn end(
    ending: Result<Ending, crate::process::sequence::StageFailure>,
    cut_short: bool,
    kept: PathBuf,
) -> Result<ExitCode, CliError> {
    match ending {
        Ok(Ending::Done) if cut_short => {
            warn(
                "interrupted: every stage is done, the figures or the convergence study are not; the same command goes on",
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

/// Starts from the snapshots of an earlier run of the same work, when there are any.
fn take_up(
    fresh: Sequence,
    earlier: Vec<Snapshot>,
    case: &Case,
    target: &Path,
    watch: &mut Watch<'_>,
) -> Result<Sequence, CliError> {
    let Some(last) = earlier.last().cloned() else { return Ok(fresh) };
    tell!(
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

/// Solves what stands beside the case, as far as the case asks for it.
fn beside_the_case(
    case: &Case,
    stop: &AtomicBool,
    shelf: &dyn Shelf,
    (progress, clock): (&Progress, &mut Clock),
) -> Result<Companions, CliError> {
    let words = |one: Companion| match one {
        Companion::Bounds => ("bounding hardening laws", "bounding laws"),
        Companion::PlainHole => ("plain hole", "plain hole"),
        Companion::Idealisations => ("other idealisations", "other idealisations"),
    };
    let begins = |one| progress.say(words(one).0);
    Ok(Companions::solve(case, stop, shelf, begins, |one| clock.lap(words(one).1))?)
}
