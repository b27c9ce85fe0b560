//! Where a sheet covers the plate: shape functions of both, integrated over the points of its elements.
//!
//! The meshes need not match. Every integration point of the sheet is looked up in the plate; where there is
//! no metal of the plate (a hole, or beyond the outline) nothing is covered.

use crate::element::quality::{determinant, tangents};
use crate::element::shape::{quad8_gradients, quad8_values, tri6_gradients, tri6_values};
use crate::mesh::locate::Locator;
use crate::mesh::topology::{Mesh, NodeId, Overlap};
use crate::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};

/// The overlap of sheet `sheet` with the plate; see [`Overlap`].
#[must_use]
pub fn overlap(mesh: &Mesh, sheet: usize) -> Vec<Overlap> {
    let plate = mesh.alone(None);
    let locator = Locator::new(&plate);
    let mut found: Vec<Overlap> = Vec::new();
    let part = mesh.part(Some(sheet));
    let mut add = |nodes: &[NodeId], values: &[f64], area: f64| {
        let at = [0, 1].map(|axis| {
            nodes.iter().zip(values).map(|(&node, value)| value * mesh.nodes[node][axis]).sum()
        });
        let Some(located) = locator.find(at) else { return };
        let (below, shares) = located.shares(&plate);
        let mut all: Vec<(NodeId, f64)> =
            below.iter().zip(shares).map(|(&node, share)| (node, -share)).collect();
        all.extend(nodes.iter().copied().zip(values.iter().copied()));
        for (k, &(node, share)) in all.iter().enumerate() {
            for &(other, its) in &all[..=k] {
                found.push((node.max(other), node.min(other), share * its * area));
            }
        }
    };
    for quad in &mesh.quads[part.quads] {
        let corners = quad.map(|node| mesh.nodes[node]);
        for (at, weight) in SQUARE_2X2 {
            let area = determinant(tangents(&corners, &quad8_gradients(at)));
            add(quad, &quad8_values(at), weight * area);
        }
    }
    for triangle in &mesh.triangles[part.triangles] {
        let corners = triangle.map(|node| mesh.nodes[node]);
        for (at, weight) in TRIANGLE_3 {
            let area = determinant(tangents(&corners, &tri6_gradients(at)));
            add(triangle, &tri6_values(at), weight * area);
        }
    }
    // In the order in which they were found, so that the sums are always the same.
    found.sort_by_key(|&(high, low, _)| (low, high));
    found.dedup_by(|next, sum| {
        let same = (next.0, next.1) == (sum.0, sum.1);
        if same {
            sum.2 += next.2;
        }
        same
    });
    found
}

/// Places of the nodes of a sheet on the plate: the nodes of the plate that each lies between and their shares;
/// none where it covers nothing.
#[must_use]
pub fn nodes_on_plate(mesh: &Mesh, sheet: usize) -> Vec<Vec<(NodeId, f64)>> {
    let plate = mesh.alone(None);
    let locator = Locator::new(&plate);
    let place = |node: NodeId| {
        locator.find(mesh.nodes[node]).map_or_else(Vec::new, |located| {
            let (nodes, shares) = located.shares(&plate);
            nodes.iter().copied().zip(shares).collect()
        })
    };
    mesh.part(Some(sheet)).nodes.map(place).collect()
}
