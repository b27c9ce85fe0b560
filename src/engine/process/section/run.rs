//! The stages of a section, one after another.

mod draw;
mod grow;

use crate::mesh::section::SectionPlan;
use crate::mesh::section_grid::SectionGrid;
use crate::process::section::cutting::{self, Cutter};
use crate::process::section::drawing::{Account, Watch};
use crate::process::section::observer::{SectionEnding, SectionObserver};
use crate::process::section::record::{SectionPhase, SectionSnapshot, TravelRecord};
use crate::process::section::setting::{flat_seat, seat, set_up};
use crate::process::section::spotface::{self, Spotface};
use crate::process::section::standing::{SectionCut, Standing};
use crate::process::section::tooling::{FLAT_RADIUS, flat_rim, placed};
use crate::process::section::{Face, Rim, SectionJob, SectionStage};
use crate::process::stage_error::StageError;
use crate::solver::contact::{ToolContact, ToolState};
use crate::solver::increment::PhaseEnd;
use crate::solver::increment_error::IncrementError;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::system::System;

/// Size of an increment of a cut over that of a growing tool: the traction given up is small beside
/// that of a tool.
const CUT_SHARE: f64 = 4.0;

/// The work on a section under way.
#[derive(Debug)]
pub struct SectionRun {
    job: SectionJob,
    grid: SectionGrid,
    system: System,
    state: State,
    next_stage: usize,
    travel: Vec<TravelRecord>,
    account: Account,
    earlier_factorizations: usize,
}

/// Why a stage ends before its end.
#[derive(Debug)]
enum Halt {
    /// The observer asked to stop.
    Stopped,
    /// It failed.
    Failed(StageError),
}

impl<E: Into<StageError>> From<E> for Halt {
    fn from(error: E) -> Self {
        Self::Failed(error.into())
    }
}

