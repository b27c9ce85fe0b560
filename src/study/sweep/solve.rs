//! The cases of a unit of work, one after the other on one thread.
//!
//! A case goes on from the last stage that it has in common with the case before it: same plate, metal,
//! numerics and mesh, same stages up to there. Solving from a snapshot gives the same bytes as solving
//! from the start, so the numbers do not depend on what was shared.

use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::case::study::{CrackKind, Level, Made, Number, Reading, Study};
use crate::mesh::plan::MeshPlan;
use crate::mesh::store::MeshStore;
use crate::process::history::HistoryRecord;
use crate::process::job::Job;
use crate::process::plan::mesh_plan;
use crate::process::sequence::{Ending, Observer, Sequence, StageFailure};
use crate::process::snapshot::Snapshot;
use crate::process::stage_error::StageError;
use crate::solver::symbolic::SymbolicStore;
use crate::study::lives::{ShortestLives, plan, shortest_lives};
use crate::study::section_beside::sections;
use crate::study::sweep::measure::{States, add_paths, all_paths, evaluate};
use crate::study::sweep::outcome::{Outcome, PointStatus};
use crate::study::sweep::points::Points;
use crate::study::sweep::ream_lines::{ReamLines, with_lines};

/// Data shared by all threads of a study.
#[derive(Debug)]
pub struct Task {
    /// The study.
    pub study: Study,
    /// Its cases.
    pub points: Points,
    /// The numbers wanted.
    pub numbers: Vec<Number>,
    /// Meshes.
    pub meshes: MeshStore,
    /// Orders of elimination.
    pub store: Arc<SymbolicStore>,
    /// Raised when the work is to stop after the increment at hand.
    pub stop: Arc<AtomicBool>,
    /// Reams that get lines in every mesh.
    pub lines: ReamLines,
    /// Whether cases go on from each other's stages.
    pub sharing: Sharing,
}

/// Whether cases go on from the stages that they have in common.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sharing {
    /// Stages in common are solved once.
    #[default]
    Stages,
    /// Every case is solved from its start, on the same mesh: shows what sharing spares.
    Nothing,
}

impl Task {
    /// The work of `study` on the cases `points`, of which `numbers` are read, until `stop` is raised.
    #[must_use]
    pub fn new(study: Study, points: Points, numbers: Vec<Number>, stop: Arc<AtomicBool>) -> Self {
        let lines = ReamLines::new(&study, &points);
        let sharing = Sharing::default();
        let (meshes, store) = (MeshStore::default(), Arc::default());
        Self { study, points, numbers, meshes, store, stop, lines, sharing }
    }
}

/// One thread's work: what it keeps from one case to the next.
#[derive(Debug)]
pub struct Solver<'t> {
    task: &'t Task,
    /// The case before, its mesh plan and its states.
    trail: Option<(Case, MeshPlan, States)>,
    /// Plans of all cases that share lines, and the values of the other axes that they belong to.
    family: Option<(Vec<Level>, Vec<MeshPlan>)>,
}

/// Why there is no outcome.
enum Ended {
    Interrupted,
    Failed(String),
}

impl From<StageError> for Ended {
    fn from(error: StageError) -> Self {
        Self::Failed(error.to_string())
    }
}

impl<'t> Solver<'t> {
    /// A thread that has solved nothing yet.
    #[must_use]
    pub fn new(task: &'t Task) -> Self {
        Self { task, trail: None, family: None }
    }

    /// Solves case `index`; `keep` says that the case after it may share its stages. `None` when the work
    /// was stopped.
    pub fn solve(&mut self, index: usize, keep: bool) -> Option<Outcome> {
        self.solve_at(index, &self.task.points.levels(index), keep)
    }

    /// The same for any value of every axis, under the number `index`.
    pub fn solve_at(&mut self, index: usize, levels: &[Level], keep: bool) -> Option<Outcome> {
        let mut outcome = Outcome {
            case: index,
            status: PointStatus::Done,
            numbers: vec![None; self.task.numbers.len()],
            paths: Vec::new(),
            solved: 0,
            shared: 0,
        };
        // A programming error in one case must not end the others.
        let ended = catch_unwind(AssertUnwindSafe(|| self.fill(&mut outcome, levels)));
        let ended = ended.unwrap_or_else(|_| {
            Err(Ended::Failed("the program failed in this case; please report it".to_owned()))
        });
        if !keep {
            self.trail = None;
        }
        match ended {
            Ok(()) => Some(outcome),
            Err(Ended::Interrupted) => None,
            Err(Ended::Failed(reason)) => {
                self.trail = None;
                outcome.status = PointStatus::Failed(reason.replace(['\n', '\r'], " "));
                outcome.numbers.fill(None);
                outcome.paths.clear();
                Some(outcome)
            }
        }
    }

