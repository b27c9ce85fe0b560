//! Regions of another thickness or metal: which elements are in which.
//!
//! Region 0 is the plate; region k is the k-th that a plan asks for. Where two of them cover a place,
//! the later one counts. Elements never straddle an outline: rings have a line on it where it is a
//! circle about their hole, the fill has sides on it elsewhere.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::mesh::plan::RegionPlan;
use crate::mesh::region_numbers::Regions;
use crate::mesh::topology::{HoleMesh, Mesh, NodeId};

impl Mesh {
    /// Region of an element; quadrilaterals come first, then triangles.
    #[must_use]
    pub fn region_of(&self, element: usize) -> u8 {
        let region = match element.checked_sub(self.quads.len()) {
            None => self.regions.quads.get(element),
            Some(triangle) => self.regions.triangles.get(triangle),
        };
        region.copied().unwrap_or(0)
    }

    /// Region of an integration point.
    #[must_use]
    pub fn region_of_point(&self, point: usize) -> u8 {
        let quads = self.quads.len();
        self.region_of(match point.checked_sub(QUAD_POINTS * quads) {
            None => point / QUAD_POINTS,
            Some(beyond) => quads + beyond / TRIANGLE_POINTS,
        })
    }

    /// Lines of the rings of a hole, 0 at the hole, where two regions meet.
    pub(crate) fn region_lines(&self, rings: &HoleMesh) -> Vec<usize> {
        let region = |layer: usize| self.region_of(rings.quad(layer, 0));
        (1..rings.layers).filter(|&line| region(line - 1) != region(line)).collect()
    }

    /// Thickness over that of the plate where `side` is, a side that one element has.
    #[must_use]
    pub(crate) fn side_thickness(&self) -> SideThickness {
        let mut by_middle = BTreeMap::new();
        for element in
            0..if self.regions.relative_thickness.is_empty() { 0 } else { self.element_count() }
        {
            let thickness = self.regions.thickness_of(self.region_of(element));
            let nodes = self.nodes_of(element);
            by_middle.extend(nodes[nodes.len() / 2..].iter().map(|&middle| (middle, thickness)));
        }
        SideThickness(by_middle)
    }
}

/// Thickness over that of the plate at free sides, by their middle nodes.
#[derive(Clone, Debug)]
pub(crate) struct SideThickness(BTreeMap<NodeId, f64>);

impl SideThickness {
    /// That of `side`, `[start, middle, end]`.
    pub(crate) fn of(&self, side: [NodeId; 3]) -> f64 {
        self.0.get(&side[1]).copied().unwrap_or(1.0)
    }
}

/// Puts every element into the last of `plans` that its middle is in.
pub(crate) fn classify(mesh: &mut Mesh, plans: &[RegionPlan]) {
    if plans.is_empty() {
        return;
    }
    let middle = |corners: &[NodeId]| {
        let count = corners.len() as f64;
        [0, 1].map(|axis| corners.iter().map(|&n| mesh.nodes[n][axis]).sum::<f64>() / count)
    };
    let region = |at: [f64; 2]| {
        let last = plans.iter().rposition(|plan| plan.outline.surrounds(at));
        // The case allows fewer regions than a byte counts.
        last.map_or(0, |last| u8::try_from(last + 1).unwrap_or(u8::MAX))
    };
    mesh.regions = Regions {
        relative_thickness: plans.iter().map(|plan| plan.relative_thickness).collect(),
        quads: mesh.quads.iter().map(|quad| region(middle(&quad[..4]))).collect(),
        triangles: mesh.triangles.iter().map(|triangle| region(middle(&triangle[..3]))).collect(),
    };
}

/// A mesh whose regions have nodes of their own, for fields that jump where regions meet, and the node
/// of `mesh` that every node comes from. A mesh of one region is handed back as it is.
#[must_use]
pub fn parted(mesh: &Mesh) -> (Cow<'_, Mesh>, Vec<NodeId>) {
    let mut origin: Vec<NodeId> = (0..mesh.nodes.len()).collect();
    if mesh.regions.quads.is_empty() && mesh.regions.triangles.is_empty() {
        return (Cow::Borrowed(mesh), origin);
    }
    let mut apart = mesh.clone();
    let mut first: Vec<Option<u8>> = vec![None; mesh.nodes.len()];
    let mut twins: BTreeMap<(NodeId, u8), NodeId> = BTreeMap::new();
    for element in 0..mesh.element_count() {
        let region = mesh.region_of(element);
        let nodes: &mut [NodeId] = match element.checked_sub(mesh.quads.len()) {
            None => &mut apart.quads[element],
            Some(triangle) => &mut apart.triangles[triangle],
        };
        for node in nodes {
            if *first[*node].get_or_insert(region) == region {
                continue;
            }
            let old = *node;
            *node = *twins.entry((old, region)).or_insert_with(|| {
                apart.nodes.push(mesh.nodes[old]);
                origin.push(old);
                apart.nodes.len() - 1
            });
        }
    }
    // A free side belongs to one element, and takes that one's nodes.
    let own: BTreeMap<NodeId, u8> = (0..mesh.element_count())
        .flat_map(|element| {
            let nodes = mesh.nodes_of(element);
            let region = mesh.region_of(element);
            nodes[nodes.len() / 2..].iter().map(move |&middle| (middle, region))
        })
        .collect();
    for side in apart.edges.iter_mut().flat_map(|edge| &mut edge.sides) {
        if let Some(&region) = own.get(&side[1]) {
            *side = side.map(|node| twins.get(&(node, region)).copied().unwrap_or(node));
        }
    }
    for nodes in [&mut apart.mirror_nodes_x, &mut apart.mirror_nodes_y] {
        let on_line: Vec<NodeId> = twins
            .iter()
            .filter(|((old, _), _)| nodes.binary_search(old).is_ok())
            .map(|(_, &twin)| twin)
            .collect();
        nodes.extend(on_line);
        nodes.sort_unstable();
    }
    (Cow::Owned(apart), origin)
}
