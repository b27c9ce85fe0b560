//! The finished stages of a case, for commands that go on from them.

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::cli::args::{Run, Threads};
use crate::cli::check::beside;
use crate::cli::exit::CliError;
use crate::cli::output::tell;
use crate::cli::progress::use_threads;
use crate::cli::resume::{Fingerprints, stored_in};
use crate::cli::{run, warn};
use crate::process::snapshot::Snapshot;

/// Stages of a case, or how the run that should make them ended.
pub(crate) enum Finished {
    /// All of them.
    Stages(Vec<Snapshot>),
    /// There are none; the run has said why.
    Ended(ExitCode),
}

/// Takes the stages from the results of `hoopset run`; where those are missing, old or incomplete, or with
/// `fresh`, the run is made first, as that command makes it.
pub(crate) fn finished(
    case: &Case,
    path: &Path,
    (threads, fresh): (Threads, bool),
    stop: &Arc<AtomicBool>,
) -> Result<Finished, CliError> {
    let results = beside(path, "results");
    let fingerprints = Fingerprints::new(case);
    let whole = |snapshots: &Vec<Snapshot>| {
        snapshots.last().is_some_and(|last| last.finished && last.stage == case.job.stages.len())
    };
    let read =
        || Some(stored_in(std::slice::from_ref(&results), &fingerprints, &case.job)).filter(whole);
    if let Some(snapshots) = (!fresh).then(read).flatten() {
        tell!("taking the stages from `{}`; --fresh computes them anew", results.display());
        case.warnings.iter().for_each(|warning| warn(warning));
        use_threads(threads)?;
        return Ok(Finished::Stages(snapshots));
    }
    let run = Run { case: Some(path.to_owned()), threads, fresh, ..Run::default() };
    let code = run::run_until(&run, stop)?;
    Ok(read().map_or(Finished::Ended(code), Finished::Stages))
}
