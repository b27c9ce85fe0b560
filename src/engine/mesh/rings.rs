//! Nodes and quadrilaterals of the rings round one hole.
//!
//! Every node lies on its circle: corner and circumferential mid-side nodes on the ring
//! lines, radial mid-side nodes on the circle half-way between two lines. Round a hole that is out of round, lines
//! follow its edge less and less, from the edge itself to a circle.

use crate::geometry::arc::direction;
use crate::geometry::hole::Hole;
use crate::mesh::angles::Sectors;
use crate::mesh::layers::Layers;
use crate::mesh::topology::{HoleMesh, Mesh, NodeId, Symmetry};

/// The outermost ring line: where the fill begins.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct OuterLine {
    /// Centre of the hole, mm.
    pub(crate) centre: [f64; 2],
    /// Radius of the line, mm.
    pub(crate) radius: f64,
    /// Radius within which metal may yield, mm: triangles grow gently up to it.
    pub(crate) yields_to: f64,
    /// Corner and mid-side nodes alternating, counter-clockwise, starting with a corner; a
    /// full circle does not repeat its first node.
    pub(crate) nodes: Vec<NodeId>,
    /// Whether it is a full circle.
    pub(crate) closed: bool,
}

impl OuterLine {
    /// Sides of the line `[start, mid, end]`, counter-clockwise about the hole.
    pub(crate) fn sides(&self) -> impl Iterator<Item = [NodeId; 3]> + '_ {
        let n = self.nodes.len();
        (0..n / 2)
            .map(move |k| [self.nodes[2 * k], self.nodes[2 * k + 1], self.nodes[(2 * k + 2) % n]])
    }
}

/// Adds the rings of `hole` to `mesh`; returns their outermost line.
pub(crate) fn add_rings(
    mesh: &mut Mesh,
    hole: &Hole,
    layers: &Layers,
    sectors: &Sectors,
    symmetry: Symmetry,
) -> OuterLine {
    // A centre that is on a mirror line but for rounding is put on it.
    let centre = [symmetry.x.unwrap_or(hole.centre[0]), symmetry.y.unwrap_or(hole.centre[1])];
    let count = sectors.count();
    let corners = if sectors.closed { count } else { count + 1 };

    let (bore, round_from) = (hole.radius(), layers.round_from);
    let mut place = |circle: f64, angle: f64| -> NodeId {
        let [cosine, sine] = direction(angle);
        let radius = match hole.out_of_round {
            Some(shape) if circle < round_from => {
                let share = (round_from - circle) / (round_from - bore);
                circle + share * shape.beyond_mean(angle)
            }
            _ => circle,
        };
        mesh.nodes.push([centre[0] + radius * cosine, centre[1] + radius * sine]);
        mesh.nodes.len() - 1
    };
    // Corner and mid-side nodes of a ring line; corners alone half-way between lines.
    let mut lines: Vec<Vec<NodeId>> = Vec::with_capacity(layers.radii.len());
    let mut between: Vec<Vec<NodeId>> = Vec::with_capacity(layers.radii.len());
    for (line, &radius) in layers.radii.iter().enumerate() {
        let mut nodes = Vec::with_capacity(2 * corners);
        for k in 0..corners {
            nodes.push(place(radius, sectors.corners[k]));
            if k < count {
                nodes.push(place(radius, 0.5 * (sectors.corners[k] + sectors.corners[k + 1])));
            }
        }
        lines.push(nodes);
        if let Some(next) = layers.radii.get(line + 1) {
            let middle = 0.5 * (radius + next);
            between.push((0..corners).map(|k| place(middle, sectors.corners[k])).collect());
        }
    }

    let first_quad = mesh.quads.len();
    for (layer, across) in between.iter().enumerate() {
        let (inner, outer) = (&lines[layer], &lines[layer + 1]);
        for sector in 0..count {
            let next = (sector + 1) % corners;
            mesh.quads.push([
                inner[2 * sector],
                outer[2 * sector],
                outer[2 * next],
                inner[2 * next],
                across[sector],
                outer[2 * sector + 1],
                across[next],
                inner[2 * sector + 1],
            ]);
        }
    }
    let outer = lines.pop().unwrap_or_default();
    mesh.holes.push(HoleMesh {
        edge: lines.into_iter().next().unwrap_or_default(),
        closed: sectors.closed,
        first_quad,
        sectors: count,
        layers: between.len(),
        ream_layers: layers.inside_cut,
    });
    let radius = layers.radii.last().copied().unwrap_or_default();
    let yields_to = layers.yields_to;
    OuterLine { centre, radius, yields_to, nodes: outer, closed: sectors.closed }
}
