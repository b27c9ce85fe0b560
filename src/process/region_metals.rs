//! Metals of regions, told to the equations.

use crate::material::hardening::Material;
use crate::mesh::topology::Mesh;
use crate::process::job::Job;
use crate::solver;
use crate::solver::system::System;

/// Tells `system` which of its elements are of another metal; `metal` changes each.
pub(crate) fn set_regions(job: &Job, system: &mut System, metal: impl Fn(&Material) -> Material) {
    let Mesh { regions, .. } = &system.mesh;
    if regions.quads.is_empty() && regions.triangles.is_empty() {
        return;
    }
    let count = job.regions.len() + job.doublers().count();
    let count = u8::try_from(count).unwrap_or(u8::MAX);
    let others = (1..=count).map(|region| solver::system::Region {
        material: metal(job.material_of(region)),
        idealisation: job.idealisation,
    });
    let (quads, triangles) = (regions.quads.clone(), regions.triangles.clone());
    system.set_regions(others.collect(), quads, triangles);
}
