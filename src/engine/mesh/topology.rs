//! The mesh: nodes, elements, and the names of its boundary.
//!
//! Quadratic throughout and conforming: 8-node quadrilaterals in the rings round
//! holes, 6-node triangles in the fill. Lengths in mm, in the reference (drawn)
//! configuration.
//!
//! Node order inside an element, all counter-clockwise:
//!
//! ```text
//!   quadrilateral            triangle            ring quadrilateral of sector j, layer k
//!   3 ── 6 ── 2              2                   0 = (inner radius, angle j)
//!   │         │              │ \                 1 = (outer radius, angle j)
//!   7         5              5   4               2 = (outer radius, angle j+1)
//!   │         │              │     \             3 = (inner radius, angle j+1)
//!   0 ── 4 ── 1              0 ─ 3 ─ 1           so 0-7-3 lies on the inner line
//! ```

use std::ops::Range;

use serde::{Deserialize, Serialize};

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::mesh::mating::Mating;
use crate::mesh::region_numbers::Regions;

/// Number of a node, an index into [`Mesh::nodes`].
pub type NodeId = usize;

/// A quadratic finite-element mesh of a plate, or of the half or quarter of it
/// that symmetry leaves to be solved.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Mesh {
    /// Reference position `[x, y]` of every node, mm.
    pub nodes: Vec<[f64; 2]>,
    /// 8-node quadrilaterals: four corners, then the mid-side nodes of sides 0-1, 1-2, 2-3, 3-0.
    pub quads: Vec<[NodeId; 8]>,
    /// 6-node triangles: three corners, then the mid-side nodes of sides 0-1, 1-2, 2-0.
    pub triangles: Vec<[NodeId; 6]>,
    /// One entry a hole of the plate, in the plate's order.
    pub holes: Vec<HoleMesh>,
    /// The outer boundary, by name; symmetry lines are not part of it.
    pub edges: Vec<NamedEdge>,
    /// Which part of the plate this is.
    pub symmetry: Symmetry,
    /// Nodes on the vertical mirror line, rising number; empty without one.
    #[serde(default)]
    pub mirror_nodes_x: Vec<NodeId>,
    /// Nodes on the horizontal mirror line, rising number; empty without one.
    #[serde(default)]
    pub mirror_nodes_y: Vec<NodeId>,
    /// Elements of another thickness or metal than the rest.
    #[serde(default)]
    pub regions: Regions,
    /// Sheets that lie on the plate; their nodes and elements come after its own.
    #[serde(default)]
    pub sheets: Vec<Sheet>,
    /// Bushes in holes, in the order in which they were put in.
    #[serde(default)]
    pub matings: Vec<Mating>,
    /// Other nodes that contact may couple: those of a sleeve and of the bore it slides on.
    #[serde(default)]
    pub couplings: Vec<[NodeId; 2]>,
}

/// The rings of quadrilaterals round one hole.
///
/// Quads are numbered layer by layer from the hole outward, and inside a layer
/// counter-clockwise: quad `first_quad + layer · sectors + sector`.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct HoleMesh {
    /// Nodes on the hole edge, counter-clockwise, corner and mid-side alternating,
    /// starting with a corner. A full circle closes on its first node, which is not
    /// repeated; an arc (half or quarter) starts and ends with a corner.
    pub edge: Vec<NodeId>,
    /// Whether `edge` is a full circle.
    pub closed: bool,
    /// Index of the first ring quad of this hole.
    pub first_quad: usize,
    /// Quads in a layer.
    pub sectors: usize,
    /// Layers in the rings.
    pub layers: usize,
    /// Layers that the largest planned ream takes away, when one was planned.
    pub ream_layers: Option<usize>,
}

impl HoleMesh {
    /// Index of the quad in `layer` (0 at the hole) and `sector`.
    #[must_use]
    pub fn quad(&self, layer: usize, sector: usize) -> usize {
        self.first_quad + layer * self.sectors + sector
    }

    /// Sides of the hole edge as `[start, mid, end]`, counter-clockwise round the hole.
    pub fn sides(&self) -> impl Iterator<Item = [NodeId; 3]> + '_ {
        let n = self.edge.len();
        (0..n / 2)
            .map(move |k| [self.edge[2 * k], self.edge[2 * k + 1], self.edge[(2 * k + 2) % n]])
    }
}

/// A stretch of the outer boundary.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NamedEdge {
    /// Name a case file may use, e.g. `left`.
    pub name: String,
    /// Its element sides `[start, mid, end]`, with the material on the left, i.e.
    /// counter-clockwise round the plate.
    pub sides: Vec<[NodeId; 3]>,
}

/// Two nodes, the higher first, and `∫ cₐ c_b dA` over the covered area, mm²: `c` is the shape function of a
/// node of the sheet, or minus that of a node of the plate, so that `Σ cₐ uₐ` is how far the sheet has moved
/// on the plate.
pub type Overlap = (NodeId, NodeId, f64);

