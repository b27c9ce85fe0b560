//! A list of snapshots watches a run by keeping every one of them: enough for a lesson, a
//! test, or a caller that has no files to write.

use std::ops::ControlFlow;

use crate::process::history::HistoryRecord;
use crate::process::sequence::Observer;
use crate::process::snapshot::Snapshot;

impl Observer for Vec<Snapshot> {
    /// Goes on.
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    /// Keeps the snapshot and goes on.
    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.push(snapshot);
        ControlFlow::Continue(())
    }
}
