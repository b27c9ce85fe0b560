//! The stages of a section, one after another.

use crate::mesh::section::SectionPlan;
use crate::mesh::section_grid::SectionGrid;
use crate::process::plan::springback;
use crate::process::section::cutting::{self, Cutter};
use crate::process::section::drawing::{Account, Watch};
use crate::process::section::observer::{SectionEnding, SectionObserver};
use crate::process::section::record::{SectionPhase, SectionSnapshot, TravelRecord};
use crate::process::section::setting::{bore_radius, flat_seat, seat, set_up, tallest_row};
use crate::process::section::sleeve;
use crate::process::section::spotface::{self, Spotface};
use crate::process::section::standing::{SectionCut, Standing};
use crate::process::section::tooling::{
    FLAT_RADIUS, cylinder, first_touch, flat_rim, mandrel, nose_cap, placed, sleeve_rest,
};
use crate::process::section::{DrawTool, Face, Rim, SectionJob, SectionStage, Support};
use crate::process::stage_error::StageError;
use crate::solver::contact::{ToolContact, ToolState};
use crate::solver::increment::PhaseEnd;
use crate::solver::increment_error::IncrementError;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::system::System;

/// Rows of the mesh that a drawn mandrel may travel per increment, times `increments`: with the default
/// an eighth of a row. A fillet is then passed in several increments, and every node of the bore in
/// about the same ones. With a row per increment the nodes keep a zigzag of 30 MPa; with a quarter of one the corner of
/// the exit face, which the mandrel touches for a single row before it leaves, depends by 10 MPa on where the
/// increments end.
const ROWS_PER_INCREMENT: f64 = 1.0;

/// Size of an increment of a cut over that of a growing tool: the traction given up is small beside
/// that of a tool.
const CUT_SHARE: f64 = 4.0;

/// How much farther than the elastic estimate a release may have to go, for the size of its
/// increments only.
const RELEASE_MARGIN: f64 = 1.25;

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
    stop: bool,
}