    fn fill(&mut self, outcome: &mut Outcome, levels: &[Level]) -> Result<(), Ended> {
        let task = self.task;
        let failed = |error: &dyn std::fmt::Display| Ended::Failed(error.to_string());
        let variables = match task.study.make(levels).map_err(|error| failed(&error))? {
            Made::Skipped(_, condition) => {
                outcome.status = PointStatus::Skipped(condition);
                return Ok(());
            }
            Made::Wanted(variables) => variables,
        };
        let mut case = task.study.case(levels, &variables).map_err(|error| failed(&error))?;
        add_paths(&mut case, &task.numbers);
        let plan = self.plan(&case, levels);
        let (shared, mut states) = self.common(&case, &plan);
        outcome.shared = shared;
        outcome.solved = case.job.stages.len() - shared;
        if outcome.solved > 0 {
            let mut sequence = self.sequence(&case, &plan, &states)?;
            let mut watch = Watch { states: &mut states, stop: &task.stop };
            match sequence.run(&mut watch) {
                Ok(Ending::Done) => {}
                Ok(Ending::Interrupted) => return Err(Ended::Interrupted),
                Err(StageFailure { stage, error, .. }) => {
                    return Err(Ended::Failed(format!("stage {stage}: {error}")));
                }
            }
        }
        let lives = self.lives(&case, &states)?;
        outcome.numbers = evaluate(&task.numbers, &variables, (&case, lives.as_ref()), &mut states)
            .map_err(|error| failed(&error))?;
        if task.study.paths {
            outcome.paths = all_paths(&case, &mut states).map_err(|error| failed(&error))?;
        }
        self.trail = Some((case, plan, states));
        Ok(())
    }

    /// The shortest lives of a case, when a number wanted is one.
    fn lives(&self, case: &Case, states: &States) -> Result<Option<ShortestLives>, Ended> {
        let task = self.task;
        let cracks = task.numbers.iter().filter_map(|number| match &number.reading {
            Reading::Life(reading) => Some(reading.crack),
            Reading::Measured(_) | Reading::Computed(_) => None,
        });
        let cracks: Vec<CrackKind> = cracks.collect();
        if cracks.is_empty() {
            return Ok(None);
        }
        let with_corner = cracks.contains(&CrackKind::Corner);
        let failed = |error: &dyn std::fmt::Display| Ended::Failed(error.to_string());
        let mut plan = plan(case).map_err(|error| failed(&error))?;
        if with_corner {
            plan.sections = sections(case, &task.stop)?.ok_or(Ended::Interrupted)?;
        }
        let found = shortest_lives(case, &plan, &states.snapshots, with_corner, &task.stop);
        if task.stop.load(Ordering::Relaxed) {
            return Err(Ended::Interrupted);
        }
        found.map(Some).map_err(|error| failed(&error))
    }

    /// The mesh of a case with `levels`: with lines for the reams of others where there is room for them.
    fn plan(&mut self, case: &Case, levels: &[Level]) -> MeshPlan {
        let own = mesh_plan(&case.job);
        let lines = &self.task.lines;
        if lines.axes().next().is_none() || case.imported.is_some() {
            return own;
        }
        let is_late = |axis: &usize| lines.axes().any(|late| late == *axis);
        let others = (0..levels.len()).filter(|axis| !is_late(axis));
        let others: Vec<Level> = others.map(|axis| levels[axis].clone()).collect();
        let plans = match self.family.take() {
            Some((its, plans)) if its == others => plans,
            _ => lines.plans(&self.task.study, levels),
        };
        let shared = with_lines(&own, &plans);
        self.family = Some((others, plans));
        let same = |(before, its, _): &(Case, MeshPlan, States)| {
            *its == shared && before.job.plate == case.job.plate
        };
        // The largest ream may leave no metal to an edge that the others stay clear of.
        if self.trail.as_ref().is_some_and(same)
            || self.task.meshes.of(&case.job.plate, &shared).is_ok()
        {
            shared
        } else {
            own
        }
    }

    /// How many stages `case` has in common with the case before it, and the states at their ends.
    fn common(&mut self, case: &Case, plan: &MeshPlan) -> (usize, States) {
        let Some((before, its_plan, mut states)) = self.trail.take() else {
            return (0, States::default());
        };
        let alike = self.task.sharing == Sharing::Stages
            && its_plan == *plan
            && before.path_angles == case.path_angles
            && before.imported == case.imported
            && alike(&before.job, &case.job);
        let stages = before.job.stages.iter().zip(&case.job.stages);
        let shared = if alike { stages.take_while(|(a, b)| a == b).count() } else { 0 };
        states.keep(shared);
        (shared, states)
    }

    /// Ready for the first stage that is not shared.
    fn sequence(&self, case: &Case, plan: &MeshPlan, states: &States) -> Result<Sequence, Ended> {
        let (job, store) = (case.job.clone(), Arc::clone(&self.task.store));
        if let Some(last) = states.snapshots.last() {
            return Ok(Sequence::resume_with_store(job, last.clone(), store)?);
        }
        let mesh = match &case.imported {
            Some(imported) => imported.mesh.clone(),
            None => self.task.meshes.of(&job.plate, plan).map_err(StageError::from)?,
        };
        Ok(Sequence::with_store(job, mesh, store)?)
    }
}

/// Whether two jobs differ in their stages at most.
fn alike(a: &Job, b: &Job) -> bool {
    a.plate == b.plate
        && a.idealisation == b.idealisation
        && a.material == b.material
        && a.regions == b.regions
        && a.numerics == b.numerics
        && a.supports == b.supports
}

/// Keeps every state and listens for the order to stop.
struct Watch<'w> {
    states: &'w mut States,
    stop: &'w AtomicBool,
}

impl Observer for Watch<'_> {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        self.flow()
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.states.push(snapshot);
        self.flow()
    }
}

impl Watch<'_> {
    fn flow(&self) -> ControlFlow<()> {
        if self.stop.load(Ordering::Relaxed) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
}
