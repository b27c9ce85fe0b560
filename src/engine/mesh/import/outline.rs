//! The boundary of a mesh as the outline of a plate: straight lines, arcs, and their names.
//!
//! Sides that go straight on are one line, sides on one circle are one arc, and each piece of
//! the outline is an edge of the mesh or part of one. Lines on the sides of the box round the
//! plate are `left`, `right`, `bottom`, `top`; what lies between is `edge-1`, `edge-2`, …,
//! counter-clockwise from the corner nearest the lower left; cut-outs are `opening-1`, ….

use std::f64::consts::PI;

use crate::geometry::arc::Arc;
use crate::geometry::outline::{self, Loops};
use crate::geometry::piece::Piece;
use crate::geometry::plate::Outline;
use crate::mesh::import::boundary::Loop;
use crate::mesh::import::circle::{Circle, fit};
use crate::mesh::import::elements::Elements;
use crate::mesh::topology::{NamedEdge, NodeId};

/// A boundary that turns by more than this, radians, has a corner there: 20°.
const CORNER: f64 = 0.349;
/// Straight sides that turn by less than this, radians, go straight on. Single precision turns
/// a side a hundredth of the plate by a hundredth of it.
const STRAIGHT_ON: f64 = 1e-3;
/// How far, as a share of the plate, nodes may lie off a straight line, or a corner off the
/// origin.
const ON_LINE: f64 = 1e-5;
/// How far, as a share of its length, nodes may lie off the line that their sides share.
const ON_CHORD: f64 = 1e-4;
/// A line shorter than this share of the plate on the box round it only touches the box.
const LEAST_WALL: f64 = 0.05;
/// Half a turn, and rounding.
const HALF_TURN: f64 = PI + 1e-6;
/// How far, as a share of the radius, sides may lie off the arc that they share.
const ON_ARC: f64 = 1e-3;
/// Fewer sides than this are a polygon, not a round plate.
const LEAST_RIM: usize = 12;

/// Boundary of a mesh without its holes.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Boundary {
    /// The edges of the mesh.
    pub(super) edges: Vec<NamedEdge>,
    /// The same as a plate has it.
    pub(super) outline: Outline,
}

/// Some sides of a loop and the piece that they make.
struct Stretch {
    sides: Vec<[NodeId; 3]>,
    piece: Piece,
}

/// Names the edges of the outer loop and the openings that are no holes. The chords of a round
/// plate are laid on its rim.
pub(super) fn boundary_of(outer: &Loop, openings: &[Loop], elements: &mut Elements) -> Boundary {
    let mut boundary = rim(outer, elements).unwrap_or_else(|| chain(outer, &elements.nodes));
    if openings.is_empty() {
        return boundary;
    }
    let mut loops = boundary.outline.loops().into_owned();
    for (index, opening) in openings.iter().enumerate() {
        let name = format!("opening-{}", index + 1);
        let mut pieces = Vec::new();
        for stretch in runs(opening, &elements.nodes, [0.0; 2])
            .iter()
            .flat_map(|run| stretches(run, &elements.nodes))
        {
            pieces.push(Piece { name: name.clone(), ..stretch.piece });
        }
        loops.inner.push(outline::Loop { pieces });
        boundary.edges.push(NamedEdge { name, sides: opening.sides.clone() });
    }
    boundary.outline = Outline::Loops(loops);
    boundary
}

/// The lines and arcs of a loop that stand for a border inside the plate.
pub(super) fn lines_of(border: &Loop, nodes: &[[f64; 2]]) -> outline::Loop {
    let runs = runs(border, nodes, [0.0; 2]);
    let pieces = runs.iter().flat_map(|run| stretches(run, nodes)).map(|stretch| stretch.piece);
    outline::Loop { pieces: pieces.collect() }
}

/// A round plate.
fn rim(outer: &Loop, elements: &mut Elements) -> Option<Boundary> {
    let corners: Vec<[f64; 2]> = outer.corners().map(|node| elements.nodes[node]).collect();
    let circle = fit(&corners)
        .filter(|rim| corners.len() >= LEAST_RIM && rim.deviation <= ON_ARC * rim.radius)?;
    let Circle { centre, radius, .. } = circle;
    for &[_, middle, _] in &outer.sides {
        if elements.straight[middle] {
            let at = elements.nodes[middle];
            let share = radius / (at[0] - centre[0]).hypot(at[1] - centre[1]);
            elements.nodes[middle] =
                [0, 1].map(|axis| centre[axis] + share * (at[axis] - centre[axis]));
        }
    }
    let outline = if centre[0].hypot(centre[1]) <= ON_LINE * radius {
        Outline::Disc { diameter: 2.0 * radius }
    } else {
        let outer = outline::Loop::circle("rim", centre, radius);
        Outline::Loops(Loops { outer, inner: vec![] })
    };
    let edges = vec![NamedEdge { name: "rim".to_owned(), sides: outer.sides.clone() }];
    Some(Boundary { edges, outline })
}

