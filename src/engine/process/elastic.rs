//! The purely elastic answer of a plate, as it stands after its stages, to a remote load.
//!
//! Mesh and supports are those of the snapshot. With small strains its stresses and histories are left
//! out. With finite strains they stay: the answer is what a small share of the load adds to
//! the deformed part, over that share,
//!
//! ```text
//! σ₁ = (σ(state + η load) − σ(state)) / η
//! ```
//!
//! with a metal that yields no more. It is linear in the load, belongs to the part as it stands (edge where it is
//! now, rim as thick as it has become), and has the small part that the residual stress turns with the
//! metal. Either way it superposes on the residual state as long as nothing yields. Forces in the state that hold tools or
//! supports are held as they are.
//!
//! A bearing force of the load comes through a rigid pin without friction that fits the hole as it stands: every node of
//! the edge just touches it before there is a force. Such a pin touches the same part of the edge whatever the size of the force, so the
//! answer is in proportion to the load as long as that does not turn round. A round pin in a hole that the work left
//! out of round would touch it in spots first, and no answer would be in proportion.

use std::ops::ControlFlow;

use nalgebra::Vector4;

use crate::geometry::hole::Hole;
use crate::material::hardening::{Isotropic, Material};
use crate::material::strains::Strains;
use crate::process::expand;
use crate::process::flowed::Flowed;
use crate::process::job::Job;
use crate::process::load;
use crate::process::region_metals::set_regions;
use crate::process::snapshot::Snapshot;
use crate::process::stage::Load;
use crate::process::stage_error::StageError;
use crate::process::tool::Tool;
use crate::solver::contact::{ToolContact, ToolState};
use crate::solver::increment::PhaseEnd;
use crate::solver::increment_error::IncrementError;
use crate::solver::newton::Scheme;
use crate::solver::prescribed::Drive;
use crate::solver::state::State;
use crate::solver::supports::Supports;
use crate::solver::system::System;

/// A yield stress that no answer reaches, over Young's modulus.
const NEVER: f64 = 1e3;

/// Share of the load that a deformed part is given: its answer bends by a hundredth of what the strain of
/// the whole load is, and is a thousand times what equilibrium is found to.
const SMALL_SHARE: f64 = 0.01;

/// The metal as if it never yielded. Where it would yield no longer matters, so it has no backstress.
fn unyielding(metal: &Material) -> Material {
    let elasticity = metal.elasticity;
    Material {
        elasticity,
        yield_stress: NEVER * elasticity.youngs_modulus,
        isotropic: Isotropic::None,
        kinematic: Vec::new(),
    }
}

/// The state of the plate of `snapshot` under `load` alone, with a metal that does not yield: stresses are
/// those of the load; with finite strains displacements, which say where the part stands, are those of the snapshot.
///
/// The load must mirror where the mesh of the snapshot is a half or a quarter.
///
/// # Errors
/// [`StageError`] when an edge is not there, or the equations cannot be set up or solved.
pub fn elastic_answer(job: &Job, snapshot: &Snapshot, load: &Load) -> Result<Snapshot, StageError> {
    let mut system = ready(job, snapshot)?;
    let edges = job.plate.outline.edge_names();
    let external = load::forces(&system.mesh, load, job.plate.thickness, &edges)?;
    let start = match job.numerics.strains {
        Strains::Small => system.virgin_state(),
        Strains::Finite => State { tools: Vec::new(), ..snapshot.state.clone() },
    };
    let (contacts, tools) =
        load.bearing.iter().map(|&(hole, _)| pin(job, &system, hole, &start)).unzip();
    system.set_tools(contacts);
    let holes: Vec<&str> = job.plate.holes.iter().map(|hole| hole.name.as_str()).collect();
    let bearing = load::bearings(&system.mesh, load, &system.tools, &holes)?;
    let mut start = State { tools, ..start };
    let mut state = match job.numerics.strains {
        Strains::Small => {
            loaded(&mut system, &mut start, (external, bearing))?;
            start
        }
        Strains::Finite => {
            let stress = added(&mut system, start, (&external, &bearing))?;
            State { stress, ..snapshot.state.clone() }
        }
    };
    state.tools.clear();
    Ok(Snapshot {
        label: "elastic-load".to_owned(),
        heading: "elastic, under the stated load alone".to_owned(),
        finished: false,
        loaded: true,
        state,
        full_size_strain: Vec::new(),
        flowed: Flowed::default(),
        contacts: Vec::new(),
        tools: Vec::new(),
        support_forces: Vec::new(),
        break_throughs: Vec::new(),
        cut: None,
        history: Vec::new(),
        ..snapshot.clone()
    })
}

