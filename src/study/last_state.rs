//! The state that a job leaves, and nothing else of its run.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer, Sequence};
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

/// Where last states are kept between two runs of the program.
pub trait Shelf: Sync {
    /// The state called `name` that `job` left, if an earlier run has kept it whole.
    fn take(&self, name: &str, job: &Job) -> Option<Snapshot>;
    /// Keeps it. A shelf that cannot is as good as none.
    fn keep(&self, name: &str, job: &Job, state: &Snapshot);
}

/// A shelf that keeps nothing.
#[derive(Clone, Copy, Debug)]
pub struct NoShelf;

impl Shelf for NoShelf {
    fn take(&self, _: &str, _: &Job) -> Option<Snapshot> {
        None
    }

    fn keep(&self, _: &str, _: &Job, _: &Snapshot) {}
}

/// The same as [`last_state`], but the state is taken from a shelf where an earlier run has left it under
/// `name`, and put there otherwise. A state there that is not `wanted` does not count.
pub fn shelved_state(
    case: &Case,
    job: &Job,
    stop: &AtomicBool,
    wanted: fn(&Snapshot) -> bool,
    (shelf, name): (&dyn Shelf, &str),
) -> LastState {
    if let Some(state) = shelf.take(name, job).filter(wanted) {
        return LastState::Done(Some(Box::new(state)));
    }
    let found = last_state(case, job.clone(), stop, wanted);
    if let LastState::Done(Some(state)) = &found {
        shelf.keep(name, job, state);
    }
    found
}

/// Runs `job` on the plate of `case` until it is done or `stop` is raised, and keeps the last snapshot
/// that is `wanted`.
pub fn last_state(
    case: &Case,
    job: Job,
    stop: &AtomicBool,
    wanted: fn(&Snapshot) -> bool,
) -> LastState {
    state_of(case.sequence(job), stop, wanted)
}

/// The same for a sequence that stands ready.
pub(super) fn state_of(
    ready: Result<Sequence, StageError>,
    stop: &AtomicBool,
    wanted: fn(&Snapshot) -> bool,
) -> LastState {
    let mut last = Last { stop, wanted, snapshot: None };
    let mut sequence = match ready {
        Ok(sequence) => sequence,
        Err(error) => return LastState::Failed(Box::new(error)),
    };
    match sequence.run(&mut last) {
        Ok(Ending::Done) => LastState::Done(last.snapshot.map(Box::new)),
        Ok(Ending::Interrupted) => LastState::Interrupted,
        Err(failure) => LastState::Failed(Box::new(failure.error)),
    }
}

/// Runs `job` on the plate of `case` until it is done or `stop` is raised, and keeps every snapshot that is
/// `wanted`, in their order.
///
/// # Errors
///
/// [`LastState`] as it ended when it did not come to its end.
pub fn states(
    case: &Case,
    job: Job,
    stop: &AtomicBool,
    wanted: &dyn Fn(&Snapshot) -> bool,
) -> Result<Vec<Snapshot>, LastState> {
    let mut kept = Kept { stop, wanted, snapshots: Vec::new() };
    let failed = |error: StageError| LastState::Failed(Box::new(error));
    match case.sequence(job).map_err(failed)?.run(&mut kept) {
        Ok(Ending::Done) => Ok(kept.snapshots),
        Ok(Ending::Interrupted) => Err(LastState::Interrupted),
        Err(failure) => Err(failed(failure.error)),
    }
}

struct Kept<'a> {
    stop: &'a AtomicBool,
    wanted: &'a dyn Fn(&Snapshot) -> bool,
    snapshots: Vec<Snapshot>,
}

/// Whether a run is to go on.
fn unless(stop: &AtomicBool) -> ControlFlow<()> {
    if stop.load(Ordering::SeqCst) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

impl Observer for Kept<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        unless(self.stop)
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if (self.wanted)(&snapshot) {
            self.snapshots.push(snapshot);
        }
        unless(self.stop)
    }
}

struct Last<'a> {
    stop: &'a AtomicBool,
    wanted: fn(&Snapshot) -> bool,
    snapshot: Option<Snapshot>,
}

impl Observer for Last<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        unless(self.stop)
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if (self.wanted)(&snapshot) {
            self.snapshot = Some(snapshot);
        }
        unless(self.stop)
    }
}
