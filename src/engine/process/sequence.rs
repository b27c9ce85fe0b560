//! The stages, one after another, from a drawn plate to its last state.

mod bushing;
mod cutting;
mod heating;
mod joining;
mod joint_state;
mod loading;
mod observer;
mod reading;
mod record;
mod setting;
mod tooling;
mod under_way;

pub use crate::process::sequence::observer::{Ending, Moment, Observer, StageFailure};

use std::ops::ControlFlow;
use std::sync::Arc;

use crate::mesh::adjacency::Adjacency;
use crate::mesh::build;
use crate::mesh::topology::Mesh;
use crate::process::flowed::Flowed;
use crate::process::history::{HistoryRecord, Phase};
use crate::process::job::Job;
use crate::process::ligament::{Bound, BreakThrough, reached};
use crate::process::plan::mesh_plan;
use crate::process::region_metals::set_hot;
use crate::process::sequence::record::record;
use crate::process::sequence::setting::set_up;
use crate::process::sequence::under_way::ServiceUnderWay;
use crate::process::service_history::ServiceHistory;
use crate::process::snapshot::{HoleStatus, Snapshot};
use crate::process::stage::Stage;
use crate::process::stage_error::StageError;
use crate::solver::increment::PhaseEnd;
use crate::solver::newton::Scheme;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::symbolic::SymbolicStore;
use crate::solver::system::System;

/// Growth of the largest equivalent plastic strain in one ramp of a load that is a collapse. A tool only
/// goes as far as it is large, whatever the strain.
const COLLAPSE: f64 = 0.6;

