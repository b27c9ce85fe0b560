//! Solving a case for the page: coarsely, or as the command line does.

use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Instant;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::case::Case;
use crate::live::Trouble;
use crate::mesh::store::MeshStore;
use crate::mesh::topology::Mesh;
use crate::process::history::HistoryRecord;
use crate::process::job::{Job, Numerics};
use crate::process::plan::mesh_plan;
use crate::process::sequence::{Ending, Moment, Observer, Sequence};
use crate::process::snapshot::Snapshot;
use crate::process::stage::Stage;
use crate::process::trace::{Trace, Watched};
use crate::result::frames::frame_fields;
use crate::result::read::read;
use crate::result::stage::{NodalFields, StageResult};
use crate::result::summary::StageSummary;
use crate::result::warnings::warnings;
use crate::solver::symbolic::SymbolicStore;
use crate::study::bracket::{ReadBounds, bounding_states, bracket};
use crate::study::effort::effort;
use crate::study::last_state::NoShelf;

/// Fineness of a coarse answer, as a share of that of the case.
pub const COARSER: f64 = 0.25;
/// The coarsest mesh that a case may ask for.
const COARSEST: f64 = 0.25;
/// Increments of a coarse answer to full size, at least.
const FEWEST: usize = 4;
/// Increments kept for scrubbing, at most about this many.
const FRAMES: usize = 60;

/// How exact an answer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Accuracy {
    /// Mesh four times coarser, four increments, no bounding laws.
    Coarse,
    /// As `hoopset run` computes the case.
    Full,
}

impl Accuracy {
    /// The numerics that a case with `numerics` is solved with.
    #[must_use]
    pub fn numerics(self, numerics: &Numerics) -> Numerics {
        self.coarsened(numerics, [COARSER, COARSEST], FEWEST)
    }

    /// `numerics` in full; coarse with the fineness times `coarser`, no less than `coarsest` unless they ask for
    /// less, and at most `fewest` increments.
    pub(super) fn coarsened(
        self,
        numerics: &Numerics,
        [coarser, coarsest]: [f64; 2],
        fewest: usize,
    ) -> Numerics {
        match self {
            Self::Full => numerics.clone(),
            Self::Coarse => Numerics {
                fineness: (coarser * numerics.fineness).max(coarsest.min(numerics.fineness)),
                increments: numerics.increments.min(fewest),
                ..numerics.clone()
            },
        }
    }
}

/// A question under way: how far it is, and whether it is still wanted.
#[derive(Debug, Default)]
pub struct Ticket {
    stop: AtomicBool,
    share: AtomicU64,
}