/// A sheet on the plate.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Sheet {
    /// Its name.
    pub name: String,
    /// Its nodes in the mesh.
    pub nodes: Range<NodeId>,
    /// Its quadrilaterals.
    pub quads: Range<usize>,
    /// Its triangles.
    pub triangles: Range<usize>,
    /// Its holes, in the order of their drawing.
    pub holes: Vec<HoleMesh>,
    /// Its outer boundary, by name.
    pub edges: Vec<NamedEdge>,
    /// Where it covers the plate, node by node.
    pub overlap: Vec<Overlap>,
}

/// The lines about which the modelled part is mirrored to give the whole plate.
///
/// `x: Some(c)` mirrors about the vertical line `x = c` (the modelled part lies at
/// `x ≥ c`), `y: Some(c)` about the horizontal line `y = c` (modelled part `y ≥ c`).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Symmetry {
    /// Position of a vertical mirror line, mm.
    pub x: Option<f64>,
    /// Position of a horizontal mirror line, mm.
    pub y: Option<f64>,
}

impl Symmetry {
    /// How many copies of the modelled part make the whole plate: 1, 2 or 4.
    #[must_use]
    pub fn copies(&self) -> usize {
        (1 + usize::from(self.x.is_some())) * (1 + usize::from(self.y.is_some()))
    }

    /// The point of the modelled part that mirrors to `point`, and which axes were flipped.
    #[must_use]
    pub fn fold(&self, point: [f64; 2]) -> ([f64; 2], [bool; 2]) {
        let mut folded = point;
        let mut flipped = [false; 2];
        for (axis, line) in [self.x, self.y].into_iter().enumerate() {
            if let Some(line) = line.filter(|&line| point[axis] < line) {
                folded[axis] = 2.0 * line - point[axis];
                flipped[axis] = true;
            }
        }
        (folded, flipped)
    }
}

impl Mesh {
    /// The mesh with its nodes moved by `displacement` (mm): of a part as it stands.
    ///
    /// # Panics
    ///
    /// Without one displacement for every node.
    #[must_use]
    pub fn displaced(&self, displacement: &[[f64; 2]]) -> Self {
        assert_eq!(displacement.len(), self.nodes.len(), "one displacement for every node");
        let moved = self.nodes.iter().zip(displacement);
        let nodes = moved.map(|(at, by)| [at[0] + by[0], at[1] + by[1]]).collect();
        Self { nodes, ..self.clone() }
    }

    /// Elements of both kinds.
    #[must_use]
    pub fn element_count(&self) -> usize {
        self.quads.len() + self.triangles.len()
    }

    /// Whether a node lies on a mirror line.
    #[must_use]
    pub(crate) fn is_on_mirror(&self, node: NodeId) -> bool {
        [&self.mirror_nodes_x, &self.mirror_nodes_y]
            .into_iter()
            .any(|nodes| nodes.binary_search(&node).is_ok())
    }

    /// Nodes of element `element`; quadrilaterals come first, then triangles.
    #[must_use]
    pub(crate) fn nodes_of(&self, element: usize) -> &[NodeId] {
        match element.checked_sub(self.quads.len()) {
            None => &self.quads[element],
            Some(triangle) => &self.triangles[triangle],
        }
    }

    /// Integration points of element `element`, in the same order.
    #[must_use]
    pub(crate) fn points_of(&self, element: usize) -> Range<usize> {
        match element.checked_sub(self.quads.len()) {
            None => QUAD_POINTS * element..QUAD_POINTS * (element + 1),
            Some(triangle) => {
                let first = QUAD_POINTS * self.quads.len() + TRIANGLE_POINTS * triangle;
                first..first + TRIANGLE_POINTS
            }
        }
    }

    /// Every side of every element as `[start, mid, end]`: quadrilaterals first, then triangles, each
    /// in its own sense, so that a side between two elements comes twice.
    pub fn element_sides(&self) -> impl Iterator<Item = [NodeId; 3]> + '_ {
        let quads = self.quads.iter().flat_map(|n| {
            [[n[0], n[4], n[1]], [n[1], n[5], n[2]], [n[2], n[6], n[3]], [n[3], n[7], n[0]]]
        });
        let triangles = self
            .triangles
            .iter()
            .flat_map(|n| [[n[0], n[3], n[1]], [n[1], n[4], n[2]], [n[2], n[5], n[0]]]);
        quads.chain(triangles)
    }

    /// The edge called `name`, of the plate or of a sheet on it.
    #[must_use]
    pub fn edge(&self, name: &str) -> Option<&NamedEdge> {
        let of_sheets = self.sheets.iter().flat_map(|sheet| &sheet.edges);
        self.edges.iter().chain(of_sheets).find(|edge| edge.name == name)
    }
}
