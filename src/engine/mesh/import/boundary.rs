//! The boundary of a mesh: sides that one element has alone, strung together to loops.
//!
//! Sides run with the metal on their left: counter-clockwise round the plate, clockwise round
//! its openings. A node of one element in the side of another leaves a loop without area or a
//! node that two loops share; both are rejected.

use std::collections::BTreeMap;

use crate::mesh::import::elements::Elements;
use crate::mesh::import::import_error::ImportError;
use crate::mesh::topology::NodeId;

/// A loop with less area than this share of its squared length is a crack. A slot as long as
/// a hundred times its width has 2e-3.
const NO_AREA: f64 = 1e-6;

/// A closed chain of element sides.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Loop {
    /// Sides `[start, middle, end]`, metal on the left.
    pub(super) sides: Vec<[NodeId; 3]>,
    /// Area inside, mm²: positive for the outer boundary, negative for an opening.
    pub(super) area: f64,
}

impl Loop {
    /// Corner nodes in order.
    pub(super) fn corners(&self) -> impl Iterator<Item = NodeId> + '_ {
        self.sides.iter().map(|side| side[0])
    }
}

/// The outer loop and the openings, in the order of their lowest node.
pub(super) fn boundary(elements: &Elements) -> Result<(Loop, Vec<Loop>), ImportError> {
    let nodes = &elements.nodes;
    let refuse = |node: NodeId, reason: &str| {
        Err(ImportError::Joint { at: nodes[node], reason: reason.to_owned() })
    };
    // By corners: how often each side is used, and how it ran the first time.
    let mut uses: BTreeMap<(NodeId, NodeId), (usize, [NodeId; 3])> = BTreeMap::new();
    for element in &elements.list {
        for side in element.sides() {
            let [start, middle, end] = side;
            let (count, first) = uses.entry((start.min(end), start.max(end))).or_insert((0, side));
            *count += 1;
            if *count == 2 && first[0] == start {
                return refuse(middle, "two elements lie over each other");
            }
            if *count > 2 {
                return refuse(middle, "more than two elements share a side");
            }
        }
    }
    let mut next: BTreeMap<NodeId, [NodeId; 3]> = BTreeMap::new();
    for (count, side) in uses.into_values() {
        if count == 1 && next.insert(side[0], side).is_some() {
            return refuse(
                side[0],
                "parts touch in this node only, or a node of one element lies in the side of \
                 another",
            );
        }
    }
    let mut loops = Vec::new();
    while let Some((&start, _)) = next.first_key_value() {
        let mut sides = Vec::new();
        let mut at = start;
        // Every node starts one side and ends one, so the chain comes back to its start.
        while let Some(side) = next.remove(&at) {
            sides.push(side);
            at = side[2];
        }
        loops.push(measured(sides, nodes)?);
    }
    sort_out(loops, nodes)
}

/// Area inside a chain of sides, mm², positive when it runs counter-clockwise, and its length, mm.
pub(super) fn area_and_length(sides: &[[NodeId; 3]], nodes: &[[f64; 2]]) -> (f64, f64) {
    let origin = nodes[sides[0][0]];
    let from = |node: NodeId| [nodes[node][0] - origin[0], nodes[node][1] - origin[1]];
    let (mut area, mut length) = (0.0, 0.0);
    for side in sides {
        for (a, b) in [(side[0], side[1]), (side[1], side[2])] {
            let (a, b) = (from(a), from(b));
            area += 0.5 * (a[0] * b[1] - a[1] * b[0]);
            length += (b[0] - a[0]).hypot(b[1] - a[1]);
        }
    }
    (area, length)
}

fn measured(sides: Vec<[NodeId; 3]>, nodes: &[[f64; 2]]) -> Result<Loop, ImportError> {
    let (area, length) = area_and_length(&sides, nodes);
    if area.abs() < NO_AREA * length * length {
        return Err(ImportError::Joint {
            at: nodes[sides[0][1]],
            reason: "a crack without width: a node of one element lies in the side of another, or \
                     nodes that should be one are apart"
                .to_owned(),
        });
    }
    Ok(Loop { sides, area })
}

/// One outer loop, and the openings.
fn sort_out(loops: Vec<Loop>, nodes: &[[f64; 2]]) -> Result<(Loop, Vec<Loop>), ImportError> {
    let (mut outer, openings): (Vec<Loop>, Vec<Loop>) =
        loops.into_iter().partition(|edge| edge.area > 0.0);
    outer.sort_by(|a, b| b.area.total_cmp(&a.area));
    let mut outer = outer.into_iter();
    let (first, second) = (outer.next(), outer.next());
    match (first, second) {
        (Some(first), None) => Ok((first, openings)),
        (_, Some(second)) => Err(ImportError::Joint {
            at: nodes[second.sides[0][0]],
            reason: "the mesh falls into separate parts, and this is the smaller".to_owned(),
        }),
        (None, None) => Err(ImportError::NotAGrid { reason: "it has no boundary".to_owned() }),
    }
}