impl Ticket {
    /// Not wanted any more.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::SeqCst);
    }

    /// Whether it is not wanted any more.
    #[must_use]
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    /// Share that is done, 0 to 1.
    #[must_use]
    pub fn share(&self) -> f64 {
        f64::from_bits(self.share.load(Ordering::Relaxed))
    }

    /// Says how far it is.
    pub(super) fn set(&self, share: f64) {
        self.share.store(share.clamp(0.0, 1.0).to_bits(), Ordering::Relaxed);
    }

    /// To go on, or to stop.
    pub(super) fn flow(&self) -> ControlFlow<()> {
        if self.stopped() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// A solved case, read.
#[derive(Debug)]
pub struct Answer {
    /// The case as asked.
    pub case: Case,
    /// The job as solved: another mesh and increments than those of the case when coarse.
    pub job: Job,
    /// How exact it is.
    pub accuracy: Accuracy,
    /// Every snapshot, read.
    pub stages: Vec<StageResult>,
    /// The same in numbers.
    pub summaries: Vec<StageSummary>,
    /// Every increment.
    pub history: Vec<HistoryRecord>,
    /// As those of the command line.
    pub warnings: Vec<String>,
    /// Unknown displacements of the first mesh.
    pub unknowns: usize,
    /// Seconds that it took.
    pub seconds: f64,
}

impl Answer {
    /// The index of the stage called `label`, of the last one for an empty label.
    ///
    /// # Errors
    ///
    /// [`Trouble::Nothing`] when there is none.
    pub fn stage(&self, label: &str) -> Result<usize, Trouble> {
        let found = if label.is_empty() {
            self.stages.len().checked_sub(1)
        } else {
            self.stages.iter().position(|stage| stage.label == label)
        };
        found.ok_or_else(|| Trouble::Nothing(format!("there is no stage `{label}`")))
    }
}

/// The states after the increments, for scrubbing.
#[derive(Debug)]
pub struct Increments {
    /// The job as solved.
    pub job: Job,
    /// One entry a kept increment.
    pub frames: Vec<(HistoryRecord, Arc<Mesh>, NodalFields)>,
}

/// Kept between questions: meshes, and orders of elimination.
#[derive(Debug, Default)]
pub struct Workshop {
    store: Arc<SymbolicStore>,
    meshes: MeshStore,
}

impl Workshop {
    /// Stands ready for the first stage of `job` on the plate of `case`.
    fn sequence(&self, case: &Case, job: Job) -> Result<Sequence, Trouble> {
        let set_up = |error| Trouble::SetUp(Box::new(error));
        let mesh = if let Some(imported) = &case.imported {
            imported.mesh.clone()
        } else {
            let mesh = self.meshes.of(&job.plate, &mesh_plan(&job));
            mesh.map_err(|error| set_up(error.into()))?
        };
        Sequence::with_store(job, mesh, Arc::clone(&self.store)).map_err(set_up)
    }

    /// Solves and reads `case`.
    ///
    /// # Errors
    ///
    /// [`Trouble`]: the plate cannot be meshed, a stage cannot be finished, the run would be too large,
    /// or `ticket` was stopped.
    pub fn solve(
        &self,
        case: Case,
        accuracy: Accuracy,
        ticket: &Ticket,
    ) -> Result<Answer, Trouble> {
        let began = Instant::now();
        let job = Job { numerics: accuracy.numerics(&case.job.numerics), ..case.job.clone() };
        let mut sequence = self.sequence(&case, job.clone())?;
        let unknowns = 2 * sequence.mesh().nodes.len();
        let expected = effort(&case, unknowns);
        if expected.is_large() {
            return Err(Trouble::Large(expected));
        }
        let phases: usize = job.stages.iter().map(Stage::phases).sum();
        let mut watch = Watch {
            ticket,
            phases,
            done: 0,
            last: 0.0,
            snapshots: Vec::new(),
            history: Vec::new(),
        };
        run(&mut sequence, &mut watch)?;
        let Watch { snapshots, history, .. } = watch;
        let read: Result<Vec<_>, _> =
            snapshots.par_iter().map(|snapshot| read(snapshot, &job, &case.path_angles)).collect();
        let (stages, summaries): (Vec<_>, Vec<_>) = read?.into_iter().unzip();
        let plastic = history.iter().map(|r| r.largest_plastic_strain).fold(0.0, f64::max);
        let broken = snapshots.last().map_or(&[][..], |last| &last.break_throughs);
        let mut told = case.warnings.clone();
        told.extend(warnings(&job, &summaries, plastic, broken));
        let seconds = began.elapsed().as_secs_f64();
        Ok(Answer {
            case,
            job,
            accuracy,
            stages,
            summaries,
            history,
            warnings: told,
            unknowns,
            seconds,
        })
    }

    /// The states after the increments of `case`, coarsely.
    ///
    /// # Errors
    ///
    /// As [`Workshop::solve`]; [`Trouble::Nothing`] for a plate without holes.
    pub fn increments(&self, case: &Case, ticket: &Ticket) -> Result<Increments, Trouble> {
        let numerics = Accuracy::Coarse.numerics(&case.job.numerics);
        // More of them than a coarse answer has: they are what is looked at.
        let increments = case.job.numerics.increments;
        let job = Job { numerics: Numerics { increments, ..numerics }, ..case.job.clone() };
        if job.plate.holes.is_empty() {
            return Err(Trouble::Nothing(
                "a plate without holes has no increments to show".to_owned(),
            ));
        }
        let phases: usize = job.stages.iter().map(Stage::phases).sum();
        let every = (phases * increments).div_ceil(FRAMES);
        let watched = Watched { hole: 0, angle: 0.0, depth: 0.0 };
        let mut watch = Follow { ticket, trace: Trace::new(&job, watched, every) };
        run(&mut self.sequence(case, job.clone())?, &mut watch)?;
        let Trace { frames, history, .. } = watch.trace;
        let frames: Result<Vec<_>, _> = frames
            .par_iter()
            .filter_map(|frame| {
                // The first is the plate before any work.
                let record = history.get(frame.record.checked_sub(1)?)?;
                let fields = frame_fields(frame, &job);
                Some(fields.map(|fields| (record.clone(), Arc::clone(&frame.mesh), fields)))
            })
            .collect();
        Ok(Increments { frames: frames?, job })
    }

    /// The paths of the last state under the bounding hardening laws, as the command line computes them.
    ///
    /// # Errors
    ///
    /// As [`Workshop::solve`].
    pub fn bounds(&self, case: &Case, ticket: &Ticket) -> Result<ReadBounds, Trouble> {
        if !case.bracket {
            return Ok(ReadBounds::default());
        }
        let states = bounding_states(case, &ticket.stop, |_| true, &NoShelf);
        Ok(bracket(case, &states.ok_or(Trouble::Superseded)?)?)
    }
}

fn run(sequence: &mut Sequence, observer: &mut dyn Observer) -> Result<(), Trouble> {
    match sequence.run(observer) {
        Ok(Ending::Done) => Ok(()),
        Ok(Ending::Interrupted) => Err(Trouble::Superseded),
        Err(failure) => {
            Err(Trouble::Stage { stage: failure.stage, error: Box::new(failure.error) })
        }
    }
}

/// Keeps the snapshots of a run, says how far it is, and stops it when its ticket is.
struct Watch<'a> {
    ticket: &'a Ticket,
    phases: usize,
    done: usize,
    last: f64,
    snapshots: Vec<Snapshot>,
    history: Vec<HistoryRecord>,
}

impl Observer for Watch<'_> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        // A share that falls back begins the next phase.
        self.done += usize::from(record.share <= self.last);
        self.last = record.share;
        let share = (self.done as f64 + record.share) / self.phases.max(1) as f64;
        self.ticket.set(share);
        self.history.push(record.clone());
        self.ticket.flow()
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        self.ticket.flow()
    }
}

/// Follows a run for its increments, and stops it when its ticket is.
struct Follow<'a> {
    ticket: &'a Ticket,
    trace: Trace,
}

impl Observer for Follow<'_> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        let _ = self.trace.increment(record);
        self.ticket.flow()
    }

    fn state(&mut self, moment: &Moment<'_>) {
        self.trace.state(moment);
    }

    fn snapshot(&mut self, _: Snapshot) -> ControlFlow<()> {
        self.ticket.flow()
    }
}
