//! The purely elastic answer of a plate, as it stands after its stages, to a remote load.
//!
//! Mesh and supports are those of the snapshot; its stresses and histories are left out, so the
//! answer is the load alone, and with a residual state it superposes as long as nothing yields.

use std::ops::ControlFlow;

use crate::geometry::hole::Hole;
use crate::material::hardening::{Isotropic, Material};
use crate::material::strains::Strains;
use crate::process::job::Job;
use crate::process::load;
use crate::process::region_metals::set_regions;
use crate::process::snapshot::Snapshot;
use crate::process::stage::Load;
use crate::process::stage_error::StageError;
use crate::solver::increment::PhaseEnd;
use crate::solver::newton::Scheme;
use crate::solver::prescribed::Drive;
use crate::solver::supports::Supports;
use crate::solver::system::System;

/// A yield stress that no answer reaches, over Young's modulus.
const NEVER: f64 = 1e3;

/// The metal as if it never yielded.
fn unyielding(metal: &Material) -> Material {
    let elasticity = metal.elasticity;
    Material {
        elasticity,
        yield_stress: NEVER * elasticity.youngs_modulus,
        isotropic: Isotropic::None,
        kinematic: Vec::new(),
    }
}

/// The state of the plate of `snapshot` under `load` alone, with a metal that does not yield.
///
/// The load must mirror where the mesh of the snapshot is a half or a quarter.
///
/// # Errors
/// [`StageError`] when an edge is not there, or the equations cannot be set up or solved.
pub(crate) fn elastic_answer(
    job: &Job,
    snapshot: &Snapshot,
    load: &Load,
) -> Result<Snapshot, StageError> {
    let smallest = job.plate.holes.iter().map(Hole::radius);
    let length = smallest.fold(0.5 * job.plate.outline.extent(), f64::min);
    let thickness = job.plate.thickness;
    let mut system = System::new(
        snapshot.mesh.clone(),
        unyielding(&job.material),
        job.idealisation,
        thickness,
        length,
    )?;
    set_regions(job, &mut system, unyielding);
    system.supports = Supports::with(&system.mesh, &job.supports);
    // A load alone superposes on whatever else there is only to first order.
    system.method.strains = Strains::Small;
    // One solution, and exact: nothing is gained by a rough factor.
    system.method.scheme = Scheme::Newton;
    // The floor is made of the yield stress, which is out of reach here on purpose.
    system.scale.force /= NEVER * 1e3;
    let names = job.plate.outline.edge_names();
    let external = load::forces(&system.mesh, load, thickness, &names)?;
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(external), step: 1.0, ..Drive::default() };
    match system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(())) {
        PhaseEnd::Failed(error) => return Err(error.into()),
        PhaseEnd::Stopped | PhaseEnd::Done => {}
    }
    Ok(Snapshot {
        label: "elastic-load".to_owned(),
        heading: "elastic, under the stated load alone".to_owned(),
        finished: false,
        loaded: true,
        state,
        full_size_strain: Vec::new(),
        contacts: Vec::new(),
        tools: Vec::new(),
        support_forces: Vec::new(),
        break_throughs: Vec::new(),
        cut: None,
        history: Vec::new(),
        ..snapshot.clone()
    })
}
