//! Where a section begins: its equations, the seat that holds it, sizes read off its mesh.

use crate::material::idealisation::Idealisation;
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::section::SectionJob;
use crate::process::stage_error::StageError;
use crate::solver::contact::ToolContact;
use crate::solver::state::State;
use crate::solver::supports::Supports;
use crate::solver::system::System;

pub(super) fn set_up(job: &SectionJob, mesh: Mesh) -> Result<System, StageError> {
    let length = 0.5 * job.part.starting_diameter;
    let mut system = System::new(
        mesh,
        job.material.clone(),
        Idealisation::Axisymmetric,
        job.part.thickness,
        length,
    )?;
    system.supports = seat(&system.mesh);
    system.follow_strain(job.numerics.strain_parts, job.numerics.path_tolerance);
    system.method.strains = job.numerics.strains;
    Ok(system)
}

/// Holds one ring of the rim, that nearest to half depth, along the axis: the only rigid motion of
/// a section.
pub(super) fn seat(mesh: &Mesh) -> Supports {
    let mut held = vec![[false; 2]; mesh.nodes.len()];
    let depths = mesh.holes[0].edge.iter().map(|&node| mesh.nodes[node][1]);
    let middle = 0.5 * depths.fold(0.0, f64::max);
    let off = |node: NodeId| (mesh.nodes[node][1] - middle).abs();
    let rim = mesh.edge("rim").into_iter().flat_map(|edge| edge.sides.iter().flatten().copied());
    if let Some(node) = rim.min_by(|&a, &b| off(a).total_cmp(&off(b))) {
        held[node][1] = true;
    }
    Supports { held }
}

/// Largest height of a row of elements at the bore, mm.
pub(super) fn tallest_row(mesh: &Mesh) -> f64 {
    let corners = mesh.holes[0].edge.windows(3).step_by(2);
    corners.map(|row| mesh.nodes[row[2]][1] - mesh.nodes[row[0]][1]).fold(0.0, f64::max)
}

/// Smallest radius of the displaced bore, mm.
pub(super) fn bore_radius(mesh: &Mesh, contact: &ToolContact, state: &State) -> f64 {
    let radius = |&node: &NodeId| mesh.nodes[node][0] + state.displacement[node][0];
    contact.nodes.iter().map(radius).fold(f64::INFINITY, f64::min)
}
