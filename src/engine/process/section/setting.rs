//! Where a section begins: its equations, the seat that holds it, sizes read off its mesh.

use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::section::SectionJob;
use crate::process::stage_error::StageError;
use crate::solver::contact::ToolContact;
use crate::solver::state::State;
use crate::solver::supports::Supports;
use crate::solver::system::System;

/// Thickness over bore radius below which a plate may buckle; measured: at 0.5 one does not yet at 4 %.
const THIN: f64 = 1.5;

/// How far the two halves of a thickness may differ and still be alike, over the thickness.
const ALIKE: f64 = 1e-6;

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
    // Thin plates buckle under the tool unless they are held; small strains do not know of it.
    let finite = job.numerics.strains == Strains::Finite;
    system.follow_unstable(finite);
    system.method.watchful = finite && job.part.thickness < THIN * length;
    Ok(system)
}

/// Holds one ring of the rim, that nearest to half depth, along the axis: the only rigid motion of
/// a section.
pub(super) fn seat(mesh: &Mesh) -> Supports {
    let mut held = vec![[false; 2]; mesh.nodes.len()];
    let middle = rim_middle(mesh);
    let off = |node: NodeId| (mesh.nodes[node][1] - middle).abs();
    if let Some(node) = rim_nodes(mesh).min_by(|&a, &b| off(a).total_cmp(&off(b))) {
        held[node][1] = true;
    }
    Supports { held }
}

/// Nodes of the rim; those between two sides come twice.
fn rim_nodes(mesh: &Mesh) -> impl Iterator<Item = NodeId> + '_ {
    mesh.edge("rim").into_iter().flat_map(|edge| edge.sides.iter().flatten().copied())
}

/// Half depth of the rim, as drawn, mm.
fn rim_middle(mesh: &Mesh) -> f64 {
    0.5 * rim_nodes(mesh).map(|node| mesh.nodes[node][1]).fold(0.0, f64::max)
}

/// Holds the middle of the thickness along the axis, where the section is alike on both sides of it: an even
/// tool moves nothing there, so nothing is held but the part from dishing. None where it is not alike.
pub(super) fn flat_seat(mesh: &Mesh, state: &State) -> Option<Supports> {
    let edge = &mesh.holes[0].edge;
    let drawn = |node: NodeId| mesh.nodes[node];
    let now = |node: NodeId| [0, 1].map(|k| drawn(node)[k] + state.displacement[node][k]);
    let (first, last) = (*edge.first()?, *edge.last()?);
    let [thickness, middle] =
        [drawn(last)[1] - drawn(first)[1], 0.5 * (drawn(last)[1] + drawn(first)[1])];
    let sum = |place: &dyn Fn(NodeId) -> [f64; 2]| place(first)[1] + place(last)[1];
    let alike = |place: &dyn Fn(NodeId) -> [f64; 2]| {
        edge.iter().zip(edge.iter().rev()).all(|(&a, &b)| {
            let ([r, z], [other, opposite]) = (place(a), place(b));
            (r - other).abs().max((z + opposite - sum(place)).abs()) <= ALIKE * thickness
        })
    };
    // A spotface on one face: the bore is alike on both sides of its own middle, the part is not.
    let off_middle = (middle - rim_middle(mesh)).abs() > ALIKE * thickness;
    if off_middle || !(alike(&drawn) && alike(&now)) {
        return None;
    }
    let in_middle = |at: &[f64; 2]| (at[1] - middle).abs() <= ALIKE * thickness;
    let held: Vec<[bool; 2]> = mesh.nodes.iter().map(|at| [false, in_middle(at)]).collect();
    held.iter().any(|held| held[1]).then_some(Supports { held })
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
