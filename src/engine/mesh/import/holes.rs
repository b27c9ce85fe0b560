//! Which openings of a mesh are the holes of the plate, and their edges laid on true circles.
//!
//! A linear mesh has chords where the hole has arcs. Its edge is moved onto the circle, and
//! the sides near it are curved along with it, less and less outward, so that thin elements
//! at the hole keep their shape. Nodes of an edge that was curved already move by rounding.

use std::f64::consts::{PI, TAU};

use crate::geometry::hole::Hole;
use crate::mesh::import::boundary::Loop;
use crate::mesh::import::circle::fit;
use crate::mesh::import::elements::{Element, Elements};
use crate::mesh::import::import_error::ImportError;
use crate::mesh::topology::NodeId;

/// How far from the stated circle, as a share of its radius, the corners of the edge of a hole
/// may lie to be moved onto it: an eighth of a usual applied expansion of 4 %.
const ON_CIRCLE: f64 = 5e-3;
/// Least sides round a hole: 22.5° each. The pressure of a round tool on wider ones is wrong
/// by its whole variation along the edge.
const LEAST_SIDES: usize = 16;
/// Thickest element at a hole over the radius.
const THICKEST: f64 = 0.25;
/// Elements thicker than this share of the radius cannot follow the reverse yielding, which
/// is a tenth of it deep.
const THICK: f64 = 0.05;
/// How far out, in radii, sides are curved along with the edge, unless something is nearer.
const REACH: f64 = 1.5;
/// Up to this share of the reach they are curved in full.
const FULL: f64 = 1.0 / 3.0;

/// A hole and the opening that it is.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bore {
    pub(super) hole: Hole,
    /// Sides `[start, middle, end]`, counter-clockwise round the hole from the corner that is
    /// first from +x on.
    pub(super) sides: Vec<[NodeId; 3]>,
}

/// The bores that `holes` are, in their order, and the openings that are none of them. With no
/// holes given, every round opening is one, from left to right, named `hole-1` and on.
pub(super) fn bores(
    openings: Vec<Loop>,
    nodes: &[[f64; 2]],
    holes: &[Hole],
) -> Result<(Vec<Bore>, Vec<Loop>), ImportError> {
    let round: Vec<Option<([f64; 2], f64)>> =
        openings.iter().map(|opening| round(opening, nodes)).collect();
    let own: Vec<Hole>;
    let wanted = if holes.is_empty() {
        let mut found: Vec<_> = round.iter().flatten().collect();
        found.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]).then(a.0[1].total_cmp(&b.0[1])));
        own = found
            .iter()
            .enumerate()
            .map(|(index, (centre, diameter))| {
                Hole::round(format!("hole-{}", index + 1), *centre, *diameter)
            })
            .collect();
        &own[..]
    } else {
        holes
    };
    let mut left: Vec<Option<Loop>> = openings.into_iter().map(Some).collect();
    let mut bores = Vec::with_capacity(wanted.len());
    for hole in wanted {
        let slack = ON_CIRCLE * hole.radius();
        let fits = |opening: &Loop| {
            opening
                .corners()
                .all(|node| (hole.distance_to(nodes[node]) - hole.radius()).abs() <= slack)
        };
        let opening = left
            .iter_mut()
            .find(|opening| opening.as_ref().is_some_and(fits))
            .and_then(Option::take);
        let Some(opening) = opening else {
            return Err(ImportError::NoSuchHole {
                hole: hole.name.clone(),
                stated: (hole.centre, hole.starting_diameter),
                found: round.iter().flatten().copied().collect(),
            });
        };
        bores.push(Bore { hole: hole.clone(), sides: around(&opening, hole, nodes) });
    }
    Ok((bores, left.into_iter().flatten().collect()))
}

/// Centre and diameter of an opening that is round, mm.
pub(super) fn round(opening: &Loop, nodes: &[[f64; 2]]) -> Option<([f64; 2], f64)> {
    let corners: Vec<[f64; 2]> = opening.corners().map(|node| nodes[node]).collect();
    // Three or four points have a circle whatever they are.
    if corners.len() < 6 {
        return None;
    }
    let circle = fit(&corners)?;
    (circle.deviation <= ON_CIRCLE * circle.radius).then_some((circle.centre, 2.0 * circle.radius))
}

fn around(opening: &Loop, hole: &Hole, nodes: &[[f64; 2]]) -> Vec<[NodeId; 3]> {
    let mut sides: Vec<[NodeId; 3]> =
        opening.sides.iter().rev().map(|&[start, middle, end]| [end, middle, start]).collect();
    // A corner that only misses angle 0 by rounding is at 0.
    let turn = |side: &[NodeId; 3]| (hole.angle_to(nodes[side[0]]) + 1e-6).rem_euclid(TAU);
    let first = (0..sides.len()).min_by(|&a, &b| turn(&sides[a]).total_cmp(&turn(&sides[b])));
    sides.rotate_left(first.unwrap_or(0));
    sides
}

