//! The states of a section with no tool in the hole, kept while it is solved.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::process::section::observer::SectionObserver;
use crate::process::section::record::{SectionSnapshot, TravelRecord};
use crate::solver::state::State;
use crate::solver::system::System;

/// Keeps the unloaded states of a section, until `stop` is raised.
pub(super) struct KeptSection<'s> {
    stop: &'s AtomicBool,
    /// One for each stage so far.
    pub(super) states: Vec<SectionSnapshot>,
}

impl<'s> KeptSection<'s> {
    /// Before the first stage.
    pub(super) fn new(stop: &'s AtomicBool) -> Self {
        Self { stop, states: Vec::new() }
    }

    fn flow(&self) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}

impl SectionObserver for KeptSection<'_> {
    fn increment(&mut self, _: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        self.flow()
    }

    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        if !snapshot.loaded {
            self.states.push(snapshot);
        }
        self.flow()
    }
}