/// Any other plate.
fn chain(outer: &Loop, nodes: &[[f64; 2]]) -> Boundary {
    let corners = || outer.corners().map(|node| nodes[node]);
    let low = [0, 1].map(|axis| corners().map(|p| p[axis]).fold(f64::INFINITY, f64::min));
    let high = [0, 1].map(|axis| corners().map(|p| p[axis]).fold(f64::NEG_INFINITY, f64::max));
    let extent = (high[0] - low[0]).max(high[1] - low[1]);
    let slack = ON_LINE * extent;
    let walls =
        [("bottom", 1, low[1]), ("right", 0, high[0]), ("top", 1, high[1]), ("left", 0, low[0])];
    let mut edges: Vec<NamedEdge> = Vec::new();
    let mut pieces = Vec::new();
    let mut unnamed = 0;
    for run in runs(outer, nodes, low) {
        let mut between = false;
        for Stretch { sides, mut piece } in stretches(&run, nodes) {
            let on = |&(_, axis, at): &(&str, usize, f64)| {
                piece.arc.is_none()
                    && piece.length() >= LEAST_WALL * extent
                    && (piece.from[axis] - at).abs() <= slack
                    && (piece.to[axis] - at).abs() <= slack
            };
            if let Some(&(name, axis, at)) = walls.iter().find(|wall| on(wall)) {
                name.clone_into(&mut piece.name);
                // Exactly on it: an edge along an axis may be held across itself.
                (piece.from[axis], piece.to[axis]) = (at, at);
                between = false;
            } else {
                // Neighbours between two corners or walls are one edge.
                unnamed += usize::from(!between);
                piece.name = format!("edge-{unnamed}");
                between = true;
            }
            match edges.iter_mut().find(|edge| edge.name == piece.name) {
                Some(edge) => edge.sides.extend(sides),
                None => edges.push(NamedEdge { name: piece.name.clone(), sides }),
            }
            pieces.push(piece);
        }
    }
    close(&mut pieces);
    let box_itself = pieces.len() == 4 && unnamed == 0 && edges.len() == 4;
    let outline = if box_itself && low[0].abs().max(low[1].abs()) <= slack {
        Outline::Rectangle { width: high[0], height: high[1] }
    } else {
        Outline::Loops(Loops { outer: outline::Loop { pieces }, inner: vec![] })
    };
    Boundary { edges, outline }
}

/// Lets every straight piece end exactly where its neighbours begin, which the walls moved by
/// rounding.
fn close(pieces: &mut [Piece]) {
    let count = pieces.len();
    for k in 0..count {
        let next = (k + 1) % count;
        let walls = ["bottom", "right", "top", "left"];
        let mut meet = pieces[k].to;
        for piece in [k, next] {
            match walls.iter().position(|wall| *wall == pieces[piece].name) {
                Some(0 | 2) => meet[1] = pieces[piece].from[1],
                Some(_) => meet[0] = pieces[piece].from[0],
                None => {}
            }
        }
        pieces[k].to = meet;
        pieces[next].from = meet;
    }
}

/// The sides between corners, the first from the corner nearest the lower left; without any
/// corner the whole loop, from where a line or arc begins.
fn runs(outer: &Loop, nodes: &[[f64; 2]], low: [f64; 2]) -> Vec<Vec<[NodeId; 3]>> {
    let count = outer.sides.len();
    let before = |k: usize| outer.sides[(k + count - 1) % count];
    let mut starts: Vec<usize> =
        (0..count).filter(|&k| turn(before(k), outer.sides[k], nodes) > CORNER).collect();
    if starts.is_empty() {
        let begins = |&k: &usize| !goes_on(before(k), outer.sides[k], nodes);
        starts.push((0..count).find(begins).unwrap_or(0));
    }
    let from_low = |k: usize| {
        let [x, y] = nodes[outer.sides[k][0]];
        (x - low[0]) + (y - low[1])
    };
    let first = (0..starts.len())
        .min_by(|&a, &b| from_low(starts[a]).total_cmp(&from_low(starts[b])))
        .unwrap_or(0);
    (0..starts.len())
        .map(|k| {
            let start = starts[(first + k) % starts.len()];
            let end = starts[(first + k + 1) % starts.len()];
            let length = if end > start { end - start } else { end + count - start };
            (0..length).map(|step| outer.sides[(start + step) % count]).collect()
        })
        .collect()
}

