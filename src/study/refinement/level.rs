//! One further solution of a case, in numbers only.

use std::ops::ControlFlow;

use serde::{Deserialize, Serialize};

use crate::case::Case;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::job::Job;
use crate::process::sequence::{Ending, Observer};
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::result::read::read;
use crate::result::summary::StageSummary;

/// Results kept of a solution.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Solved {
    /// Elements of the modelled part before any ream.
    pub elements: usize,
    /// Halvings of increments during the run.
    pub halvings: usize,
    /// Every snapshot in numbers.
    pub stages: Vec<StageSummary>,
}

/// Goes along with a study: sees how far it is, may stop it, may remember solutions. Called
/// from several threads at once.
pub trait Companion: Sync {
    /// Solution number `index` of the plan is done to `share`, 0 to 1.
    fn progress(&self, index: usize, share: f64) -> ControlFlow<()>;

    /// The solution of `job`, if it was kept earlier.
    fn known(&self, job: &Job) -> Option<Solved>;

    /// Takes a finished solution of `job` for later.
    fn keep(&self, job: &Job, solved: &Solved);
}

/// How a solution ended.
pub(super) enum Ended {
    Done(Solved),
    Failed(String),
    Stopped,
}

/// Solves `job`, which differs from that of `case` in its numerics alone.
pub(super) fn solve(case: &Case, job: &Job, index: usize, companion: &dyn Companion) -> Ended {
    if companion.progress(index, 0.0).is_break() {
        return Ended::Stopped;
    }
    if let Some(solved) = companion.known(job) {
        let _ = companion.progress(index, 1.0);
        return Ended::Done(solved);
    }
    let mut sequence = match case.sequence(job.clone()) {
        Ok(sequence) => sequence,
        Err(error) => return Ended::Failed(error.to_string()),
    };
    let mesh = sequence.mesh();
    let elements = mesh.quads.len() + mesh.triangles.len();
    let mut follow = Follow {
        case,
        job,
        companion,
        index,
        steps: Steps::new(job),
        solved: Solved { elements, halvings: 0, stages: Vec::new() },
        trouble: None,
    };
    let ending = sequence.run(&mut follow);
    if let Some(trouble) = follow.trouble {
        return Ended::Failed(trouble);
    }
    match ending {
        Ok(Ending::Done) => {
            companion.keep(job, &follow.solved);
            Ended::Done(follow.solved)
        }
        Ok(Ending::Interrupted) => Ended::Stopped,
        Err(failure) => Ended::Failed(format!("stage {}: {}", failure.stage, failure.error)),
    }
}

struct Follow<'a> {
    case: &'a Case,
    job: &'a Job,
    companion: &'a dyn Companion,
    index: usize,
    steps: Steps,
    solved: Solved,
    trouble: Option<String>,
}

impl Observer for Follow<'_> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        self.solved.halvings += record.halvings;
        let share = self.steps.share(record);
        self.companion.progress(self.index, share)
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        match read(&snapshot, self.job, &self.case.path_angles) {
            Ok((_, summary)) => {
                self.solved.stages.push(summary);
                ControlFlow::Continue(())
            }
            Err(error) => {
                self.trouble = Some(error.to_string());
                ControlFlow::Break(())
            }
        }
    }
}

/// How far a run is, from its records.
struct Steps {
    phases: usize,
    done: usize,
    last: Option<(String, Phase, f64)>,
}

impl Steps {
    fn new(job: &Job) -> Self {
        let phases = job.stages.iter().map(Stage::phases).sum::<usize>().max(1);
        Self { phases, done: 0, last: None }
    }

    fn share(&mut self, record: &HistoryRecord) -> f64 {
        if let Some((stage, phase, share)) = &self.last
            && (*stage != record.stage || *phase != record.phase || record.share <= *share)
        {
            self.done += 1;
        }
        self.last = Some((record.stage.clone(), record.phase, record.share));
        ((self.done as f64 + record.share) / self.phases as f64).min(1.0)
    }
}
