//! A sleeve as a layer of elements: put into the bore as that stands, and taken out again.
//!
//! A split sleeve carries no hoop stress: its metal is in plane stress whose free direction is the hoop, and its
//! slit opens as far as it must. A closed one is a body of revolution like the part. Either lies against the bore
//! as that stands when it is put in, free of stress.

use nalgebra::Vector4;

use crate::element::point_field::QUAD_POINTS;
use crate::material::idealisation::Idealisation;
use crate::material::state::PointFlow;
use crate::mesh::mating::Mating;
use crate::mesh::section_sleeve::{SLEEVE_REGION, SleeveNodes, SleevePlan, with_sleeve};
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::section::setting::set_up;
use crate::process::section::tooling::{ring_nodes, sides_of};
use crate::process::section::{SectionJob, SleeveLayer};
use crate::process::stage_error::StageError;
use crate::solver::contact::ContactStatus;
use crate::solver::increment_error::{Cause, IncrementError};
use crate::solver::mated::{MatedEdges, MatedState};
use crate::solver::sliding::Sliding;
use crate::solver::state::{Rate, State};
use crate::solver::system::{Region, System};

/// Stiffness of a touching pair over that of the layer of the sleeve at it, `E A / h`.
const STIFF: f64 = 100.0;

/// Puts a sleeve of `wall` mm into the bore; `state` grows by its nodes and points. Returns the equations with
/// it, and its nodes.
///
/// # Errors
///
/// [`StageError`] when the equations cannot be set up, or rows of the bore are folded.
pub(super) fn put_in(
    job: &SectionJob,
    system: &System,
    state: &mut State,
    (layer, wall): (&SleeveLayer, f64),
) -> Result<(System, SleeveNodes), StageError> {
    let bore = system.mesh.holes[0].edge.clone();
    let now = |node: &NodeId| {
        [0, 1].map(|axis| system.mesh.nodes[*node][axis] + state.displacement[*node][axis])
    };
    let stands: Vec<[f64; 2]> = bore.iter().map(now).collect();
    if let Some(place) = stands.windows(2).position(|pair| pair[1][1] <= pair[0][1]) {
        let position = system.mesh.nodes[bore[place]];
        let cause = Cause::OffSleeve { position };
        return Err(IncrementError { done: 0.0, halvings: 0, cause }.into());
    }
    let plan = SleevePlan {
        wall,
        bore: stands,
        protrusion: layer.protrusion,
        fineness: job.numerics.fineness,
    };
    let (mesh, nodes) = with_sleeve(&system.mesh, &plan);
    let (areas, edges) = (ring_nodes(&mesh, sides_of(&bore), |_| true).1, &nodes.outside);
    let modulus = layer.material.elasticity.youngs_modulus;
    // A slit tube under pressure from outside: bending moment p r² (1 − cos φ) at the angle φ from the slit, and
    // from its energy a mean radial displacement of 18 p r⁴ / (E t³). A closed one has its hoop stress.
    let spring = if layer.closed {
        0.0
    } else {
        let radius = mesh.nodes[bore[0]][0] - 0.5 * wall;
        modulus * wall.powi(3) / (18.0 * radius.powi(4))
    };
    let edges = MatedEdges {
        mating: Mating {
            hole: 0,
            region: SLEEVE_REGION,
            pairs: bore.iter().map(|&node| [node, edges[0][0]]).collect(),
            closed: false,
        },
        stiffness: areas.iter().map(|area| STIFF * modulus * area / nodes.layer).collect(),
        areas,
        friction: layer.friction.clone(),
        overlap: vec![0.0; bore.len()],
        sliding: Some(Sliding { outer: edges.clone(), weights: Vec::new(), spring }),
    };
    let before = system.back_places();
    let mut system = set_up(job, mesh)?;
    let idealisation =
        if layer.closed { Idealisation::Axisymmetric } else { Idealisation::PlaneStress };
    let region = Region { material: layer.material.clone(), idealisation };
    let quads = system.mesh.regions.quads.clone();
    system.set_regions(vec![region], quads, Vec::new());
    system.set_mated(vec![edges]);
    fit_state(state, &system, before);
    let mut mated = MatedState::new(vec![[1.0, 0.0]; bore.len()]);
    // All of it lies against the bore.
    let touches = if layer.friction.acts() { ContactStatus::Stick } else { ContactStatus::SMOOTH };
    mated.status.fill(touches);
    state.mated = vec![mated];
    Ok((system, nodes))
}

/// Takes the sleeve out of `system`: the equations of `mesh`, which is the part alone. Forces that it bore are
/// left to be given up.
///
/// # Errors
///
/// [`StageError`] when the equations cannot be set up.
pub(super) fn take_out(
    job: &SectionJob,
    (system, mesh): (&System, Mesh),
    state: &mut State,
) -> Result<System, StageError> {
    let before = system.back_places();
    let system = set_up(job, mesh)?;
    state.mated.clear();
    fit_state(state, &system, before);
    Ok(system)
}

/// Gives a state the nodes, points and places for backstress of `system`, which has more elements at the end
/// or fewer; it had `before` places.
fn fit_state(state: &mut State, system: &System, before: usize) {
    let (nodes, points) = (system.mesh.nodes.len(), QUAD_POINTS * system.mesh.quads.len());
    let places = system.back_places();
    let backstress = (0..points * places).map(|k| {
        let (point, term) = (k / places, k % places);
        let old = (term < before).then(|| state.backstress.get(point * before + term)).flatten();
        old.copied().unwrap_or_else(Vector4::zeros)
    });
    state.backstress = backstress.collect();
    state.displacement.resize(nodes, [0.0; 2]);
    state.external.resize(nodes, [0.0; 2]);
    state.points.resize(points, PointFlow::default());
    state.stress.resize(points, Vector4::zeros());
    state.conjugate.resize(points, Vector4::zeros());
    state.rate = Rate::default();
}
