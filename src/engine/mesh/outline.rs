//! Element sides along the outline and along mirror lines.

use crate::geometry::outline::Loops;
use crate::geometry::piece::Piece;
use crate::mesh::grade::subdivide;
use crate::mesh::half::{Stretch, stretches};
use crate::mesh::rings::OuterLine;
use crate::mesh::size::SizeField;
use crate::mesh::topology::{Mesh, NamedEdge, NodeId, Symmetry};
use crate::mesh::walls::cut_at;

/// Sides on an arc turn by less than this, radians: a parabola then leaves the circle by less
/// than a ten-thousandth of its radius, whatever size is wanted.
const WIDEST_SIDE: f64 = 0.4;

/// The modelled part and its rings; places within `slack` mm are one.
pub(crate) struct Boundary<'a> {
    pub(crate) loops: &'a Loops,
    pub(crate) symmetry: Symmetry,
    pub(crate) rings: &'a [OuterLine],
    pub(crate) size: &'a SizeField<'a>,
    pub(crate) slack: f64,
}

/// Adds the nodes of outline and mirror lines and the named edges to `mesh`; returns all
/// new sides `[start, mid, end]`, metal on the left, and the corners among their nodes. There is a
/// corner wherever one of `walls` ends.
pub(crate) fn add_outline(
    mesh: &mut Mesh,
    boundary: &Boundary<'_>,
    walls: &[Piece],
) -> (Vec<[NodeId; 3]>, Vec<NodeId>) {
    let Boundary { loops, symmetry, rings, slack, .. } = *boundary;
    let mut corners: Vec<NodeId> =
        rings.iter().filter(|ring| !ring.closed).flat_map(ends).collect();
    let stops: Vec<[f64; 2]> = walls.iter().flat_map(|wall| [wall.from, wall.to]).collect();
    let mut all = Vec::new();
    for Stretch { mirror, piece } in stretches(loops, symmetry, slack) {
        for piece in cut_at(&piece, &stops, slack) {
            let free =
                if mirror { uncovered(&piece, rings, slack) } else { vec![(0.0, piece.length())] };
            let sides = free
                .into_iter()
                .flat_map(|span| along(mesh, boundary, &mut corners, &piece, span))
                .collect::<Vec<_>>();
            all.extend_from_slice(&sides);
            if !mirror {
                add_to_edge(mesh, &piece.name, sides);
            }
        }
    }
    (all, corners)
}

/// Adds the nodes of outlines of regions to `mesh`; returns their sides, metal on both hands.
pub(crate) fn add_walls(
    mesh: &mut Mesh,
    boundary: &Boundary<'_>,
    walls: &[Piece],
    corners: &mut Vec<NodeId>,
) -> Vec<[NodeId; 3]> {
    let sides =
        walls.iter().flat_map(|wall| along(mesh, boundary, corners, wall, (0.0, wall.length())));
    sides.collect()
}

/// Sides `[start, mid, end]` of `piece` between two distances from its start; its ends are `corners`.
fn along(
    mesh: &mut Mesh,
    boundary: &Boundary<'_>,
    corners: &mut Vec<NodeId>,
    piece: &Piece,
    (from, to): (f64, f64),
) -> Vec<[NodeId; 3]> {
    let Boundary { size, slack, .. } = *boundary;
    let length = piece.length();
    let place = |distance: f64| piece.point(distance / length);
    let sweep = piece.arc.map_or(0.0, |arc| arc.sweep.abs());
    let least = (1..16).find(|n| f64::from(*n) * WIDEST_SIDE >= sweep).unwrap_or(16);
    let cuts = subdivide(to - from, least, |s| size.at(place(from + s)));
    let mut sides = Vec::with_capacity(cuts.len());
    let mut start = corner(mesh, corners, place(from), slack);
    for pair in cuts.windows(2) {
        mesh.nodes.push(place(from + 0.5 * (pair[0] + pair[1])));
        let middle = mesh.nodes.len() - 1;
        let last = pair[1] >= to - from;
        let end = if last {
            corner(mesh, corners, place(to), slack)
        } else {
            mesh.nodes.push(place(from + pair[1]));
            mesh.nodes.len() - 1
        };
        sides.push([start, middle, end]);
        start = end;
    }
    sides
}

/// Gives the outermost sides of an annulus the name of its rim.
pub(crate) fn name_rim(mesh: &mut Mesh, rim: &OuterLine) {
    add_to_edge(mesh, "rim", rim.sides().collect());
}

/// The parts `(from, to)` of a mirror line, as distances from its start, that no ring covers.
fn uncovered(line: &Piece, rings: &[OuterLine], slack: f64) -> Vec<(f64, f64)> {
    let length = line.length();
    let [x, y] = line.tangent(0.0);
    let mut covered: Vec<(f64, f64)> = rings
        .iter()
        .filter_map(|ring| {
            let [dx, dy] = [0, 1].map(|axis| ring.centre[axis] - line.from[axis]);
            let (along, beside) = (dx * x + dy * y, dy * x - dx * y);
            let (from, to) = (along - ring.radius, along + ring.radius);
            // Centres are on every mirror line; a ring may still lie on another stretch of it.
            (beside.abs() <= slack && to > 0.0 && from < length).then_some((from, to))
        })
        .collect();
    covered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut pieces = Vec::new();
    let mut from = 0.0;
    for (start, end) in covered {
        if start > from + slack {
            pieces.push((from, start));
        }
        from = end;
    }
    if length > from + slack {
        pieces.push((from, length));
    }
    pieces
}

/// First and last node of the arc of a ring.
fn ends(ring: &OuterLine) -> [NodeId; 2] {
    [ring.nodes[0], ring.nodes[ring.nodes.len() - 1]]
}

/// The node at `point`: one of `corners` if it is there, else a new one.
fn corner(mesh: &mut Mesh, corners: &mut Vec<NodeId>, point: [f64; 2], slack: f64) -> NodeId {
    let near = |id: &NodeId| {
        let [x, y] = mesh.nodes[*id];
        (x - point[0]).hypot(y - point[1]) <= slack
    };
    if let Some(&id) = corners.iter().find(|id| near(id)) {
        return id;
    }
    mesh.nodes.push(point);
    corners.push(mesh.nodes.len() - 1);
    mesh.nodes.len() - 1
}

fn add_to_edge(mesh: &mut Mesh, name: &str, sides: Vec<[NodeId; 3]>) {
    match mesh.edges.iter_mut().find(|edge| edge.name == name) {
        Some(edge) => edge.sides.extend(sides),
        None => mesh.edges.push(NamedEdge { name: name.to_string(), sides }),
    }
}