/// The lines and arcs of a run.
fn stretches(run: &[[NodeId; 3]], nodes: &[[f64; 2]]) -> Vec<Stretch> {
    let mut found: Vec<Vec<[NodeId; 3]>> = Vec::new();
    for &side in run {
        match found.last_mut() {
            Some(sides) if goes_on(sides[sides.len() - 1], side, nodes) => sides.push(side),
            _ => found.push(vec![side]),
        }
    }
    found
        .into_iter()
        .flat_map(|sides| match piece(&sides, nodes) {
            Some(piece) => vec![Stretch { sides, piece }],
            // They drift: no one line or arc. Each side is a piece of its own.
            None => sides
                .into_iter()
                .map(|side| Stretch {
                    sides: vec![side],
                    piece: piece(&[side], nodes)
                        .unwrap_or_else(|| Piece::straight("", nodes[side[0]], nodes[side[2]])),
                })
                .collect(),
        })
        .collect()
}

/// The line or arc through all nodes of some sides, if there is one; arcs of half a turn at most.
fn piece(sides: &[[NodeId; 3]], nodes: &[[f64; 2]]) -> Option<Piece> {
    let (from, to) = (nodes[sides[0][0]], nodes[sides[sides.len() - 1][2]]);
    let all = || sides.iter().flatten().map(|&node| nodes[node]);
    let Some(first) = arc_of(sides[0], nodes) else {
        let (x, y) = (to[0] - from[0], to[1] - from[1]);
        let length = x.hypot(y);
        let off = |p: [f64; 2]| ((p[0] - from[0]) * y - (p[1] - from[1]) * x).abs() / length;
        return all().all(|p| off(p) <= ON_CHORD * length).then(|| Piece::straight("", from, to));
    };
    // Half-way: the middle of the middle side, or the start of the second half.
    let middle = nodes[sides[sides.len() / 2][sides.len() % 2]];
    let arc = Arc::through(from, middle, to).filter(|arc| arc.sweep.abs() <= HALF_TURN)?;
    let off = |p: [f64; 2]| ((p[0] - arc.centre[0]).hypot(p[1] - arc.centre[1]) - arc.radius).abs();
    let same_way = first.sweep * arc.sweep > 0.0;
    (same_way && all().all(|p| off(p) <= ON_ARC * arc.radius)).then(|| Piece {
        name: String::new(),
        from,
        to,
        arc: Some(arc),
    })
}

/// Whether the second of two neighbours goes on where the first leads: straight, or on its arc.
fn goes_on(first: [NodeId; 3], second: [NodeId; 3], nodes: &[[f64; 2]]) -> bool {
    match (arc_of(first, nodes), arc_of(second, nodes)) {
        (None, None) => turn(first, second, nodes) <= STRAIGHT_ON,
        (Some(a), Some(b)) => {
            let apart = (a.centre[0] - b.centre[0]).hypot(a.centre[1] - b.centre[1]);
            apart <= ON_ARC * a.radius && (a.radius - b.radius).abs() <= ON_ARC * a.radius
        }
        _ => false,
    }
}

/// The arc of a curved side; `None` for a straight one.
fn arc_of(side: [NodeId; 3], nodes: &[[f64; 2]]) -> Option<Arc> {
    let [from, middle, to] = side.map(|node| nodes[node]);
    Arc::through(from, middle, to)
}

/// How much the boundary turns from one side to the next, radians.
fn turn(first: [NodeId; 3], second: [NodeId; 3], nodes: &[[f64; 2]]) -> f64 {
    // Tangents of the parabolas at the ends of a side.
    let slope = |side: [NodeId; 3], weights: [f64; 3]| {
        let at = side.map(|node| nodes[node]);
        [0, 1].map(|axis| at.iter().zip(weights).map(|(p, w)| w * p[axis]).sum::<f64>())
    };
    let (a, b) = (slope(first, [0.5, -2.0, 1.5]), slope(second, [-1.5, 2.0, -0.5]));
    (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).abs()
}