impl SectionRun {
    /// Meshes the section of `job` and stands ready for its first stage.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn new(job: SectionJob) -> Result<Self, StageError> {
        let part = job.part;
        let walls = job.stages.iter().filter_map(|stage| match stage {
            SectionStage::Spotface { diameter, .. } => Some(0.5 * diameter),
            _ => None,
        });
        let plan = SectionPlan {
            depths: cut_depths(&job),
            walls: walls.collect(),
            fineness: job.numerics.fineness,
            ..SectionPlan::ring(
                0.5 * part.starting_diameter,
                0.5 * part.outer_diameter,
                part.thickness,
            )
        };
        let grid = plan.grid();
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
            stop: false,
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
            let stage = self.job.stages[self.next_stage].clone();
            let label = self.job.label(self.next_stage);
            match &stage {
                SectionStage::Draw { tool, support, backwards } => {
                    self.draw(&label, tool, *support, *backwards, observer)?;
                }
                SectionStage::Grow { diameter } => {
                    self.keep_flat();
                    let done = self.grow(&label, *diameter, observer);
                    self.system.supports = seat(&self.system.mesh);
                    self.system.loose = None;
                    done?;
                }
                SectionStage::Ream { diameter } => {
                    let cutter = Cutter::Cylinder { radius: 0.5 * diameter };
                    let cut = self.cut(cutter)?;
                    self.take(&label, "reamed", cut, observer)?;
                }
                SectionStage::Spotface { face, depth, diameter } => {
                    let tool = Spotface { face: *face, depth: *depth, radius: 0.5 * diameter };
                    let on = (&self.grid, &self.standing());
                    let cut = spotface::cut(on, &self.job.hole, tool)?;
                    self.take(&label, "spotfaced", cut, observer)?;
                }
                SectionStage::Countersink { face, depth, angle } => {
                    let cutter =
                        Cutter::Cone { face: *face, depth: *depth, half_angle: 0.5 * angle };
                    let cut = self.cut(cutter)?;
                    self.take(&label, "countersunk", cut, observer)?;
                }
            }
            if self.stop {
                return Ok(SectionEnding::Interrupted);
            }
            self.next_stage += 1;
        }
        Ok(SectionEnding::Done)
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

    fn draw(
        &mut self,
        label: &str,
        tool: &DrawTool,
        support: Support,
        backwards: bool,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), StageError> {
        let mesh = &self.system.mesh;
        let row = tallest_row(mesh);
        let bore = bore_radius(mesh, &mandrel(mesh, tool, backwards, None), &self.state);
        let wide = 0.5 * tool.acting_diameter() - bore;
        if wide <= 0.0 {
            return Err(StageError::ToolTooSmall {
                hole: self.job.hole.clone(),
                tool: tool.acting_diameter(),
                smallest: 2.0 * bore,
            });
        }
        let part = tool.sleeve.as_ref().map(|_| mesh.clone());
        let lined = match &tool.sleeve {
            None => None,
            Some(layer) => {
                let Self { job, system, state, .. } = self;
                let sleeve = (layer.as_ref(), tool.sleeve_thickness);
                let (with, nodes) = sleeve::put_in(job, system, state, sleeve)?;
                self.earlier_factorizations += self.system.factorizations();
                self.system = with;
                Some(nodes)
            }
        };
        let mesh = &self.system.mesh;
        let protrusion = tool.sleeve.as_ref().map_or(0.0, |layer| layer.protrusion);
        let thickness = self.job.part.thickness;
        let contact = mandrel(mesh, tool, backwards, lined.as_ref());
        let radius = tool.pushing_radius();
        let start = first_touch(mesh, &contact, &self.state, radius);
        let sense = if backwards { -1.0 } else { 1.0 };
        // The trail taper has left when it is as thin at the far face as the hole was; the hole is
        // wider by then, so contact ends before.
        let lead = tool.profile.lead_reach(wide);
        let length = thickness + 2.0 * protrusion;
        let way = lead + tool.profile.land + length + tool.profile.trail_reach(wide);
        let mut tools = vec![contact];
        tools.extend(nose_cap(mesh, support, backwards, thickness));
        tools.extend(lined.map(|nodes| sleeve_rest(mesh, &nodes, backwards)));
        self.put_in(tools);
        let pose = &mut self.state.tools[0];
        pose.radius = radius;
        pose.unloaded_radius = radius;
        pose.centre = [0.0, start];
        let increments = self.job.numerics.increments as f64;
        let step = (row * ROWS_PER_INCREMENT / increments)
            .min(lead / increments)
            .min(2.0 * tool.profile.land / increments);
        let drive = Drive {
            travel: Some((0, [[0.0, start], [0.0, start + sense * way]])),
            step: step / way,
            until_open: true,
            ..Drive::default()
        };
        self.phase(label, SectionPhase::Draw, &drive, observer)?;
        if self.stop {
            return Ok(());
        }
        if let Some(part) = part {
            self.earlier_factorizations += self.system.factorizations();
            let Self { job, system, state, .. } = self;
            self.system = sleeve::take_out(job, (system, part), state)?;
            self.give_up(label, SectionPhase::SleeveOut, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        self.put_in(Vec::new());
        let heading = format!("hole {}, mandrel drawn through", self.job.hole);
        self.emit(label, &heading, false, observer);
        Ok(())
    }

    fn grow(
        &mut self,
        label: &str,
        diameter: f64,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), StageError> {
        let contact = cylinder(&self.system.mesh);
        let full = 0.5 * diameter;
        let start = bore_radius(&self.system.mesh, &contact, &self.state);
        if full <= start {
            return Err(StageError::ToolTooSmall {
                hole: self.job.hole.clone(),
                tool: diameter,
                smallest: 2.0 * start,
            });
        }
        self.put_in(vec![contact]);
        let pose = &mut self.state.tools[0];
        pose.radius = start;
        pose.unloaded_radius = start;
        let increments = self.job.numerics.increments as f64;
        let drive =
            Drive { tool: Some((0, [start, full])), step: increments.recip(), ..Drive::default() };
        self.phase(label, SectionPhase::Grow, &drive, observer)?;
        if self.stop {
            return Ok(());
        }
        let heading = format!("hole {} expanded evenly, tool at full size", self.job.hole);
        self.emit(&format!("{label}-full"), &heading, true, observer);
        if self.stop {
            return Ok(());
        }
        let end = start - 0.1 * (full - start);
        let recovery = RELEASE_MARGIN * springback(&self.job.material, start, full - start);
        let drive = Drive {
            tool: Some((0, [full, end])),
            step: (2.0 * recovery / (increments * (full - end))).min(0.5),
            until_open: true,
            ..Drive::default()
        };
        self.phase(label, SectionPhase::Release, &drive, observer)?;
        if self.stop {
            return Ok(());
        }
        self.put_in(Vec::new());
        let heading = format!("hole {} expanded evenly, tool out", self.job.hole);
        self.emit(label, &heading, false, observer);
        Ok(())
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
    ) -> Result<(), StageError> {
        let SectionCut { grid, mesh, state } = cut;
        let system = set_up(&self.job, mesh)?;
        self.earlier_factorizations += self.system.factorizations();
        self.grid = grid;
        self.system = system;
        self.state = state;
        self.give_up(label, SectionPhase::Cut, observer)?;
        if !self.stop {
            let heading = format!("hole {} {done}", self.job.hole);
            self.emit(label, &heading, false, observer);
        }
        Ok(())
    }

    /// Gives up, in increments, the forces that hold the part as it is without its tools.
    fn give_up(
        &mut self,
        label: &str,
        phase: SectionPhase,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), StageError> {
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

    fn phase(
        &mut self,
        label: &str,
        phase: SectionPhase,
        drive: &Drive,
        observer: &mut dyn SectionObserver,
    ) -> Result<(), StageError> {
        let Self { system, state, travel, account, stop, .. } = self;
        let mut watch = Watch::begin(label, phase, drive, state);
        let end = system.run_phase(state, drive, |system, state, increment| {
            let record = watch.record(system, state, increment, travel.len(), account);
            let flow = observer.increment(&record, system, state);
            travel.push(record);
            *stop |= flow.is_break();
            flow
        });
        match end {
            PhaseEnd::Failed(error) => Err(error.into()),
            PhaseEnd::Stopped | PhaseEnd::Done => Ok(()),
        }
    }

    fn emit(
        &mut self,
        label: &str,
        heading: &str,
        loaded: bool,
        observer: &mut dyn SectionObserver,
    ) {
        let snapshot = SectionSnapshot {
            label: label.to_owned(),
            heading: heading.to_owned(),
            stage: self.next_stage + 1,
            loaded,
            mesh: self.system.mesh.clone(),
            state: self.state.clone(),
            strains: self.job.numerics.strains,
            factorizations: self.earlier_factorizations + self.system.factorizations(),
            travel: self.travel.clone(),
        };
        self.stop |= observer.snapshot(snapshot).is_break();
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
