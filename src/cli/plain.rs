//! The same part with holes that were never worked, under the same service loads.
//!
//! Floor 9, `cli`.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::cli::error::CliError;
use crate::cli::run::LastOnly;
use crate::process::job::Job;
use crate::process::plain::{NoPlain, plain_job};
use crate::process::sequence::Ending;
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;

/// What came of it.
#[derive(Debug, Default)]
pub(crate) struct Plain {
    /// The last state and the job it belongs to.
    pub(crate) solved: Option<(Snapshot, Job)>,
    /// Why there is none although there should be.
    pub(crate) trouble: Option<String>,
}

/// Runs the plain part, when the case has a service load and a worked hole.
pub(crate) fn solve(case: &Case, stop: &AtomicBool) -> Result<Plain, CliError> {
    let without = |why: String| {
        Ok(Plain {
            trouble: Some(format!("no plain hole to compare with: {why}")),
            ..Plain::default()
        })
    };
    let job = match plain_job(&case.job) {
        Ok(job) => job,
        Err(NoPlain::Nothing | NoPlain::NoService) => return Ok(Plain::default()),
        Err(NoPlain::PinOfExpanded { hole }) => {
            return without(format!(
                "the pin in hole {hole} was made for the size that the expansion left"
            ));
        }
    };
    let reamed = case.job.stages.iter().any(|stage| matches!(stage, Stage::Ream { .. }));
    if case.imported.is_some() && reamed {
        return without("the mesh from a file has holes of starting size".to_owned());
    }
    let mut last = LastOnly { stop, snapshot: None };
    let mut sequence = match case.sequence(job.clone()) {
        Ok(sequence) => sequence,
        Err(error) => return without(error.to_string()),
    };
    match sequence.run(&mut last) {
        Ok(Ending::Done) => {}
        Ok(Ending::Interrupted) => return without("the run was interrupted".to_owned()),
        Err(failure) => return without(failure.error.to_string()),
    }
    Ok(Plain { solved: last.snapshot.map(|snapshot| (snapshot, job)), trouble: None })
}
