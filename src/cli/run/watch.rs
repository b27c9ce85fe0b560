//! Files that a run writes while it goes on: snapshots to resume from, and its history.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::cli::exit::CliError;
use crate::cli::progress::Progress;
use crate::cli::resume::{Fingerprints, store};
use crate::process::history::HistoryRecord;
use crate::process::sequence::Observer;
use crate::process::snapshot::Snapshot;
use crate::report::csv;
use crate::report::folder::ResultsFolder;
use crate::report::folder::folder_error::FolderError;

/// Observes a run, writes as it goes on, and stops it when asked or when nothing can be written.
pub(super) struct Watch<'a> {
    pub(super) folder: &'a ResultsFolder,
    pub(super) fingerprints: &'a Fingerprints,
    pub(super) case: &'a Case,
    pub(super) progress: Progress,
    /// Raised to stop the run.
    pub(super) stop: Arc<AtomicBool>,
    /// Every snapshot so far, those of an earlier run first.
    pub(super) snapshots: Vec<Snapshot>,
    /// Every increment so far.
    pub(super) history: Vec<HistoryRecord>,
    /// Whether `history.csv` has the increments so far.
    pub(super) logged: bool,
    /// The first file that could not be written.
    pub(super) trouble: Option<CliError>,
}

impl Watch<'_> {
    /// Takes a snapshot and stores it for a later run.
    pub(super) fn keep(&mut self, snapshot: Snapshot) {
        if let Err(error) = store(self.folder, self.fingerprints, &snapshot) {
            self.trouble.get_or_insert(error);
        }
        self.snapshots.push(snapshot);
    }

    /// Adds an increment to `history.csv`, after those of earlier stages.
    fn log(&mut self, record: &HistoryRecord) -> Result<(), FolderError> {
        const FILE: &str = "history.csv";
        let units = self.case.units;
        if self.logged {
            let row = csv::history_rows(std::slice::from_ref(record), units);
            return self.folder.append(FILE, row.as_bytes());
        }
        self.folder.write(FILE, csv::history(&self.history, units).as_bytes())?;
        self.logged = true;
        Ok(())
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
        if let Err(error) = self.log(record) {
            self.trouble.get_or_insert(error.into());
        }
        self.flow()
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.keep(snapshot);
        self.flow()
    }
}