impl SectionRun {
    /// Meshes the section of `job` and stands ready for its first stage.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn new(job: SectionJob) -> Result<Self, StageError> {
        let grid = section_plan(&job).grid();
        let system = set_up(&job, grid.mesh())?;
        let state = system.virgin_state();
        let mut run = Self {
            job,
            grid,
            state,
            system,
            next_stage: 0,
            travel: Vec::new(),
            account: Account::default(),
            earlier_factorizations: 0,
        };
        run.put_in(Vec::new());
        Ok(run)
    }

    /// Stands ready for the stage of `job` after the one that has left `snapshot`, which no tool acts on.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn resume(job: SectionJob, snapshot: SectionSnapshot) -> Result<Self, StageError> {
        let system = set_up(&job, snapshot.mesh)?;
        let last = snapshot.travel.last();
        let account = last.map_or_else(Account::default, |last| Account {
            tools: last.tool_work,
            friction: last.friction_work,
        });
        let mut run = Self {
            job,
            grid: snapshot.grid,
            state: snapshot.state,
            system,
            next_stage: snapshot.stage,
            travel: snapshot.travel,
            account,
            earlier_factorizations: snapshot.factorizations,
        };
        run.put_in(Vec::new());
        Ok(run)
    }

    /// The equations as they stand.
    #[must_use]
    pub fn system(&self) -> &System {
        &self.system
    }

    /// Runs the stages that remain.
    ///
    /// # Errors
    ///
    /// [`StageError`] of the stage that failed.
    pub fn run(&mut self, observer: &mut dyn SectionObserver) -> Result<SectionEnding, StageError> {
        while self.next_stage < self.job.stages.len() {
            match self.stage(observer) {
                Ok(()) => self.next_stage += 1,
                Err(Halt::Stopped) => return Ok(SectionEnding::Interrupted),
                Err(Halt::Failed(error)) => return Err(error),
            }
        }
        Ok(SectionEnding::Done)
    }

    /// Does the next stage.
    fn stage(&mut self, observer: &mut dyn SectionObserver) -> Result<(), Halt> {
        let stage = self.job.stages[self.next_stage].clone();
        let label = self.job.label(self.next_stage);
        match &stage {
            SectionStage::Draw { tool, support, backwards } => {
                self.draw(&label, tool, (*support, *backwards), observer)
            }
            SectionStage::Grow { diameter } => {
                self.keep_flat();
                let done = self.grow(&label, *diameter, observer);
                self.system.supports = seat(&self.system.mesh);
                self.system.loose = None;
                done
            }
            SectionStage::Ream { diameter } => {
                let cutter = Cutter::Cylinder { radius: 0.5 * diameter };
                let cut = self.cut(cutter)?;
                self.take(&label, "reamed", cut, observer)
            }
            SectionStage::Spotface { face, depth, diameter } => {
                let tool = Spotface { face: *face, depth: *depth, radius: 0.5 * diameter };
                let on = (&self.grid, &self.standing());
                let cut = spotface::cut(on, &self.job.hole, tool)?;
                self.take(&label, "spotfaced", cut, observer)
            }
            SectionStage::Countersink { face, depth, angle } => {
                let cutter = Cutter::Cone { face: *face, depth: *depth, half_angle: 0.5 * angle };
                let cut = self.cut(cutter)?;
                self.take(&label, "countersunk", cut, observer)
            }
        }
    }

    /// Keeps the section from dishing, where it is alike on both sides of its middle.
    fn keep_flat(&mut self) {
        let Self { system, state, .. } = self;
        if system.method.watchful
            && let Some(flat) = flat_seat(&system.mesh, state)
        {
            system.loose = Some(std::mem::replace(&mut system.supports, flat));
        }
    }

    /// A tool of this diameter (mm) touches nothing of a bore of this radius.
    fn too_small(&self, tool: f64, bore: f64) -> Halt {
        let hole = self.job.hole.clone();
        Halt::Failed(StageError::ToolTooSmall { hole, tool, smallest: 2.0 * bore })
    }

    /// The metal as it stands before a cut.
    fn standing(&self) -> Standing<'_> {
        Standing::new(&self.system, &self.state, 0.5 * self.job.part.outer_diameter)
    }

    /// The section that a cutter leaves.
    fn cut(&self, cutter: Cutter) -> Result<SectionCut, StageError> {
        let on = (&self.grid, &self.standing());
        cutting::cut(on, &self.job.hole, self.job.numerics.fineness, cutter)
    }

    /// Goes on with what a cut left, and gives up the forces that the metal taken bore; `done` is what the hole is
    /// then.
    fn take(
        &mut self,
        label: &str,
        done: &str,
        cut: SectionCut,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        let SectionCut { grid, mesh, state } = cut;
        let system = set_up(&self.job, mesh)?;
        self.earlier_factorizations += self.system.factorizations();
        self.grid = grid;
        self.system = system;
        self.state = state;
        self.give_up(label, SectionPhase::Cut, observer)?;
        self.finish(label, &format!(" {done}"), observer)
    }

    /// Gives up, in increments, the forces that hold the part as it is without its tools.
    fn give_up(
        &mut self,
        label: &str,
        phase: SectionPhase,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        self.put_in(Vec::new());
        let before = self.state.energy.elastic;
        let held = self.system.settle(&mut self.state);
        held.map_err(|cause| IncrementError { done: 0.0, halvings: 0, cause })?;
        self.state.energy.removed += before - self.state.energy.elastic;
        let drive = Drive {
            external: Some(vec![[0.0; 2]; self.system.mesh.nodes.len()]),
            step: CUT_SHARE / self.job.numerics.increments as f64,
            ..Drive::default()
        };
        self.phase(label, phase, &drive, observer)
    }

    /// Puts these tools to work, the one in the bore first; what keeps the rim flat stays.
    fn put_in(&mut self, mut tools: Vec<ToolContact>) {
        let (state, mesh) = (&mut self.state, &self.system.mesh);
        let rim = match self.job.part.rim {
            Rim::Free => None,
            Rim::Flat => Some(flat_rim(mesh, 0.5 * self.job.part.outer_diameter)),
        };
        // The rim is the last of the tools, now as before.
        let mut before = std::mem::take(&mut state.tools);
        let rim_state = before.pop().filter(|_| rim.is_some());
        state.tools = tools.iter().map(|t| placed(mesh, t, &state.displacement)).collect();
        if let Some(rim) = rim {
            let fresh = || ToolState::new(FLAT_RADIUS, rim.nodes.len());
            state.tools.push(rim_state.unwrap_or_else(fresh));
            tools.push(rim);
        }
        state.rate = crate::solver::state::Rate::default();
        self.system.set_tools(tools);
    }

    /// Follows `drive` to its end.
    fn phase(
        &mut self,
        label: &str,
        phase: SectionPhase,
        drive: &Drive,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        let Self { system, state, travel, account, .. } = self;
        let mut watch = Watch::begin(label, phase, drive, state);
        let mut stop = false;
        let end = system.run_phase(state, drive, |system, state, increment| {
            let record = watch.record(system, state, increment, travel.len(), account);
            let flow = observer.increment(&record, system, state);
            travel.push(record);
            stop |= flow.is_break();
            flow
        });
        match end {
            PhaseEnd::Failed(error) => Err(error.into()),
            PhaseEnd::Stopped | PhaseEnd::Done if stop => Err(Halt::Stopped),
            PhaseEnd::Stopped | PhaseEnd::Done => Ok(()),
        }
    }

    /// Ends a stage: no tool is in the hole, and the hole is what `done` says.
    fn finish(
        &mut self,
        label: &str,
        done: &str,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        self.put_in(Vec::new());
        self.emit(label, done, false, observer)
    }

    /// Shows the hole, which is what `done` says, to the observer.
    fn emit(
        &self,
        label: &str,
        done: &str,
        loaded: bool,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), Halt> {
        let snapshot = SectionSnapshot {
            label: label.to_owned(),
            heading: format!("hole {}{done}", self.job.hole),
            stage: self.next_stage + 1,
            loaded,
            mesh: self.system.mesh.clone(),
            grid: self.grid.clone(),
            state: self.state.clone(),
            strains: self.job.numerics.strains,
            factorizations: self.earlier_factorizations + self.system.factorizations(),
            travel: self.travel.clone(),
        };
        if observer.snapshot(snapshot).is_break() { Err(Halt::Stopped) } else { Ok(()) }
    }
}

