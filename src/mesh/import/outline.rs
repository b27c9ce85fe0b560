//! The outer boundary of a mesh: its edges by name, and the outline that a plate is given.
//!
//! Floor 2, `mesh`.

use crate::geometry::plate::Outline;
use crate::mesh::import::boundary::Loop;
use crate::mesh::import::circle::{Circle, fit};
use crate::mesh::import::elements::Elements;
use crate::mesh::import::error::ImportError;
use crate::mesh::topology::{NamedEdge, NodeId};

/// A boundary that turns by more than this, radians, has a corner there: 20°.
const CORNER: f64 = 0.349;
/// How far, as a share of the plate, nodes may lie off a straight edge, or the origin off the
/// corner or centre of the plate.
const ON_EDGE: f64 = 1e-5;
/// How far, as a share of the radius, corners of a round plate may lie off its rim.
const ON_RIM: f64 = 1e-3;
/// Fewer sides are a polygon.
const LEAST_RIM: usize = 12;

/// The outer boundary of a mesh.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rim {
    /// Its edges, counter-clockwise.
    pub(super) edges: Vec<NamedEdge>,
    /// What a plate is given, or why there is nothing.
    pub(super) outline: Result<Outline, ImportError>,
}

/// Names the edges of the outer loop. The chords of a round plate are laid on its rim.
pub(super) fn rim(outer: &Loop, elements: &mut Elements) -> Rim {
    let corners: Vec<[f64; 2]> = outer.corners().map(|node| elements.nodes[node]).collect();
    let round = fit(&corners)
        .filter(|rim| corners.len() >= LEAST_RIM && rim.deviation <= ON_RIM * rim.radius);
    if let Some(circle) = round {
        lay_on_rim(outer, elements, &circle);
        let edges = vec![NamedEdge { name: "rim".to_owned(), sides: outer.sides.clone() }];
        return Rim { edges, outline: disc(&circle) };
    }
    let nodes = &elements.nodes;
    let low = [0, 1].map(|axis| corners.iter().map(|p| p[axis]).fold(f64::INFINITY, f64::min));
    let high = [0, 1].map(|axis| corners.iter().map(|p| p[axis]).fold(f64::NEG_INFINITY, f64::max));
    let slack = ON_EDGE * (high[0] - low[0]).max(high[1] - low[1]);
    // Walls with the direction in which a counter-clockwise boundary runs along them.
    let walls = [
        ("bottom", 1, low[1], [1.0, 0.0]),
        ("right", 0, high[0], [0.0, 1.0]),
        ("top", 1, high[1], [-1.0, 0.0]),
        ("left", 0, low[0], [0.0, -1.0]),
    ];
    let mut edges: Vec<NamedEdge> = Vec::new();
    let mut unnamed = 0;
    for sides in runs(outer, nodes, low) {
        let wall = walls.iter().find(|&&(_, axis, at, _)| {
            sides.iter().flatten().all(|&node| (nodes[node][axis] - at).abs() <= slack)
        });
        let name = if let Some(&(name, ..)) = wall {
            name.to_owned()
        } else {
            unnamed += 1;
            format!("edge-{unnamed}")
        };
        match edges.iter_mut().find(|edge| edge.name == name) {
            Some(edge) => edge.sides.extend(sides),
            None => edges.push(NamedEdge { name, sides }),
        }
    }
    let outline = rectangle(&edges, low, high, slack);
    Rim { edges, outline }
}

/// The stretches between corners, the first from the corner nearest the lower left.
fn runs(outer: &Loop, nodes: &[[f64; 2]], low: [f64; 2]) -> Vec<Vec<[NodeId; 3]>> {
    let count = outer.sides.len();
    // Tangents of the parabolas at the ends of a side.
    let leaving = |side: [NodeId; 3]| slope(side.map(|node| nodes[node]), [-1.5, 2.0, -0.5]);
    let arriving = |side: [NodeId; 3]| slope(side.map(|node| nodes[node]), [0.5, -2.0, 1.5]);
    let turns = |k: usize| {
        let (a, b) = (arriving(outer.sides[(k + count - 1) % count]), leaving(outer.sides[k]));
        (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).abs() > CORNER
    };
    let starts: Vec<usize> = (0..count).filter(|&k| turns(k)).collect();
    let from_low = |k: &usize| {
        let [x, y] = nodes[outer.sides[*k][0]];
        (x - low[0]) + (y - low[1])
    };
    let first =
        (0..starts.len()).min_by(|&a, &b| from_low(&starts[a]).total_cmp(&from_low(&starts[b])));
    let Some(first) = first else { return vec![outer.sides.clone()] };
    (0..starts.len())
        .map(|k| {
            let start = starts[(first + k) % starts.len()];
            let end = starts[(first + k + 1) % starts.len()];
            let length = if end > start { end - start } else { end + count - start };
            (0..length).map(|step| outer.sides[(start + step) % count]).collect()
        })
        .collect()
}

fn slope(side: [[f64; 2]; 3], weights: [f64; 3]) -> [f64; 2] {
    [0, 1].map(|axis| side.iter().zip(weights).map(|(at, weight)| weight * at[axis]).sum())
}

fn lay_on_rim(outer: &Loop, elements: &mut Elements, circle: &Circle) {
    for &[_, middle, _] in &outer.sides {
        if elements.straight[middle] {
            let at = elements.nodes[middle];
            let away = (at[0] - circle.centre[0]).hypot(at[1] - circle.centre[1]);
            let share = circle.radius / away;
            elements.nodes[middle] =
                [0, 1].map(|axis| circle.centre[axis] + share * (at[axis] - circle.centre[axis]));
        }
    }
}

fn disc(circle: &Circle) -> Result<Outline, ImportError> {
    if circle.centre[0].hypot(circle.centre[1]) > ON_RIM * circle.radius {
        let [x, y] = circle.centre;
        let reason = format!("is a disc about ({x:.4}, {y:.4}) mm, not about the origin");
        return Err(ImportError::Outline { reason });
    }
    Ok(Outline::Disc { diameter: 2.0 * circle.radius })
}

fn rectangle(
    edges: &[NamedEdge],
    low: [f64; 2],
    high: [f64; 2],
    slack: f64,
) -> Result<Outline, ImportError> {
    let refuse = |reason: String| Err(ImportError::Outline { reason });
    if let Some(edge) = edges.iter().find(|edge| edge.name.starts_with("edge-")) {
        return refuse(format!(
            "has edges that are not those of a rectangle along the axes, first `{}` of {} sides",
            edge.name,
            edge.sides.len()
        ));
    }
    if low[0].hypot(low[1]) > slack {
        let [x, y] = low;
        return refuse(format!("is a rectangle whose lower left corner is ({x:.4}, {y:.4}) mm"));
    }
    Ok(Outline::Rectangle { width: high[0], height: high[1] })
}
