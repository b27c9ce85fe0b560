//! Messages of a section run while it goes, and how it ends.

use crate::process::section::record::{SectionSnapshot, TravelRecord};
use crate::solver::state::State;
use crate::solver::system::System;
use std::ops::ControlFlow;

/// Watches a run, and may stop it after any increment.
pub trait SectionObserver {
    /// An increment is in equilibrium; `state` is that of the metal.
    fn increment(
        &mut self,
        record: &TravelRecord,
        system: &System,
        state: &State,
    ) -> ControlFlow<()>;
    /// A stage, or the growth of a tool, is finished.
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()>;
}

/// How a run ended that did not fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SectionEnding {
    /// All stages are done.
    Done,
    /// The observer stopped it.
    Interrupted,
}
