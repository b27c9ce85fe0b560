//! The stages, one after another, from a drawn plate to its last state.
//!
//! Floor 4, `process`.

use std::ops::ControlFlow;

use crate::mesh::build;
use crate::mesh::topology::Mesh;
use crate::process::error::StageError;
use crate::process::expand;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::job::Job;
use crate::process::load;
use crate::process::plan::{mesh_plan, springback};
use crate::process::ream::{Cut, Cutter, cut};
use crate::process::snapshot::{CutReading, HoleStatus, Snapshot, ToolReading, VERSION};
use crate::process::stage::{Load, Stage};
use crate::process::tool::Tool;
use crate::solver::contact::ToolState;
use crate::solver::increment::{Drive, Increment, PhaseEnd};
use crate::solver::state::State;
use crate::solver::supports::Supports;
use crate::solver::system::System;

/// Increments of a ream at the default fineness of increments; the traction given up is
/// small beside that of an expansion.
const REAM_SHARE: f64 = 0.25;

/// How much farther than the elastic estimate a release may have to go, for the size of its
/// increments only: reverse yielding and a near edge make the plate softer.
const RELEASE_MARGIN: f64 = 1.25;

/// Watches a run, and may stop it after any increment.
pub trait Observer {
    /// An increment is in equilibrium.
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()>;
    /// A phase is finished.
    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()>;
}

/// How a run ended that did not fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// All stages are done.
    Done,
    /// The observer stopped it.
    Interrupted,
}

/// A stage that failed, and the last state in equilibrium.
#[derive(Debug)]
pub struct StageFailure {
    /// Label of the stage.
    pub stage: String,
    /// Why.
    pub error: StageError,
    /// The last good state; its label ends in `-last-good`. `None` when nothing was meshed.
    pub last_good: Option<Box<Snapshot>>,
}

/// A job under way.
#[derive(Debug)]
pub struct Sequence {
    job: Job,
    system: System,
    state: State,
    next_stage: usize,
    holes: Vec<HoleStatus>,
    full_size_strain: Vec<f64>,
    history: Vec<HistoryRecord>,
    /// Factorizations of systems that a cut has replaced.
    earlier_factorizations: usize,
    stop: bool,
}

impl Sequence {
    /// Meshes the plate of `job` and stands ready for its first stage.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the plate cannot be meshed or the equations not set up.
    pub fn new(job: Job) -> Result<Self, StageError> {
        let mesh = build(&job.plate, &mesh_plan(&job))?;
        Self::with_mesh(job, mesh)
    }

