//! Rings of the mesh under a cutter: lines that are moved onto its circle, layers that are taken away.

use crate::geometry::hole::Hole;
use crate::mesh::mating::Mating;
use crate::mesh::region_numbers::Regions;
use crate::mesh::topology::{HoleMesh, Mesh, NodeId};

/// Nodes of ring line `line` (0 at the hole), counter-clockwise, corner and mid-side
/// alternating, in step with [`HoleMesh::edge`].
pub(super) fn ring_line(mesh: &Mesh, rings: &HoleMesh, line: usize) -> Vec<NodeId> {
    let (layer, [start, mid, end]) =
        if line < rings.layers { (line, [0, 7, 3]) } else { (line - 1, [1, 5, 2]) };
    let mut nodes = Vec::with_capacity(2 * rings.sectors + 1);
    for sector in 0..rings.sectors {
        let quad = &mesh.quads[rings.quad(layer, sector)];
        nodes.extend([quad[start], quad[mid]]);
        if sector + 1 == rings.sectors && !rings.closed {
            nodes.push(quad[end]);
        }
    }
    nodes
}

pub(super) fn direction(hole: &Hole, position: [f64; 2]) -> [f64; 2] {
    let distance = hole.distance_to(position);
    [(position[0] - hole.centre[0]) / distance, (position[1] - hole.centre[1]) / distance]
}

pub(super) fn along(hole: &Hole, direction: [f64; 2], radius: f64) -> [f64; 2] {
    // Centre plus nothing stays exactly on a mirror line.
    [hole.centre[0] + radius * direction[0], hole.centre[1] + radius * direction[1]]
}

/// The mesh with line `chosen` on the targets and the lines up to `spread` following.
#[allow(clippy::too_many_arguments)]
pub(super) fn move_lines(
    mesh: &Mesh,
    hole: &Hole,
    rings: &HoleMesh,
    lines: &[Vec<NodeId>],
    radii: &[f64],
    targets: &[f64],
    chosen: usize,
    spread: usize,
) -> Mesh {
    let mut moved = mesh.clone();
    let fade = |line: usize| (radii[spread] - radii[line]) / (radii[spread] - radii[chosen]);
    for line in chosen..spread {
        let from = lines[chosen].iter().map(|&node| hole.distance_to(mesh.nodes[node]));
        for ((&node, target), from) in lines[line].iter().zip(targets).zip(from) {
            // Lines round a hole that is none, or was cut off its axis, are no circles.
            let radius = if line == chosen {
                *target
            } else {
                hole.distance_to(mesh.nodes[node]) + fade(line) * (target - from)
            };
            moved.nodes[node] = along(hole, direction(hole, mesh.nodes[node]), radius);
        }
    }
    // Radial mid-side nodes stay half-way between their corners.
    for layer in chosen..spread {
        for sector in 0..rings.sectors {
            let quad = mesh.quads[rings.quad(layer, sector)];
            for (inner, outer, middle) in [(0, 1, 4), (3, 2, 6)] {
                let (a, b) = (moved.nodes[quad[inner]], moved.nodes[quad[outer]]);
                let radius = 0.5 * (hole.distance_to(a) + hole.distance_to(b));
                let direction = direction(hole, mesh.nodes[quad[middle]]);
                moved.nodes[quad[middle]] = along(hole, direction, radius);
            }
        }
    }
    moved
}

/// The mesh without the first `gone` layers of hole `index`, and the old number of every
/// node that stays.
pub(super) fn remove_layers(mesh: &Mesh, index: usize, gone: usize) -> (Mesh, Vec<NodeId>) {
    let rings = &mesh.holes[index];
    let removed = rings.first_quad..rings.first_quad + gone * rings.sectors;
    let edge = ring_line(mesh, rings, gone);
    let quads: Vec<[NodeId; 8]> = mesh
        .quads
        .iter()
        .enumerate()
        .filter(|(quad, _)| !removed.contains(quad))
        .map(|(_, nodes)| *nodes)
        .collect();
    let mut used = vec![false; mesh.nodes.len()];
    for &node in quads.iter().flatten().chain(mesh.triangles.iter().flatten()) {
        used[node] = true;
    }
    let old_node: Vec<NodeId> = (0..mesh.nodes.len()).filter(|&node| used[node]).collect();
    let mut new_node = vec![usize::MAX; mesh.nodes.len()];
    for (new, &old) in old_node.iter().enumerate() {
        new_node[old] = new;
    }
    let renumber = |node: NodeId| new_node[node];
    let holes = mesh
        .holes
        .iter()
        .enumerate()
        .map(|(k, hole)| HoleMesh {
            edge: if k == index { &edge } else { &hole.edge }
                .iter()
                .map(|&n| renumber(n))
                .collect(),
            closed: hole.closed,
            first_quad: if hole.first_quad > rings.first_quad {
                hole.first_quad - removed.len()
            } else {
                hole.first_quad
            },
            sectors: hole.sectors,
            layers: if k == index { hole.layers - gone } else { hole.layers },
            ream_layers: if k == index { None } else { hole.ream_layers },
        })
        .collect();
    let kept_mirror = |nodes: &[NodeId]| {
        nodes.iter().filter(|&&node| used[node]).map(|&node| renumber(node)).collect()
    };
    let mut edges = mesh.edges.clone();
    for side in edges.iter_mut().flat_map(|edge| &mut edge.sides) {
        *side = side.map(renumber);
    }
    let reduced = Mesh {
        nodes: old_node.iter().map(|&node| mesh.nodes[node]).collect(),
        quads: quads.into_iter().map(|quad| quad.map(renumber)).collect(),
        triangles: mesh.triangles.iter().map(|triangle| triangle.map(renumber)).collect(),
        holes,
        edges,
        symmetry: mesh.symmetry,
        mirror_nodes_x: kept_mirror(&mesh.mirror_nodes_x),
        mirror_nodes_y: kept_mirror(&mesh.mirror_nodes_y),
        regions: Regions {
            relative_thickness: mesh.regions.relative_thickness.clone(),
            quads: (mesh.regions.quads.iter().enumerate())
                .filter(|(quad, _)| !removed.contains(quad))
                .map(|(_, region)| *region)
                .collect(),
            triangles: mesh.regions.triangles.clone(),
        },
        // Nothing is cut while a sheet lies on the plate.
        sheets: Vec::new(),
        couplings: Vec::new(),
        matings: (mesh.matings.iter())
            .map(|mating| Mating {
                pairs: mating.pairs.iter().map(|pair| pair.map(renumber)).collect(),
                ..mating.clone()
            })
            .collect(),
    };
    (reduced, old_node)
}
