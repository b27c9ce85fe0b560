//! The same part with holes that were never worked, under the same service loads.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::process::job::Job;
use crate::process::plain::{NoPlain, plain_job};
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::study::last_state::{LastState, Shelf, shelved_state};

/// The plain part of a case.
#[derive(Debug, Default)]
pub enum PlainHole {
    /// Its last state and its job.
    Solved(Box<(Snapshot, Job)>),
    /// The case asks for none: it has no service load, or no worked hole.
    #[default]
    None,
    /// There should be one, but it cannot be had; why, in one line.
    Missing(String),
    /// It was stopped from outside.
    Interrupted,
}

impl PlainHole {
    /// The last state and its job, when there are any.
    #[must_use]
    pub fn solved(&self) -> Option<(&Snapshot, &Job)> {
        match self {
            Self::Solved(solved) => Some((&solved.0, &solved.1)),
            Self::None | Self::Missing(_) | Self::Interrupted => None,
        }
    }

    /// Why there is none although there should be.
    #[must_use]
    pub fn trouble(&self) -> Option<&str> {
        match self {
            Self::Missing(why) => Some(why),
            Self::Solved(_) | Self::None | Self::Interrupted => None,
        }
    }
}

/// Runs the plain part of `case` until it is done or `stop` is raised; taken from `shelf` where an earlier
/// run has left it.
#[must_use]
pub fn plain_hole(case: &Case, stop: &AtomicBool, shelf: &dyn Shelf) -> PlainHole {
    let missing = |why: String| PlainHole::Missing(format!("no plain hole to compare with: {why}"));
    let job = match plain_job(&case.job) {
        Ok(job) => job,
        Err(NoPlain::Nothing | NoPlain::NoService) => return PlainHole::None,
        Err(NoPlain::Bushed { hole }) => {
            return missing(format!("hole {hole} has a bush in it"));
        }
        Err(NoPlain::PinOfExpanded { hole }) => {
            return missing(format!(
                "the pin in hole {hole} was made for the size that the expansion left"
            ));
        }
    };
    let reamed = case.job.stages.iter().any(|stage| matches!(stage, Stage::Ream { .. }));
    if case.imported.is_some() && reamed {
        return missing("the mesh from a file has holes of starting size".to_owned());
    }
    match shelved_state(case, &job, stop, |_| true, (shelf, "plain-hole")) {
        LastState::Done(Some(snapshot)) => PlainHole::Solved(Box::new((*snapshot, job))),
        LastState::Done(None) => PlainHole::None,
        LastState::Interrupted => PlainHole::Interrupted,
        LastState::Failed(error) => missing(error.to_string()),
    }
}
