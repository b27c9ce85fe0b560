//! The residual state under the two bounding hardening laws: what of a life is the hardening law's.
//!
//! Floor 8, `study::life`.

use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::material::bracket::{purely_isotropic, purely_kinematic};
use crate::process::error::StageError;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::sequence::Observer;
use crate::process::snapshot::Snapshot;

/// The last residual state of the work of `case` with all hardening isotropic, and all kinematic;
/// a bound that cannot be computed, or was stopped, is left out.
///
/// # Errors
/// [`StageError`] when the plate cannot be set up.
pub fn bounding_states(
    case: &Case,
    stop: &AtomicBool,
) -> Result<Vec<(&'static str, Snapshot)>, StageError> {
    let (kinematic, _) = purely_kinematic(&case.job.material);
    let laws = [("isotropic", purely_isotropic(&case.job.material)), ("kinematic", kinematic)];
    let solve = |(name, material): (&'static str, _)| {
        let mut last = LastResidual { stop, snapshot: None };
        let mut sequence = case.sequence(Job { material, ..case.job.clone() })?;
        let ended = sequence.run(&mut last);
        let stopped = stop.load(Ordering::SeqCst);
        Ok(last.snapshot.filter(|_| ended.is_ok() && !stopped).map(|snapshot| (name, snapshot)))
    };
    let [one, other] = laws;
    let (one, other): (Result<_, StageError>, Result<_, StageError>) =
        rayon::join(|| solve(one), || solve(other));
    Ok([one?, other?].into_iter().flatten().collect())
}

struct LastResidual<'a> {
    stop: &'a AtomicBool,
    snapshot: Option<Snapshot>,
}

impl Observer for LastResidual<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        if self.stop.load(Ordering::SeqCst) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        if snapshot.finished && !snapshot.loaded {
            self.snapshot = Some(snapshot);
        }
        ControlFlow::Continue(())
    }
}
