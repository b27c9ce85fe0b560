//! Expansion: the tool grows in the hole to full size, then shrinks away.
//!
//! The pulled mandrel passes each section of the hole with a growing, then a falling
//! diameter; in the plane that is a circle that grows and shrinks. Where it touches is for
//! contact to decide.

use std::f64::consts::{PI, TAU};

use crate::element::edge;
use crate::geometry::hole::Hole;
use crate::material::idealisation::Idealisation;
use crate::mesh::topology::{HoleMesh, Mesh};
use crate::process::tool::{Centre, Split, Tool};
use crate::solver::contact::ToolContact;
use crate::solver::state::State;
use crate::solver::surface::Surface;

/// The contact side of `tool` in a hole, given with its index.
#[must_use]
pub fn contact(
    mesh: &Mesh,
    (index, hole): (usize, &Hole),
    tool: &Tool,
    idealisation: Idealisation,
    thickness: f64,
) -> ToolContact {
    contact_on(mesh, &mesh.holes[index], (index, hole), tool, idealisation, thickness)
}

/// The same on rings that are given: those of a sheet on the plate.
#[must_use]
pub(crate) fn contact_on(
    mesh: &Mesh,
    hole_mesh: &HoleMesh,
    (index, hole): (usize, &Hole),
    tool: &Tool,
    idealisation: Idealisation,
    thickness: f64,
) -> ToolContact {
    let mut nodes = Vec::new();
    let mut areas = Vec::new();
    let touchable = |node: usize| {
        tool.split.is_none_or(|split| !in_gap(&split, hole.angle_to(mesh.nodes[node])))
    };
    let mut area = vec![0.0; mesh.nodes.len()];
    for side in hole_mesh.sides() {
        if touchable(side[1]) {
            let lengths = edge::lengths(&side.map(|node| mesh.nodes[node]));
            for (node, length) in side.into_iter().zip(lengths) {
                area[node] += length * thickness;
            }
        }
    }
    for &node in &hole_mesh.edge {
        if touchable(node) && area[node] > 0.0 {
            nodes.push(node);
            areas.push(area[node]);
        }
    }
    // A centre on a mirror line cannot leave it.
    let free = match tool.centre {
        Centre::Held => [false; 2],
        Centre::Floating => [mesh.symmetry.x.is_none(), mesh.symmetry.y.is_none()],
    };
    let compliance = tool.elastic.map_or(0.0, |elastic| {
        let whole = whole_circle_share(mesh, hole_mesh, hole);
        whole * radius_loss(elastic, idealisation, thickness)
    });
    ToolContact {
        compliance,
        free,
        ..ToolContact::rigid(index, hole.centre, Surface::Circle, (nodes, areas))
    }
}

/// Radius that a solid round tool loses by newton of radial force on its whole
/// circumference, mm/N.
///
/// A solid cylinder of radius a under uniform pressure p shrinks by `(1−ν) p a/E` in plane
/// stress and `(1+ν)(1−2ν) p a/E` in plane strain; with `p = F/(2π a t)` the radius cancels.
/// Free of axial force, as in generalised plane strain, it shrinks as in plane stress.
/// Source: Lamé; any text on strength of materials.
fn radius_loss((young, nu): (f64, f64), idealisation: Idealisation, thickness: f64) -> f64 {
    let factor = match idealisation {
        Idealisation::PlaneStress
        | Idealisation::GeneralisedPlaneStrain
        | Idealisation::Axisymmetric => 1.0 - nu,
        Idealisation::PlaneStrain => (1.0 + nu) * (1.0 - 2.0 * nu),
    };
    factor / (TAU * thickness * young)
}

/// How many times the modelled arc makes the whole circle: 1, 2 or 4.
fn whole_circle_share(mesh: &Mesh, hole_mesh: &HoleMesh, hole: &Hole) -> f64 {
    if hole_mesh.closed {
        return 1.0;
    }
    let angle = |node: usize| hole.angle_to(mesh.nodes[node]);
    let (Some(&first), Some(&last)) = (hole_mesh.edge.first(), hole_mesh.edge.last()) else {
        return 1.0;
    };
    let mut arc = (angle(last) - angle(first)).rem_euclid(TAU);
    if arc == 0.0 {
        arc = TAU;
    }
    (TAU / arc).round()
}

/// Whether a direction lies inside the slit; its ends carry the tool.
fn in_gap(split: &Split, angle: f64) -> bool {
    let off = (angle - split.angle + PI).rem_euclid(TAU) - PI;
    off.abs() < 0.5 * split.gap - 1e-9
}

/// Smallest distance of the displaced edge from the drilled centre, mm: the radius at
/// which a centred tool first touches.
#[must_use]
pub fn touching_radius(mesh: &Mesh, contact: &ToolContact, state: &State) -> f64 {
    contact
        .nodes
        .iter()
        .map(|&node| {
            let at =
                |i: usize| mesh.nodes[node][i] + state.displacement[node][i] - contact.reference[i];
            at(0).hypot(at(1))
        })
        .fold(f64::INFINITY, f64::min)
}
