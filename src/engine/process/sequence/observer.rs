//! Messages of a sequence while it goes, and how it ends.

use crate::process::history::HistoryRecord;
use crate::process::snapshot::Snapshot;
use crate::process::stage_error::StageError;
use crate::solver::state::State;
use crate::solver::system::System;
use std::ops::ControlFlow;

/// Watches a run, and may stop it after any increment.
pub trait Observer {
    /// An increment is in equilibrium.
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()>;
    /// The state of the metal after that increment, told right after [`Observer::increment`].
    /// Unless an observer wants it, nothing is done.
    fn state(&mut self, _moment: &Moment<'_>) {}
    /// A phase is finished.
    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()>;
}

/// Everything there is right after an increment.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a> {
    /// Record of the increment.
    pub record: &'a HistoryRecord,
    /// Mesh, metal and geometry of the integration points.
    pub system: &'a System,
    /// Displacements, histories, stresses.
    pub state: &'a State,
    /// As [`Snapshot::full_size_strain`], on the mesh as it stands.
    pub full_size_strain: &'a [f64],
}

/// How a run ended that did not fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// All stages are done.
    Done,
    /// The observer stopped it.
    Interrupted,
}

/// A stage that failed, and the last state in equilibrium.
#[derive(Debug)]
pub struct StageFailure {
    /// Label of the stage.
    pub stage: String,
    /// Why.
    pub error: StageError,
    /// The last good state; its label ends in `-last-good`. `None` when nothing was meshed.
    pub last_good: Option<Box<Snapshot>>,
}
