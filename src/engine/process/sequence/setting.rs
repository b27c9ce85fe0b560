//! Where a sequence begins: the equations of its plate, set up as the job asks.

use crate::geometry::hole::Hole;
use crate::material::hardening::Material;
use crate::mesh::topology::Mesh;
use crate::process::job::Job;
use crate::process::region_metals::set_regions;
use crate::process::stage_error::StageError;
use crate::solver::supports::Supports;
use crate::solver::symbolic::SymbolicStore;
use crate::solver::system::System;
use crate::solver::system_error::SystemError;

pub(super) fn set_up(job: &Job, mesh: Mesh, store: &SymbolicStore) -> Result<System, StageError> {
    let unknowns = 2 * mesh.nodes.len();
    let symbolic = store.of(&mesh).map_err(|_| SystemError::TooLarge { unknowns })?;
    let sizes = (job.plate.thickness, smallest_radius(job));
    let mut system =
        System::with_symbolic(mesh, job.material.clone(), job.idealisation, sizes, symbolic)?;
    set_regions(job, &mut system, Material::clone);
    Ok(as_asked(job, system))
}

/// Supports and parts of increments as the job has them.
pub(super) fn as_asked(job: &Job, mut system: System) -> System {
    system.supports = Supports::with(&system.mesh, &job.supports);
    system.follow_strain(job.numerics.strain_parts, job.numerics.path_tolerance);
    system.method.strains = job.numerics.strains;
    system.method.bends = job.numerics.strain_parts.is_none();
    system
}

pub(super) fn smallest_radius(job: &Job) -> f64 {
    // Without holes, which a library may ask for, the plate says what is small.
    job.plate.holes.iter().map(Hole::radius).fold(0.5 * job.plate.outline.extent(), f64::min)
}
