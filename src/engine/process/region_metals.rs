//! Metals of regions, told to the equations.

use crate::material::hardening::Material;
use crate::material::hot::HotShares;
use crate::mesh::topology::Mesh;
use crate::process::job::Job;
use crate::solver;
use crate::solver::system::System;

/// Tells `system` which of its elements are of another metal; `metal` changes each.
pub(crate) fn set_regions(job: &Job, system: &mut System, metal: impl Fn(&Material) -> Material) {
    let count = job.regions.len() + job.doublers().count() + job.bushes().count();
    let count = u8::try_from(count).unwrap_or(u8::MAX);
    if count == 0 {
        return;
    }
    let others = (1..=count).map(|region| solver::system::Region {
        material: metal(job.material_of(region)),
        idealisation: job.idealisation,
    });
    let Mesh { regions, .. } = &system.mesh;
    let (mut quads, mut triangles) = (regions.quads.clone(), regions.triangles.clone());
    // A plate without regions has numbers only once a bush is in it.
    quads.resize(system.mesh.quads.len(), 0);
    triangles.resize(system.mesh.triangles.len(), 0);
    system.set_regions(others.collect(), quads, triangles);
}

/// Gives every metal of `system` its share of modulus and yield stress, plate first; regions beyond the end have
/// the metal of the job.
pub(crate) fn set_hot(job: &Job, system: &mut System, shares: &[HotShares]) {
    if shares.is_empty() {
        return;
    }
    system.set_metals(|region| {
        let own = shares.get(usize::from(region)).unwrap_or(&HotShares::NONE);
        own.of(job.material_of(region))
    });
}
