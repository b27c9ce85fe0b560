//! The contact side of mandrel, nose cap and rim.

use std::f64::consts::PI;

use crate::element::edge;
use crate::mesh::section_sleeve::SleeveNodes;
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::section::{DrawTool, SleeveEnd, Support};
use crate::solver::contact::{ToolContact, ToolState};
use crate::solver::state::State;
use crate::solver::surface::Surface;

/// Radius of flat tools: a length that only keeps their nodes ahead of them, mm.
pub(crate) const FLAT_RADIUS: f64 = 1e3;

/// Nodes of these sides with the area of the whole ring that each stands for, mm², in the order of
/// the sides; those for which `touchable` is false are left out.
pub(super) fn ring_nodes(
    mesh: &Mesh,
    sides: impl Iterator<Item = [NodeId; 3]>,
    touchable: impl Fn([f64; 2]) -> bool,
) -> (Vec<NodeId>, Vec<f64>) {
    let mut nodes: Vec<NodeId> = Vec::new();
    let mut areas: Vec<f64> = Vec::new();
    for side in sides {
        let shares = edge::ring_areas(&side.map(|node| mesh.nodes[node]));
        for (node, share) in side.into_iter().zip(shares) {
            if !touchable(mesh.nodes[node]) {
                continue;
            }
            if let Some(place) = nodes.iter().position(|&known| known == node) {
                areas[place] += share;
            } else {
                nodes.push(node);
                areas.push(share);
            }
        }
    }
    (nodes, areas)
}

/// Sides of a line of nodes, corner and mid-side alternating.
pub(super) fn sides_of(line: &[NodeId]) -> impl Iterator<Item = [NodeId; 3]> + '_ {
    line.windows(3).step_by(2).map(|side| [side[0], side[1], side[2]])
}

/// A mandrel in the bore, or in the `sleeve` that lies in it.
#[must_use]
pub fn mandrel(
    mesh: &Mesh,
    tool: &DrawTool,
    backwards: bool,
    sleeve: Option<&SleeveNodes>,
) -> ToolContact {
    let inside = sleeve.map_or(&mesh.holes[0].edge, |sleeve| &sleeve.inside);
    let surface = Surface::Mandrel { profile: tool.profile, backwards };
    let compliance = tool.elastic.map_or(0.0, |(young, nu)| {
        // A solid cylinder under uniform pressure on the length of its land, free of axial force,
        // shrinks by (1−ν) p R/E (Lamé); p is the force over 2πR times the land.
        (1.0 - nu) / (2.0 * PI * tool.profile.land * young)
    });
    ToolContact {
        friction: tool.friction.clone(),
        compliance,
        ..ToolContact::rigid(0, [0.0; 2], surface, ring_nodes(mesh, sides_of(inside), |_| true))
    }
}

/// The stop at the `end` of a sleeve: the face inside the nose cap, and a part of that; without one it stays where it is.
#[must_use]
pub(crate) fn sleeve_stop(
    mesh: &Mesh,
    sleeve: &SleeveNodes,
    (cap, end): (Option<ToolContact>, SleeveEnd),
    backwards: bool,
    displacement: &[[f64; 2]],
) -> ToolContact {
    let line = &sleeve.ends[usize::from(!backwards)];
    // That on the inside is the mandrel's to touch.
    let inside = mesh.nodes[line[0]][0];
    let (nodes, areas) = ring_nodes(mesh, sides_of(line), |[r, _]| r > inside);
    let mut tool = cap.unwrap_or_else(|| {
        let surface = Surface::Flat { normal: [0.0, if backwards { 1.0 } else { -1.0 }] };
        ToolContact::rigid(0, mesh.nodes[line[0]], surface, (Vec::new(), Vec::new()))
    });
    let pose = placed(mesh, &tool, displacement);
    let own = tool.nodes.len();
    tool.fitted = vec![0.0; own];
    tool.ends = nodes.len();
    tool.hooked = end == SleeveEnd::Held;
    tool.nodes.extend(nodes);
    tool.areas.extend(areas);
    // It lies against the stop as the sleeve is put in.
    let gap = |place: usize| {
        let node = tool.nodes[place];
        tool.stance(&pose, place, mesh.nodes[node], displacement[node]).gap
    };
    let gaps: Vec<f64> = (own..tool.nodes.len()).map(gap).collect();
    tool.fitted.extend(gaps);
    tool
}