    /// The same on a mesh made elsewhere, whose holes are those of the job's plate.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn with_mesh(job: Job, mesh: Mesh) -> Result<Self, StageError> {
        let holes = job
            .plate
            .holes
            .iter()
            .map(|hole| HoleStatus {
                nominal_diameter: hole.starting_diameter,
                starting_diameter: hole.starting_diameter,
                applied_expansion: None,
                reamed: false,
            })
            .collect();
        let system = set_up(&job, mesh)?;
        let state = system.virgin_state();
        Ok(Self {
            job,
            system,
            state,
            next_stage: 0,
            holes,
            full_size_strain: Vec::new(),
            history: Vec::new(),
            earlier_factorizations: 0,
            stop: false,
        })
    }

    /// Goes on from a snapshot at the end of a stage.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn resume(job: Job, snapshot: Snapshot) -> Result<Self, StageError> {
        let system = set_up(&job, snapshot.mesh)?;
        Ok(Self {
            job,
            system,
            state: snapshot.state,
            next_stage: snapshot.stage,
            holes: snapshot.holes,
            full_size_strain: snapshot.full_size_strain,
            history: snapshot.history,
            earlier_factorizations: snapshot.factorizations,
            stop: false,
        })
    }

    /// The mesh as it stands.
    #[must_use]
    pub fn mesh(&self) -> &Mesh {
        &self.system.mesh
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
    /// [`StageFailure`] with the last state in equilibrium.
    pub fn run(&mut self, observer: &mut dyn Observer) -> Result<Ending, StageFailure> {
        while self.next_stage < self.job.stages.len() {
            let stage = self.job.stages[self.next_stage].clone();
            let label = stage.label(self.next_stage + 1, &self.hole_names());
            let outcome = match &stage {
                Stage::Expand { hole, tool } => self.expand(&label, *hole, tool, observer),
                Stage::Ream { hole, diameter, offset } => {
                    self.ream(&label, *hole, *diameter, *offset, observer)
                }
                Stage::Load { load, cycles } => self.load(&label, load, *cycles, observer),
            };
            match outcome {
                Ok(()) if self.stop => return Ok(Ending::Interrupted),
                Ok(()) => self.next_stage += 1,
                Err(error) => {
                    let last =
                        self.snapshot(&format!("{label}-last-good"), "last state in equilibrium");
                    return Err(StageFailure {
                        stage: label,
                        error,
                        last_good: Some(Box::new(last)),
                    });
                }
            }
        }
        Ok(Ending::Done)
    }

    fn hole_names(&self) -> Vec<&str> {
        self.job.plate.holes.iter().map(|hole| hole.name.as_str()).collect()
    }

    fn step(&self) -> f64 {
        1.0 / self.job.numerics.increments as f64
    }

    fn expand(
        &mut self,
        label: &str,
        hole: usize,
        tool: &Tool,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let drawn = &self.job.plate.holes[hole];
        let name = drawn.name.clone();
        let contact = expand::contact(
            &self.system.mesh,
            (hole, drawn),
            tool,
            self.job.idealisation,
            self.job.plate.thickness,
        );
        let start = expand::touching_radius(&self.system.mesh, &contact, &self.state);
        let full = 0.5 * tool.acting_diameter();
        if full <= start {
            return Err(StageError::ToolTooSmall {
                hole: name,
                tool: 2.0 * full,
                smallest: 2.0 * start,
            });
        }
        self.holes[hole].applied_expansion =
            Some(tool.applied_expansion(self.holes[hole].nominal_diameter));
        self.holes[hole].reamed = false;
        self.state.tool = Some(ToolState::new(start, contact.nodes.len()));
        let compliance = contact.compliance;
        self.system.set_tool(Some(contact));

        let drive = Drive { radius: Some([start, full]), step: self.step(), ..Drive::default() };
        self.phase(label, Phase::Expand, &drive, hole, observer)?;
        if self.stop {
            return Ok(());
        }
        self.full_size_strain = self.state.points.iter().map(|point| point.equivalent).collect();
        self.emit(
            &format!("{label}-full"),
            &format!("hole {name} expanded, tool at full size"),
            observer,
        );
        if self.stop {
            return Ok(());
        }

        // Once nothing touches, further shrinking changes nothing: the end is only a bound.
        let end = start - 0.1 * (full - start);
        let range = full - end;
        let given_way =
            self.state.tool.as_ref().map_or(0.0, |tool| tool.unloaded_radius - tool.radius);
        debug_assert!(compliance > 0.0 || given_way == 0.0);
        let recovery =
            given_way + RELEASE_MARGIN * springback(&self.job.material, start, full - start);
        let steps = (0.5 * self.job.numerics.increments as f64).max(4.0);
        let drive = Drive {
            radius: Some([full, end]),
            step: (recovery / (steps * range)).min(0.5),
            until_open: true,
            ..Drive::default()
        };
        self.phase(label, Phase::Release, &drive, hole, observer)?;
        if self.stop {
            return Ok(());
        }
        self.state.tool = None;
        self.system.set_tool(None);
        self.finish(label, &format!("hole {name} expanded, tool out"), observer);
        Ok(())
    }

    fn ream(
        &mut self,
        label: &str,
        hole: usize,
        diameter: f64,
        offset: [f64; 2],
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let drawn = &self.job.plate.holes[hole];
        let name = drawn.name.clone();
        let cutter = Cutter {
            centre: [drawn.centre[0] + offset[0], drawn.centre[1] + offset[1]],
            radius: 0.5 * diameter,
        };
        let Cut { mesh, state, extra, largest_move, removed_volume, .. } = cut(
            &self.system.mesh,
            &self.state,
            drawn,
            hole,
            cutter,
            &self.full_size_strain,
            self.job.plate.thickness,
        )?;
        let copies = mesh.symmetry.copies() as f64;
        let system = set_up(&self.job, mesh)?;
        self.earlier_factorizations += self.system.factorizations();
        self.system = system;
        self.state = state;
        self.full_size_strain = extra;
        let transfer_error = self.hold(hole)?;
        self.holes[hole].nominal_diameter = diameter;
        self.holes[hole].reamed = true;
        let drive = Drive {
            external: Some(vec![[0.0; 2]; self.system.mesh.nodes.len()]),
            step: self.step() / REAM_SHARE,
            ..Drive::default()
        };
        self.phase(label, Phase::Ream, &drive, hole, observer)?;
        if self.stop {
            return Ok(());
        }
        let mut snapshot = self.snapshot(label, &format!("hole {name} reamed"));
        snapshot.finished = true;
        snapshot.cut = Some(CutReading {
            removed_volume: copies * removed_volume,
            largest_move,
            transfer_error,
        });
        self.hand_over(snapshot, observer);
        Ok(())
    }

    /// Recomputes the stresses of a state just carried over and holds it in place by the
    /// forces it lacks. Returns what of them lies away from the edge of `hole`, as a share of the
    /// reference force.
    fn hold(&mut self, hole: usize) -> Result<f64, StageError> {
        let before = self.state.energy.elastic;
        let increment = |cause| {
            StageError::Increment(crate::solver::error::IncrementError {
                done: 0.0,
                cutbacks: 0,
                cause,
            })
        };
        self.system.settle(&mut self.state).map_err(increment)?;
        self.state.energy.removed += before - self.state.energy.elastic;
        let mut on_edge = vec![false; self.system.mesh.nodes.len()];
        for &node in &self.system.mesh.holes[hole].edge {
            on_edge[node] = true;
        }
        let held = &self.system.supports.held;
        let away: f64 = self
            .state
            .external
            .iter()
            .enumerate()
            .filter(|(node, _)| !on_edge[*node])
            .map(|(node, force)| {
                (0..2).filter(|&axis| !held[node][axis]).map(|axis| force[axis].abs()).sum::<f64>()
            })
            .sum();
        Ok(away / self.system.reference_force())
    }

    fn load(
        &mut self,
        label: &str,
        load: &Load,
        cycles: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let names = self.job.plate.outline.edge_names();
        let full = load::forces(&self.system.mesh, load, self.job.plate.thickness, &names)?;
        let hole = load.pressure.map_or(0, |(hole, _)| hole);
        let nothing = vec![[0.0; 2]; full.len()];
        for cycle in 1..=cycles {
            let last = cycle == cycles;
            let step = self.step();
            let drive = Drive { external: Some(full.clone()), step, ..Drive::default() };
            self.phase(label, Phase::LoadUp, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
            if last {
                let mut snapshot = self.snapshot(&format!("{label}-full"), "at full load");
                snapshot.loaded = true;
                self.hand_over(snapshot, observer);
            }
            if self.stop {
                return Ok(());
            }
            let drive = Drive { external: Some(nothing.clone()), step, ..Drive::default() };
            self.phase(label, Phase::LoadDown, &drive, hole, observer)?;
            if self.stop {
                return Ok(());
            }
        }
        self.finish(label, "load taken off", observer);
        Ok(())
    }

    fn phase(
        &mut self,
        label: &str,
        phase: Phase,
        drive: &Drive,
        hole: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let Self { system, state, history, stop, holes, .. } = self;
        // A plate without holes has no expansion to relate to it.
        let nominal = 0.5 * holes.get(hole).map_or(1.0, |hole| hole.nominal_diameter);
        let end = system.run_phase(state, drive, |system, state, increment| {
            let record = record(label, phase, system, state, increment, nominal, history.len());
            let flow = observer.increment(&record);
            history.push(record);
            *stop |= flow.is_break();
            flow
        });
        match end {
            PhaseEnd::Failed(error) => Err(error.into()),
            PhaseEnd::Stopped | PhaseEnd::Done => Ok(()),
        }
    }

    fn emit(&mut self, label: &str, heading: &str, observer: &mut dyn Observer) {
        let snapshot = self.snapshot(label, heading);
        self.hand_over(snapshot, observer);
    }

    fn finish(&mut self, label: &str, heading: &str, observer: &mut dyn Observer) {
        let mut snapshot = self.snapshot(label, heading);
        snapshot.finished = true;
        self.hand_over(snapshot, observer);
    }

    fn hand_over(&mut self, snapshot: Snapshot, observer: &mut dyn Observer) {
        let last = snapshot.finished && snapshot.stage == self.job.stages.len();
        // There is nothing left to stop after the last snapshot.
        self.stop |= observer.snapshot(snapshot).is_break() && !last;
    }

    fn snapshot(&self, label: &str, heading: &str) -> Snapshot {
        let reading =
            self.system.tool.as_ref().zip(self.state.tool.as_ref()).map(|(contact, tool)| {
                let hole = contact.hole;
                let drawn = &self.job.plate.holes[hole];
                ToolReading {
                    hole,
                    pressures: contact
                        .nodes
                        .iter()
                        .zip(tool.pressures(contact))
                        .map(|(&node, pressure)| {
                            [drawn.angle_to(self.system.mesh.nodes[node]), pressure]
                        })
                        .collect(),
                    mean_pressure: contact.mean_pressure(tool),
                    mandrel_shift: tool.centre,
                    penetration: self.system.closed_gap(&self.state),
                }
            });
        Snapshot {
            version: VERSION,
            label: label.to_owned(),
            heading: heading.to_owned(),
            stage: self.next_stage + 1,
            finished: false,
            loaded: reading.is_some(),
            mesh: self.system.mesh.clone(),
            state: self.state.clone(),
            full_size_strain: self.full_size_strain.clone(),
            holes: self.holes.clone(),
            tool: reading,
            cut: None,
            factorizations: self.earlier_factorizations + self.system.factorizations(),
            history: self.history.clone(),
        }
    }
}

fn set_up(job: &Job, mesh: Mesh) -> Result<System, StageError> {
    let smallest = job.plate.holes.iter().map(crate::geometry::hole::Hole::radius);
    // Without holes, which a library may ask for, the plate says what is small.
    let length = smallest.fold(0.5 * job.plate.outline.extent(), f64::min);
    let mut system =
        System::new(mesh, job.material.clone(), job.idealisation, job.plate.thickness, length)?;
    system.supports = Supports::with(&system.mesh, &job.supports);
    Ok(system)
}

#[allow(clippy::too_many_arguments)]
fn record(
    label: &str,
    phase: Phase,
    system: &System,
    state: &State,
    increment: &Increment,
    nominal_radius: f64,
    before: usize,
) -> HistoryRecord {
    let copies = system.mesh.symmetry.copies() as f64;
    let tool = system.tool.as_ref().zip(state.tool.as_ref());
    let load_factor = match phase {
        Phase::LoadUp => increment.share,
        Phase::LoadDown => 1.0 - increment.share,
        _ => 0.0,
    };
    HistoryRecord {
        stage: label.to_owned(),
        phase,
        increment: before + 1,
        share: increment.share,
        expansion: tool.map_or(0.0, |(_, tool)| tool.radius / nominal_radius - 1.0),
        mean_pressure: tool.map_or(0.0, |(contact, tool)| contact.mean_pressure(tool)),
        peak_pressure: tool
            .map_or(0.0, |(contact, tool)| tool.pressures(contact).fold(0.0, f64::max)),
        closed_nodes: tool.map_or(0, |(_, tool)| tool.closed_count()),
        mandrel_shift: tool.map_or([0.0; 2], |(_, tool)| tool.centre),
        load_factor,
        iterations: increment.iterations.residuals.len(),
        status_changes: increment.iterations.status_changes,
        cutbacks: increment.cutbacks,
        residual: increment.iterations.residuals.last().copied().unwrap_or(0.0),
        residuals: increment.iterations.residuals.clone(),
        external_work: copies * state.energy.external,
        elastic_energy: copies * state.energy.elastic,
        plastic_work: copies * state.energy.plastic,
        largest_plastic_strain: state.largest_plastic_strain(),
    }
}