/// The mesh that all stages of `job` together ask for.
#[must_use]
pub fn section_plan(job: &SectionJob) -> SectionPlan {
    let part = job.part;
    let walls = job.stages.iter().filter_map(|stage| match stage {
        SectionStage::Spotface { diameter, .. } => Some(0.5 * diameter),
        _ => None,
    });
    SectionPlan {
        depths: cut_depths(job),
        walls: walls.collect(),
        fineness: job.numerics.fineness,
        ..SectionPlan::ring(0.5 * part.starting_diameter, 0.5 * part.outer_diameter, part.thickness)
    }
}

/// Depths at which cuts of the job end, mm as drawn: floors of spotfaces, knees of countersinks.
fn cut_depths(job: &SectionJob) -> Vec<f64> {
    // Of the entry face and of the exit face, or of the floors cut below them.
    let mut levels = [0.0, job.part.thickness];
    let mut depths = Vec::new();
    for stage in &job.stages {
        let (face, depth, is_floor) = match *stage {
            SectionStage::Spotface { face, depth, .. } => (face, depth, true),
            SectionStage::Countersink { face, depth, .. } => (face, depth, false),
            _ => continue,
        };
        let (side, sense) = match face {
            Face::Entry => (0, 1.0),
            Face::Exit => (1, -1.0),
        };
        let end = levels[side] + sense * depth;
        depths.push(end);
        if is_floor {
            levels[side] = end;
        }
    }
    depths
}