/// A cylinder as long as the bore.
#[must_use]
pub fn cylinder(mesh: &Mesh) -> ToolContact {
    let nodes = ring_nodes(mesh, sides_of(&mesh.holes[0].edge), |_| true);
    ToolContact::rigid(0, [0.0; 2], Surface::Cylinder, nodes)
}

/// The nose cap that takes the pull of tool 0, if there is one. `rim` is the radius of the rim, mm.
#[must_use]
pub(crate) fn nose_cap(
    mesh: &Mesh,
    support: Support,
    backwards: bool,
    thickness: f64,
) -> Option<ToolContact> {
    let Support::NoseCap { inner_diameter, outer_diameter } = support else { return None };
    let (face, normal, depth) =
        if backwards { ("entry", 1.0, 0.0) } else { ("exit", -1.0, thickness) };
    let rim = mesh.nodes.iter().map(|node| node[0]).fold(0.0, f64::max);
    let bears = |[r, _]: [f64; 2]| {
        2.0 * r >= inner_diameter * (1.0 - 1e-9)
            && 2.0 * r <= outer_diameter * (1.0 + 1e-9)
            && r < rim * (1.0 - 1e-9)
    };
    let sides = mesh.edge(face).into_iter().flat_map(|edge| edge.sides.iter().copied());
    let surface = Surface::Flat { normal: [0.0, normal] };
    Some(ToolContact {
        carries: Some(0),
        free: [false, true],
        ..ToolContact::rigid(0, [0.0, depth], surface, ring_nodes(mesh, sides, bears))
    })
}

/// A tool before it works. A nose cap stands against the face as that is, lips and bulges of earlier work
/// included: it touches the metal nearest to it and enters it nowhere.
#[must_use]
pub(crate) fn placed(mesh: &Mesh, contact: &ToolContact, displacement: &[[f64; 2]]) -> ToolState {
    let mut tool = ToolState::new(FLAT_RADIUS, contact.nodes.len());
    if contact.carries.is_some() {
        let stances = contact.nodes[..contact.face()]
            .iter()
            .enumerate()
            .map(|(k, &node)| contact.stance(&tool, k, mesh.nodes[node], displacement[node]));
        if let Some(nearest) = stances.min_by(|a, b| a.gap.total_cmp(&b.gap)) {
            tool.centre = nearest.normal.map(|part| part * nearest.gap + 0.0);
        }
    }
    tool
}

/// Rim held against tilting: a cylinder glued to it that may grow.
#[must_use]
pub(crate) fn flat_rim(mesh: &Mesh, radius: f64) -> ToolContact {
    let sides = mesh.edge("rim").into_iter().flat_map(|edge| edge.sides.iter().copied());
    let surface = Surface::Flat { normal: [-1.0, 0.0] };
    ToolContact {
        bilateral: true,
        free: [true, false],
        ..ToolContact::rigid(0, [radius, 0.0], surface, ring_nodes(mesh, sides, |_| true))
    }
}

/// Travel at which a mandrel of acting `radius` (mm) that comes from far away first touches.
///
/// The depth of the place where lead taper and land would meet, mm; it falls along the draw when
/// that goes backwards.
#[must_use]
pub(crate) fn first_touch(mesh: &Mesh, contact: &ToolContact, state: &State, radius: f64) -> f64 {
    let Surface::Mandrel { profile, backwards } = contact.surface else { return 0.0 };
    let sense = if backwards { -1.0 } else { 1.0 };
    let mut tool = ToolState::new(radius, contact.nodes.len());
    let mut clear = |along: f64| {
        tool.centre = [0.0, sense * along];
        contact.nodes.iter().enumerate().all(|(place, &node)| {
            contact.stance(&tool, place, mesh.nodes[node], state.displacement[node]).gap > 0.0
        })
    };
    let along = contact
        .nodes
        .iter()
        .map(|&node| sense * (mesh.nodes[node][1] + state.displacement[node][1]));
    let (low, high) =
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| (low.min(s), high.max(s)));
    // Where the taper is as thin as nothing it touches nothing.
    let (mut free, mut touching) = (low - profile.lead_reach(radius), high + profile.land);
    for _ in 0..80 {
        let middle = 0.5 * (free + touching);
        if clear(middle) {
            free = middle;
        } else {
            touching = middle;
        }
    }
    sense * free
}