/// The equations of the plate of `snapshot` with a metal that does not yield, and no tool.
fn ready(job: &Job, snapshot: &Snapshot) -> Result<System, StageError> {
    let smallest = job.plate.holes.iter().map(Hole::radius);
    let length = smallest.fold(0.5 * job.plate.outline.extent(), f64::min);
    let mut system = System::new(
        snapshot.mesh.clone(),
        unyielding(&job.material),
        job.idealisation,
        job.plate.thickness,
        length,
    )?;
    set_regions(job, &mut system, unyielding);
    system.supports = Supports::with(&system.mesh, &job.supports);
    system.method.strains = job.numerics.strains;
    // One solution, and exact: nothing is gained by a rough factor.
    system.method.scheme = Scheme::Newton;
    // The floor is made of the yield stress, which is out of reach here on purpose.
    system.scale.force /= NEVER * 1e3;
    Ok(system)
}

/// A rigid pin that fits a hole as `state` has it.
fn pin(job: &Job, system: &System, hole: usize, state: &State) -> (ToolContact, ToolState) {
    let pin = Tool::pin(0.0, None);
    let thickness = job.thickness_of(job.region_of_hole(hole));
    let place = (hole, &job.plate.holes[hole]);
    let mut contact = expand::contact(&system.mesh, place, &pin, job.idealisation, thickness);
    let radius = expand::touching_radius(&system.mesh, &contact, state);
    let tool = ToolState::new(radius, contact.nodes.len());
    contact.fit(&tool, &system.mesh.nodes, &state.displacement);
    (contact, tool)
}

/// Brings `state` to these forces on nodes and pins.
fn loaded(
    system: &mut System,
    state: &mut State,
    (external, bearing): (Vec<[f64; 2]>, Vec<[f64; 2]>),
) -> Result<(), StageError> {
    let (external, bearing) = (Some(external), Some(bearing));
    let drive = Drive { external, bearing, step: 1.0, ..Drive::default() };
    match system.run_phase(state, &drive, |_, _, _| ControlFlow::Continue(())) {
        PhaseEnd::Failed(error) => Err(error.into()),
        PhaseEnd::Stopped | PhaseEnd::Done => Ok(()),
    }
}

/// The change of the stress `before` that forces on nodes and pins make, MPa.
fn added(
    system: &mut System,
    mut before: State,
    (external, bearing): (&[[f64; 2]], &[[f64; 2]]),
) -> Result<Vec<Vector4<f64>>, StageError> {
    // The metal of the snapshot may have had more terms than that of the job, or fewer.
    before.backstress = system.virgin_state().backstress;
    let held = system.settle(&mut before);
    held.map_err(|cause| IncrementError { done: 0.0, halvings: 0, cause })?;
    let mut after = before.clone();
    let forces = before.external.iter().zip(external);
    let forces = forces.map(|(held, more)| [0, 1].map(|k| held[k] + SMALL_SHARE * more[k]));
    let bearing = bearing.iter().map(|force| force.map(|part| SMALL_SHARE * part)).collect();
    loaded(system, &mut after, (forces.collect(), bearing))?;
    let stress = after.stress.iter().zip(&before.stress);
    Ok(stress.map(|(after, before)| (after - before) / SMALL_SHARE).collect())
}
