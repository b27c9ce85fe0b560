//! Meshes made by hand, so that what they are is known without the mesher.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

use hoopset::element::edge;
use hoopset::mesh::topology::{HoleMesh, Mesh, NamedEdge, NodeId, Symmetry};
use hoopset::verify::grid::straight_sided;

/// Radii of `layers` layers that grow by `growth` from the hole outward, mm.
pub fn graded(inner: f64, outer: f64, layers: usize, growth: f64) -> Vec<f64> {
    let steps: Vec<f64> = (0_i32..).take(layers).map(|k| growth.powi(k)).collect();
    let total: f64 = steps.iter().sum();
    let mut radii = vec![inner];
    let mut sum = 0.0;
    for step in steps {
        sum += step;
        radii.push(inner + (outer - inner) * sum / total);
    }
    radii[layers] = outer;
    radii
}

/// Quarter annulus about the origin with ring lines at `radii`, as the mesher lays it.
pub fn quarter_annulus(radii: &[f64], sectors: usize) -> Mesh {
    let layers = radii.len() - 1;
    let mut mesh = Mesh { symmetry: Symmetry { x: Some(0.0), y: Some(0.0) }, ..Mesh::default() };
    let mut ids = BTreeMap::new();
    let mut node = |mesh: &mut Mesh, i: usize, j: usize| -> NodeId {
        *ids.entry((i, j)).or_insert_with(|| {
            let radius = if i.is_multiple_of(2) {
                radii[i / 2]
            } else {
                0.5 * (radii[i / 2] + radii[i / 2 + 1])
            };
            let angle = FRAC_PI_2 * j as f64 / (2 * sectors) as f64;
            let mut at = [radius * angle.cos(), radius * angle.sin()];
            if j == 0 {
                at[1] = 0.0;
            }
            if j == 2 * sectors {
                at[0] = 0.0;
            }
            mesh.nodes.push(at);
            mesh.nodes.len() - 1
        })
    };
    // Node places of a quad, in half layers and half sectors from its first corner.
    let places = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1)];
    for layer in 0..layers {
        for sector in 0..sectors {
            let quad = places.map(|(i, j)| node(&mut mesh, 2 * layer + i, 2 * sector + j));
            mesh.quads.push(quad);
        }
    }
    let edge = (0..=2 * sectors).map(|j| node(&mut mesh, 0, j)).collect();
    let sides = (0..sectors)
        .map(|k| [2 * k, 2 * k + 1, 2 * k + 2].map(|j| node(&mut mesh, 2 * layers, j)))
        .collect();
    mesh.holes =
        vec![HoleMesh { edge, closed: false, first_quad: 0, sectors, layers, ream_layers: None }];
    mesh.edges = vec![NamedEdge { name: "rim".into(), sides }];
    mesh
}

/// The whole plate from a half or quarter: every mirror line unfolded. Elements and nodes of
/// the given part keep their numbers. The result has no hole rings: it is for loads on edges.
pub fn unfolded(part: &Mesh) -> Mesh {
    let mut whole = part.clone();
    whole.symmetry = Symmetry::default();
    whole.holes.clear();
    whole.mirror_nodes_x.clear();
    whole.mirror_nodes_y.clear();
    for (axis, line, across) in [
        (0, part.symmetry.x, [("right", "left"), ("left", "right")]),
        (1, part.symmetry.y, [("top", "bottom"), ("bottom", "top")]),
    ] {
        let Some(line) = line else { continue };
        let image: Vec<NodeId> = (0..whole.nodes.len())
            .map(|node| {
                let mut at = whole.nodes[node];
                if (at[axis] - line).abs() < 1e-12 * (1.0 + line.abs()) {
                    return node;
                }
                at[axis] = 2.0 * line - at[axis];
                whole.nodes.push(at);
                whole.nodes.len() - 1
            })
            .collect();
        // A mirror image runs the other way round.
        let quads: Vec<[NodeId; 8]> = whole
            .quads
            .iter()
            .map(|quad| [0, 3, 2, 1, 7, 6, 5, 4].map(|k| image[quad[k]]))
            .collect();
        let triangles: Vec<[NodeId; 6]> = whole
            .triangles
            .iter()
            .map(|triangle| [0, 2, 1, 5, 4, 3].map(|k| image[triangle[k]]))
            .collect();
        whole.quads.extend(quads);
        whole.triangles.extend(triangles);
        let mirrored: Vec<NamedEdge> = whole
            .edges
            .iter()
            .map(|edge| NamedEdge {
                name: across
                    .iter()
                    .find(|(name, _)| *name == edge.name)
                    .map_or(edge.name.clone(), |(_, other)| (*other).to_owned()),
                sides: edge.sides.iter().map(|&[a, m, b]| [b, m, a].map(|n| image[n])).collect(),
            })
            .collect();
        for edge in mirrored {
            match whole.edges.iter_mut().find(|known| known.name == edge.name) {
                Some(known) => known.sides.extend(edge.sides),
                None => whole.edges.push(edge),
            }
        }
    }
    whole
}

/// The mesh turned by `angle` about the origin; it may not have mirror lines.
pub fn turned(mesh: &Mesh, angle: f64) -> Mesh {
    assert_eq!(mesh.symmetry, Symmetry::default());
    let (sin, cos) = angle.sin_cos();
    let mut turned = mesh.clone();
    for node in &mut turned.nodes {
        *node = [cos * node[0] - sin * node[1], sin * node[0] + cos * node[1]];
    }
    turned
}

/// Distorted quadrilaterals and triangles that share sides, in a box of 3 by 2 mm.
pub fn patch() -> Mesh {
    let corners = [
        [0.0, 0.0],
        [1.1, 0.0],
        [2.1, 0.0],
        [3.0, 0.0],
        [0.0, 0.8],
        [0.7, 1.3],
        [2.3, 0.7],
        [3.0, 1.2],
        [0.0, 2.0],
        [1.3, 2.0],
        [1.9, 2.0],
        [3.0, 2.0],
    ];
    let quads = [[0, 1, 5, 4], [1, 2, 6, 5], [6, 7, 11, 10]];
    let triangles = [[2, 3, 6], [3, 7, 6], [4, 5, 8], [5, 9, 8], [5, 6, 9], [6, 10, 9]];
    straight_sided(&corners, &quads, &triangles)
}

/// Nodal forces of a uniform stress `[xx, xy, yx, yy]` (first the direction of the force) on sides, each with
/// the sign that its normal points outward with.
pub fn tractions<'a>(
    mesh: &Mesh,
    sides: impl Iterator<Item = (&'a [usize; 3], f64)>,
    [xx, xy, yx, yy]: [f64; 4],
) -> Vec<[f64; 2]> {
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    for (side, outward) in sides {
        let normals = edge::normal_forces(&side.map(|node| mesh.nodes[node]));
        for (&node, [nx, ny]) in side.iter().zip(normals) {
            forces[node][0] += outward * (xx * nx + xy * ny);
            forces[node][1] += outward * (yx * nx + yy * ny);
        }
    }
    forces
}
