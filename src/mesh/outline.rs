//! Element sides along the outline and along mirror lines.
//!
//! Floor 2, `mesh`.

use std::f64::consts::FRAC_PI_2;

use crate::geometry::plate::{Outline, Plate};
use crate::mesh::grade::subdivide;
use crate::mesh::rings::{OuterLine, direction};
use crate::mesh::size::SizeField;
use crate::mesh::topology::{Mesh, NamedEdge, NodeId, Symmetry};

/// Nodes closer than this share of the plate are the same corner.
const SAME: f64 = 1e-9;

/// A stretch of boundary between two corners, counter-clockwise round the modelled part.
struct Stretch {
    /// Name of the edge; none for a mirror line.
    name: Option<&'static str>,
    from: [f64; 2],
    to: [f64; 2],
    /// Radius and first angle of a quarter circle about the origin; none for a straight line.
    arc: Option<(f64, f64)>,
}

impl Stretch {
    fn straight(name: Option<&'static str>, from: [f64; 2], to: [f64; 2]) -> Self {
        Self { name, from, to, arc: None }
    }

    fn length(&self) -> f64 {
        match self.arc {
            None => (self.to[0] - self.from[0]).hypot(self.to[1] - self.from[1]),
            Some((radius, _)) => radius * FRAC_PI_2,
        }
    }

    /// Point at `distance` from the start. Lines along an axis keep the other coordinate exactly.
    fn point(&self, distance: f64) -> [f64; 2] {
        let share = distance / self.length();
        match self.arc {
            None => [0, 1].map(|axis| self.from[axis] + share * (self.to[axis] - self.from[axis])),
            Some((radius, first)) => direction(first + share * FRAC_PI_2).map(|x| radius * x),
        }
    }
}

/// Adds the nodes of outline and mirror lines and the named edges to `mesh`; returns all
/// new sides `[start, mid, end]`, counter-clockwise.
pub(crate) fn add_outline(
    mesh: &mut Mesh,
    plate: &Plate,
    symmetry: Symmetry,
    rings: &[OuterLine],
    size: &SizeField<'_>,
) -> Vec<[NodeId; 3]> {
    let slack = SAME * plate.outline.extent();
    let mut corners: Vec<NodeId> =
        rings.iter().filter(|ring| !ring.closed).flat_map(ends).collect();
    let mut all = Vec::new();
    for stretch in stretches(&plate.outline, symmetry) {
        let mut sides = Vec::new();
        for (from, to) in uncovered(&stretch, mesh, rings, slack) {
            let cuts = subdivide(to - from, 1, |s| size.at(stretch.point(from + s)));
            let mut start = corner(mesh, &mut corners, stretch.point(from), slack);
            for pair in cuts.windows(2) {
                mesh.nodes.push(stretch.point(from + 0.5 * (pair[0] + pair[1])));
                let middle = mesh.nodes.len() - 1;
                let last = pair[1] >= to - from;
                let end = if last {
                    corner(mesh, &mut corners, stretch.point(to), slack)
                } else {
                    mesh.nodes.push(stretch.point(from + pair[1]));
                    mesh.nodes.len() - 1
                };
                sides.push([start, middle, end]);
                start = end;
            }
        }
        all.extend_from_slice(&sides);
        if let Some(name) = stretch.name {
            add_to_edge(mesh, name, sides);
        }
    }
    all
}

/// Gives the outermost sides of an annulus the name of its rim.
pub(crate) fn name_rim(mesh: &mut Mesh, rim: &OuterLine) {
    add_to_edge(mesh, "rim", rim.sides().collect());
}

fn add_to_edge(mesh: &mut Mesh, name: &str, sides: Vec<[NodeId; 3]>) {
    match mesh.edges.iter_mut().find(|edge| edge.name == name) {
        Some(edge) => edge.sides.extend(sides),
        None => mesh.edges.push(NamedEdge { name: name.to_string(), sides }),
    }
}

/// The boundary of the modelled part, counter-clockwise, holes disregarded.
fn stretches(outline: &Outline, symmetry: Symmetry) -> Vec<Stretch> {
    match *outline {
        Outline::Rectangle { width, height } => {
            let (left, bottom) = (symmetry.x.unwrap_or(0.0), symmetry.y.unwrap_or(0.0));
            let free = |name, mirror: Option<f64>| if mirror.is_none() { Some(name) } else { None };
            let corners = [[left, bottom], [width, bottom], [width, height], [left, height]];
            let names =
                [free("bottom", symmetry.y), Some("right"), Some("top"), free("left", symmetry.x)];
            (0..4).map(|k| Stretch::straight(names[k], corners[k], corners[(k + 1) % 4])).collect()
        }
        Outline::Disc { diameter } => {
            let radius = 0.5 * diameter;
            let quarters: &[f64] = match (symmetry.x, symmetry.y) {
                (None, None) => &[0.0, 1.0, 2.0, 3.0],
                (None, Some(_)) => &[0.0, 1.0],
                (Some(_), None) => &[-1.0, 0.0],
                (Some(_), Some(_)) => &[0.0],
            };
            let at = |quarter: f64| direction(quarter * FRAC_PI_2).map(|x| radius * x);
            let mut parts: Vec<Stretch> = quarters
                .iter()
                .map(|&quarter| Stretch {
                    name: Some("rim"),
                    from: at(quarter),
                    to: at(quarter + 1.0),
                    arc: Some((radius, quarter * FRAC_PI_2)),
                })
                .collect();
            match (symmetry.x, symmetry.y) {
                (None, None) => {}
                (None, Some(_)) => parts.push(Stretch::straight(None, at(2.0), at(0.0))),
                (Some(_), None) => parts.push(Stretch::straight(None, at(1.0), at(-1.0))),
                (Some(_), Some(_)) => {
                    parts.push(Stretch::straight(None, at(1.0), [0.0, 0.0]));
                    parts.push(Stretch::straight(None, [0.0, 0.0], at(0.0)));
                }
            }
            parts
        }
    }
}

/// The pieces `(from, to)` of a stretch, as distances from its start, that no ring covers.
/// Only mirror lines pass through rings.
fn uncovered(stretch: &Stretch, mesh: &Mesh, rings: &[OuterLine], slack: f64) -> Vec<(f64, f64)> {
    let length = stretch.length();
    if stretch.name.is_some() {
        return vec![(0.0, length)];
    }
    let along = [0, 1].map(|axis| (stretch.to[axis] - stretch.from[axis]) / length);
    let mut covered: Vec<(f64, f64)> = rings
        .iter()
        .filter_map(|ring| {
            // Where the ends of the ring's arc meet this line, if they do.
            let meets = |id: NodeId| {
                let [x, y] = [0, 1].map(|axis| mesh.nodes[id][axis] - stretch.from[axis]);
                let beside = y * along[0] - x * along[1];
                (beside.abs() <= slack).then_some(x * along[0] + y * along[1])
            };
            match ends(ring).map(meets) {
                [Some(a), Some(b)] => Some((a.min(b), a.max(b))),
                // A quarter: its other end is on the other line, its centre where they cross, which
                // is one end of this one. The ring may reach beyond its middle.
                [Some(a), None] | [None, Some(a)] => {
                    let centre = [0, 1].map(|axis| ring.centre[axis] - stretch.from[axis]);
                    let centre = centre[0] * along[0] + centre[1] * along[1];
                    Some(if centre < 0.5 * length { (0.0, a) } else { (a, length) })
                }
                [None, None] => None,
            }
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
