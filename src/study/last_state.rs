//! The state that a job leaves, and nothing else of its run.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer};
use crate::process::snapshot::Snapshot;
use crate::process::stage_error::StageError;

/// How the run of a job ended.
#[derive(Debug)]
pub enum LastState {
    /// All stages are finished. `None` when no snapshot was one of those wanted.
    Done(Option<Box<Snapshot>>),
    /// It was stopped from outside.
    Interrupted,
    /// It could not be set up, or a stage failed.
    Failed(Box<StageError>),
}

/// Runs `job` on the plate of `case` until it is done or `stop` is raised, and keeps the last snapshot
/// that is `wanted`.
pub fn last_state(
    case: &Case,
    job: Job,
    stop: &AtomicBool,
    wanted: fn(&Snapshot) -> bool,
) -> LastState {
    let mut last = Last { stop, wanted, snapshot: None };
    let mut sequence = match case.sequence(job) {
        Ok(sequence) => sequence,
        Err(error) => return LastState::Failed(Box::new(error)),
    };
    match sequence.run(&mut last) {
        Ok(Ending::Done) => LastState::Done(last.snapshot.map(Box::new)),
        Ok(Ending::Interrupted) => LastState::Interrupted,
        Err(failure) => LastState::Failed(Box::new(failure.error)),
    }
}

struct Last<'a> {
    stop: &'a AtomicBool,
    wanted: fn(&Snapshot) -> bool,
    snapshot: Option<Snapshot>,
}

impl Last<'_> {
    fn flow(&self) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

impl Observer for Last<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        self.flow()
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if (self.wanted)(&snapshot) {
            self.snapshot = Some(snapshot);
        }
        self.flow()
    }
}