/// Refuses a hole whose elements are too large; says so when they are merely large.
pub(super) fn check_fineness(
    bore: &Bore,
    elements: &Elements,
    at_side: impl Fn(NodeId) -> Option<usize>,
) -> Result<Option<String>, ImportError> {
    let hole = &bore.hole;
    let coarse = |at: [f64; 2], reason: String| ImportError::TooCoarse {
        hole: hole.name.clone(),
        at,
        reason,
    };
    if bore.sides.len() < LEAST_SIDES {
        let reason = format!("{} element sides round it, least {LEAST_SIDES}", bore.sides.len());
        return Err(coarse(hole.centre, reason));
    }
    let mut thickest = 0.0_f64;
    for side in &bore.sides {
        let Some(element) = at_side(side[1]) else { continue };
        let corners = elements.list[element].corners.iter();
        let reach = corners.map(|&node| hole.distance_to(elements.nodes[node])).fold(0.0, f64::max);
        let share = reach / hole.radius() - 1.0;
        if share > THICKEST {
            let reason = format!(
                "an element there is {:.0} % of the radius thick, most {:.0} %",
                100.0 * share,
                100.0 * THICKEST
            );
            return Err(coarse(elements.nodes[side[1]], reason));
        }
        thickest = thickest.max(share);
    }
    Ok((thickest > THICK).then(|| {
        format!(
            "the elements at hole `{}` are up to {:.0} % of the radius thick; above {:.0} % they \
             cannot follow the reverse yielding at its edge",
            hole.name,
            100.0 * thickest,
            100.0 * THICK
        )
    }))
}

/// The changes made to lay an edge on its circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Laid {
    /// The farthest that a corner moved, mm.
    pub(super) moved: f64,
    /// Whether sides were straight and had to be curved.
    pub(super) curved: bool,
}

/// Lays the edge of `bore` on its circle; `others` are the nodes of the rest of the boundary.
pub(super) fn lay_on_circle(
    bore: &Bore,
    elements: &mut Elements,
    others: impl Iterator<Item = NodeId>,
) -> Laid {
    let hole = &bore.hole;
    let mut farthest = 0.0_f64;
    let chords = bore.sides.iter().any(|&[_, middle, _]| elements.straight[middle]);
    for &[corner, _, _] in &bore.sides {
        let at = elements.nodes[corner];
        farthest = farthest.max((hole.distance_to(at) - hole.radius()).abs());
        elements.nodes[corner] = on_circle(hole, at);
    }
    if chords {
        let gap = others
            .map(|node| hole.distance_to(elements.nodes[node]) - hole.radius())
            .fold(f64::INFINITY, f64::min);
        curve_along(hole, elements, (REACH * hole.radius()).min(0.5 * gap));
    }
    for &[_, middle, _] in &bore.sides {
        elements.nodes[middle] = on_circle(hole, elements.nodes[middle]);
    }
    Laid { moved: farthest, curved: chords }
}

/// Puts the middle of straight sides within `reach` of a hole where the middle in polar
/// coordinates is, weighted by how near they are.
fn curve_along(hole: &Hole, elements: &mut Elements, reach: f64) {
    let Elements { nodes, list, straight, .. } = elements;
    for [start, middle, end] in list.iter().flat_map(Element::sides) {
        if !straight[middle] {
            continue;
        }
        let (a, b) = (nodes[start], nodes[end]);
        let (inner, outer) = (hole.distance_to(a), hole.distance_to(b));
        let depth = 0.5 * (inner + outer) - hole.radius();
        let weight = ((reach - depth) / (reach * (1.0 - FULL))).clamp(0.0, 1.0);
        if weight == 0.0 {
            continue;
        }
        let turn = (hole.angle_to(b) - hole.angle_to(a) + PI).rem_euclid(TAU) - PI;
        let angle = hole.angle_to(a) + 0.5 * turn;
        let radius = 0.5 * (inner + outer);
        let polar = [hole.centre[0] + radius * angle.cos(), hole.centre[1] + radius * angle.sin()];
        nodes[middle] = [0, 1].map(|axis| {
            let chord = 0.5 * (a[axis] + b[axis]);
            chord + weight * (polar[axis] - chord)
        });
    }
}

fn on_circle(hole: &Hole, at: [f64; 2]) -> [f64; 2] {
    let share = hole.radius() / hole.distance_to(at);
    [0, 1].map(|axis| hole.centre[axis] + share * (at[axis] - hole.centre[axis]))
}
