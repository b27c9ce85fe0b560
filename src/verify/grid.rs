//! Meshes of problems that are no plate with round holes: mapped grids and hand-made patches.

use std::collections::BTreeMap;

use crate::geometry::plate::{Outline, Plate};
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NamedEdge, NodeId};
use crate::process::job::{Job, Numerics};
use crate::solver::system::STRAIN_PARTS;

/// A grid of 8-node quadrilaterals over `columns × rows`, put into place by `map` of
/// `(s, t)`, which run from 0 to `columns` and 0 to `rows`.
///
/// Its edges are `bottom` (t = 0), `right`, `top`, `left`. `map` must keep the sense of rotation.
#[must_use]
pub(crate) fn mapped(columns: usize, rows: usize, map: impl Fn(f64, f64) -> [f64; 2]) -> Mesh {
    let mut mesh = Mesh::default();
    let mut ids: BTreeMap<(usize, usize), NodeId> = BTreeMap::new();
    let mut node = |mesh: &mut Mesh, i: usize, j: usize| -> NodeId {
        *ids.entry((i, j)).or_insert_with(|| {
            mesh.nodes.push(map(0.5 * i as f64, 0.5 * j as f64));
            mesh.nodes.len() - 1
        })
    };
    // Places of the nodes of a quadrilateral, in half columns and rows from its first corner.
    let places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)];
    for row in 0..rows {
        for column in 0..columns {
            let quad = places.map(|(i, j)| node(&mut mesh, 2 * column + i, 2 * row + j));
            mesh.quads.push(quad);
        }
    }
    let (width, height) = (2 * columns, 2 * rows);
    let mut side = |mesh: &mut Mesh, ends: [(usize, usize); 3]| ends.map(|(i, j)| node(mesh, i, j));
    let mut edge = |mesh: &mut Mesh, name: &str, sides: Vec<[(usize, usize); 3]>| {
        let sides = sides.into_iter().map(|ends| side(mesh, ends)).collect();
        mesh.edges.push(NamedEdge { name: name.to_owned(), sides });
    };
    let along = |k: usize| [2 * k, 2 * k + 1, 2 * k + 2];
    let back = |length: usize, k: usize| [length - 2 * k, length - 2 * k - 1, length - 2 * k - 2];
    edge(&mut mesh, "bottom", (0..columns).map(|k| along(k).map(|i| (i, 0))).collect());
    edge(&mut mesh, "right", (0..rows).map(|k| along(k).map(|j| (width, j))).collect());
    edge(&mut mesh, "top", (0..columns).map(|k| back(width, k).map(|i| (i, height))).collect());
    edge(&mut mesh, "left", (0..rows).map(|k| back(height, k).map(|j| (0, j))).collect());
    mesh
}

/// A mesh of straight-sided elements from their corners; its boundary is one edge `outline`.
#[must_use]
pub fn straight_sided(
    corners: &[[f64; 2]],
    quads: &[[NodeId; 4]],
    triangles: &[[NodeId; 3]],
) -> Mesh {
    let mut mesh = Mesh { nodes: corners.to_vec(), ..Mesh::default() };
    let mut middles: BTreeMap<(NodeId, NodeId), (NodeId, usize)> = BTreeMap::new();
    let mut directed = Vec::new();
    let mut middle = |mesh: &mut Mesh, a: NodeId, b: NodeId| {
        directed.push([a, b]);
        let entry = middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
            let (p, q) = (mesh.nodes[a], mesh.nodes[b]);
            mesh.nodes.push([0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])]);
            (mesh.nodes.len() - 1, 0)
        });
        entry.1 += 1;
        entry.0
    };
    for &[a, b, c, d] in quads {
        let [ab, bc, cd, da] =
            [(a, b), (b, c), (c, d), (d, a)].map(|(from, to)| middle(&mut mesh, from, to));
        mesh.quads.push([a, b, c, d, ab, bc, cd, da]);
    }
    for &[a, b, c] in triangles {
        let [ab, bc, ca] = [(a, b), (b, c), (c, a)].map(|(from, to)| middle(&mut mesh, from, to));
        mesh.triangles.push([a, b, c, ab, bc, ca]);
    }
    // A side that one element has alone is on the outline, in the element's own sense.
    let sides = directed
        .iter()
        .filter_map(|&[a, b]| {
            let (node, uses) = middles[&(a.min(b), a.max(b))];
            (uses == 1).then_some([a, node, b])
        })
        .collect();
    mesh.edges = vec![NamedEdge { name: "outline".into(), sides }];
    mesh
}

/// A job without holes and stages: metal and size for a mesh made here. `extent` in mm.
#[must_use]
pub fn job(extent: [f64; 2], material: Material, idealisation: Idealisation) -> Job {
    Job {
        plate: Plate {
            outline: Outline::Rectangle { width: extent[0], height: extent[1] },
            thickness: 1.0,
            holes: vec![],
        },
        idealisation,
        material,
        stages: vec![],
        // The known answers of these grids are those of small strains.
        // Orders in the increment show where its parts do not adapt.
        numerics: Numerics {
            strains: Strains::Small,
            strain_parts: Some(STRAIN_PARTS),
            ..Numerics::default()
        },
        supports: vec![],
        regions: vec![],
    }
}

/// The node nearest to a place.
#[must_use]
pub(crate) fn nearest_node(mesh: &Mesh, at: [f64; 2]) -> NodeId {
    let away = |node: &[f64; 2]| (node[0] - at[0]).hypot(node[1] - at[1]);
    let nodes = mesh.nodes.iter().enumerate();
    nodes.min_by(|a, b| away(a.1).total_cmp(&away(b.1))).map_or(0, |(node, _)| node)
}

/// Widths of `count` steps from 0 to `length`, each `growth` times the one before: their sums.
#[must_use]
pub fn graded(length: f64, count: usize, growth: f64) -> Vec<f64> {
    let mut sums = vec![0.0];
    let (mut step, mut sum) = (1.0, 0.0);
    for _ in 0..count {
        sum += step;
        step *= growth;
        sums.push(sum);
    }
    sums.iter().map(|part| length * part / sum).collect()
}

/// Straight lines between the entries of a list, for places between grid lines.
#[must_use]
pub fn between(list: &[f64], s: f64) -> f64 {
    let mut left = s;
    for pair in list.windows(2) {
        if left <= 1.0 {
            return pair[0] + left * (pair[1] - pair[0]);
        }
        left -= 1.0;
    }
    list.last().copied().unwrap_or(0.0)
}