/// A job under way.
#[derive(Debug)]
pub struct Sequence {
    job: Job,
    system: System,
    state: State,
    next_stage: usize,
    holes: Vec<HoleStatus>,
    full_size_strain: Vec<f64>,
    flowed: Flowed,
    history: Vec<HistoryRecord>,
    break_throughs: Vec<BreakThrough>,
    /// Factorizations of systems that a cut has replaced.
    earlier_factorizations: usize,
    /// Service loads that are over, and the one under way.
    services: Vec<ServiceHistory>,
    service: Option<ServiceUnderWay>,
    /// Shares of the load that the phase at hand begins and ends at.
    load_span: [f64; 2],
    stop: bool,
    /// Where the order of elimination of meshes connected alike is found.
    store: Arc<SymbolicStore>,
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
        Self::with_store(job, mesh, Arc::default())
    }

    /// The same with a store of what was found for meshes that are connected alike, for this mesh and for
    /// those that reams leave.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn with_store(job: Job, mesh: Mesh, store: Arc<SymbolicStore>) -> Result<Self, StageError> {
        let system = set_up(&job, mesh, &store)?;
        Ok(Self { store, ..Self::begin(job, system) })
    }

    fn begin(job: Job, system: System) -> Self {
        let holes = job
            .plate
            .holes
            .iter()
            .map(|hole| HoleStatus {
                nominal_diameter: hole.starting_diameter,
                axis: hole.centre,
                starting_diameter: hole.starting_diameter,
                applied_expansion: None,
                reamed: false,
            })
            .collect();
        let state = system.virgin_state();
        Self {
            job,
            system,
            state,
            next_stage: 0,
            holes,
            full_size_strain: Vec::new(),
            flowed: Flowed::default(),
            history: Vec::new(),
            break_throughs: Vec::new(),
            earlier_factorizations: 0,
            services: Vec::new(),
            service: None,
            load_span: [0.0, 1.0],
            stop: false,
            store: Arc::default(),
        }
    }

    /// Goes on from a snapshot at the end of a stage.
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn resume(job: Job, snapshot: Snapshot) -> Result<Self, StageError> {
        Self::resume_with_store(job, snapshot, Arc::default())
    }

    /// The same with a store, as [`Sequence::with_store`].
    ///
    /// # Errors
    ///
    /// [`StageError`] when the equations cannot be set up.
    pub fn resume_with_store(
        job: Job,
        snapshot: Snapshot,
        store: Arc<SymbolicStore>,
    ) -> Result<Self, StageError> {
        let mut system = set_up(&job, snapshot.mesh, &store)?;
        set_hot(&job, &mut system, job.hot_shares(snapshot.stage));
        system.set_tools(snapshot.contacts);
        system.set_joints(snapshot.joints);
        system.set_mated(snapshot.mated);
        Ok(Self {
            job,
            system,
            store,
            state: snapshot.state,
            next_stage: snapshot.stage,
            holes: snapshot.holes,
            full_size_strain: snapshot.full_size_strain,
            flowed: snapshot.flowed,
            history: snapshot.history,
            break_throughs: snapshot.break_throughs,
            earlier_factorizations: snapshot.factorizations,
            services: snapshot.services,
            service: None,
            load_span: [0.0, 1.0],
            stop: false,
        })
    }

    /// Sets how tangents are found from now on.
    pub fn set_scheme(&mut self, scheme: Scheme) {
        self.system.method.scheme = scheme;
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
                Stage::Expand { hole, .. }
                | Stage::Ream { hole, .. }
                | Stage::Fasten { hole, .. }
                | Stage::Unfasten { hole }
                    if self.is_under_doubler(&stage) =>
                {
                    Err(self.under_doubler(*hole))
                }
                Stage::Bush(bush) if !self.system.mesh.sheets.is_empty() => {
                    Err(self.under_doubler(bush.hole))
                }
                Stage::Expand { hole, tool } => self.expand(&label, *hole, tool, observer),
                Stage::Bush(bush) => self.bush(&label, bush, observer),
                Stage::Join { doubler } if !self.system.mesh.matings.is_empty() => {
                    Err(StageError::DoublerOverBush { doubler: doubler.name.clone() })
                }
                Stage::Ream { hole, diameter, offset } => {
                    self.ream(&label, *hole, *diameter, *offset, observer)
                }
                Stage::Fasten { hole, diameter, elastic } => {
                    self.fasten(&label, *hole, *diameter, *elastic, observer)
                }
                Stage::Unfasten { hole } => self.unfasten(&label, *hole, observer),
                Stage::Join { doubler } => self.join(&label, doubler, observer),
                Stage::Detach { doubler } => self.detach(&label, doubler, observer),
                Stage::Temperature { difference, expansions, metals, relaxation } => {
                    let to = (*difference, expansions.as_slice());
                    self.heat(&label, to, metals, relaxation.as_ref(), observer)
                }
                Stage::Load { load, cycles } => self.load(&label, load, *cycles, observer),
                Stage::Service { load, program } => self.serve(&label, load, program, observer),
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

    fn under_doubler(&self, hole: usize) -> StageError {
        let first = self.system.mesh.sheets.first();
        StageError::UnderDoubler {
            hole: self.job.plate.holes[hole].name.clone(),
            doubler: first.map(|sheet| sheet.name.clone()).unwrap_or_default(),
        }
    }

    /// Whether a stage works a hole while a doubler is in the way: tools and cutters reach no hole of a plate
    /// with a doubler on it, and fasteners of a doubler stay with it.
    fn is_under_doubler(&self, stage: &Stage) -> bool {
        let joined = |hole: usize| {
            let tools = self.system.tools.iter();
            tools.filter(|tool| tool.sheet > 0).any(|tool| tool.hole == hole)
        };
        match stage {
            Stage::Expand { .. } | Stage::Ream { .. } => !self.system.mesh.sheets.is_empty(),
            Stage::Fasten { hole, .. } | Stage::Unfasten { hole } => joined(*hole),
            _ => false,
        }
    }

    /// The equations of another mesh, which take the place of those now: metals as hot as they are, scheme, times and
    /// number of factorizations carried on.
    fn next_system(&mut self, mesh: Mesh) -> Result<System, StageError> {
        let mut system = set_up(&self.job, mesh, &self.store)?;
        set_hot(&self.job, &mut system, self.job.hot_shares(self.next_stage));
        self.earlier_factorizations += self.system.factorizations();
        system.times = self.system.times;
        system.method.scheme = self.system.method.scheme;
        Ok(system)
    }

    fn hole_names(&self) -> Vec<&str> {
        self.job.plate.holes.iter().map(|hole| hole.name.as_str()).collect()
    }

    fn step(&self) -> f64 {
        1.0 / self.job.numerics.increments as f64
    }

    fn phase(
        &mut self,
        label: &str,
        phase: Phase,
        drive: &Drive,
        hole: usize,
        observer: &mut dyn Observer,
    ) -> Result<(), StageError> {
        let Self {
            system,
            state,
            history,
            stop,
            holes,
            break_throughs,
            full_size_strain,
            service,
            load_span,
            ..
        } = self;
        // A load of the other kind goes down from full to none.
        let span = match (phase, service.is_none()) {
            (Phase::LoadDown, true) => [1.0, 0.0],
            _ => *load_span,
        };
        // A plate without holes has no expansion to relate to it.
        let nominal = 0.5 * holes.get(hole).map_or(1.0, |hole| hole.nominal_diameter);
        let adjacency = (phase == Phase::Expand).then(|| Adjacency::new(&system.mesh));
        let mut before = 0.0;
        let strained = state.largest_plastic_strain();
        let mut collapsed = None;
        let end = system.run_phase(state, drive, |system, state, increment| {
            let mut record =
                record(label, phase, system, state, increment, (hole, nominal), history.len());
            if matches!(phase, Phase::LoadUp | Phase::LoadDown) {
                record.load_factor = span[0] + increment.share * (span[1] - span[0]);
            }
            if let Some(service) = service.as_mut() {
                service.follow(state, record.load_factor);
            }
            let flow = observer.increment(&record);
            observer.state(&Moment { record: &record, system, state, full_size_strain });
            let strain = record.largest_plastic_strain - strained;
            history.push(record);
            let loading = matches!(phase, Phase::LoadUp | Phase::LoadDown);
            if loading && strain > COLLAPSE {
                collapsed = Some(StageError::Collapsed { strain, share: increment.share });
                return ControlFlow::Break(());
            }
            if let Some(adjacency) = &adjacency {
                for bound in reached(&system.mesh, adjacency, &state.points, hole) {
                    note(break_throughs, bound, label, hole, [before, increment.share]);
                }
                before = increment.share;
            }
            *stop |= flow.is_break();
            flow
        });
        if let Some(collapsed) = collapsed {
            return Err(collapsed);
        }
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
}

/// Notes what the plastic zone of `hole` has reached, when for the first time in this stage.
fn note(
    known: &mut Vec<BreakThrough>,
    bound: Bound,
    label: &str,
    hole: usize,
    [not_yet, share]: [f64; 2],
) {
    if !known.iter().any(|k| k.stage == label && k.bound == bound) {
        known.push(BreakThrough { stage: label.to_owned(), hole, bound, share, not_yet });
    }
}
