//! Where a plastic zone ends between two nodes.
//!
//! Plastic strain falls to zero with a slope and stays zero: drawn straight between nodes,
//! the zone would always reach to the first node without strain, and its border would be
//! a staircase of element sides. Here the strain inside is carried on with its own slope
//! to the nodes just outside, which makes it negative there; the border is its zero.
//!
//! Floor 7, `plot`.

use crate::material::state::YIELDED;
use crate::mesh::topology::{Mesh, NodeId};

/// What a node outside is below zero at least, so small that a border at a node stays there.
const OUTSIDE: f64 = 1e-12;

/// Whether any node has yielded.
pub(crate) fn any(strain: &[f64]) -> bool {
    strain.iter().any(|value| *value > YIELDED)
}

/// Nodal values that are positive in the zone and negative outside, with their zero on
/// the border. `strain` has one value a node.
pub(crate) fn signed(mesh: &Mesh, strain: &[f64]) -> Vec<f64> {
    let inside: Vec<bool> = strain.iter().map(|value| *value > YIELDED).collect();
    let slopes = slopes(mesh, strain, &inside);
    let mut beyond = vec![(0.0, 0.0); strain.len()];
    for nodes in elements(mesh) {
        for &outer in nodes.iter().filter(|&&node| !inside[node]) {
            for &inner in nodes.iter().filter(|&&node| inside[node]) {
                let step = from_to(mesh, inner, outer);
                let slope = slopes[inner];
                beyond[outer].0 += strain[inner] + slope[0] * step[0] + slope[1] * step[1];
                beyond[outer].1 += 1.0;
            }
        }
    }
    (0..strain.len())
        .map(|node| match beyond[node] {
            _ if inside[node] => strain[node],
            (sum, count) if count > 0.0 => (sum / count).min(-OUTSIDE),
            _ => -OUTSIDE,
        })
        .collect()
}

/// Slope of the strain at every node inside, by least squares over the nodes inside of
/// the elements that share it; zero where they lie in one point.
fn slopes(mesh: &Mesh, strain: &[f64], inside: &[bool]) -> Vec<[f64; 2]> {
    // Normal equations at each node: xx, xy, yy and the right side.
    let mut sums = vec![[0.0; 5]; strain.len()];
    for nodes in elements(mesh) {
        for &node in nodes.iter().filter(|&&node| inside[node]) {
            for &other in nodes.iter().filter(|&&other| other != node && inside[other]) {
                let [x, y] = from_to(mesh, node, other);
                let rise = strain[other] - strain[node];
                // Near neighbours count more: the strain is curved.
                let weight = 1.0 / (x * x + y * y);
                for (sum, term) in
                    sums[node].iter_mut().zip([x * x, x * y, y * y, x * rise, y * rise])
                {
                    *sum += weight * term;
                }
            }
        }
    }
    sums.into_iter()
        .map(|[xx, xy, yy, bx, by]| {
            // A hair on the diagonal keeps nodes in one line from a division by zero.
            let hair = 1e-9 * (xx + yy);
            let (xx, yy) = (xx + hair, yy + hair);
            let determinant = xx * yy - xy * xy;
            if determinant > 0.0 {
                [(yy * bx - xy * by) / determinant, (xx * by - xy * bx) / determinant]
            } else {
                [0.0; 2]
            }
        })
        .collect()
}

fn elements(mesh: &Mesh) -> impl Iterator<Item = &[NodeId]> {
    let quads = mesh.quads.iter().map(<[NodeId; 8]>::as_slice);
    quads.chain(mesh.triangles.iter().map(<[NodeId; 6]>::as_slice))
}

fn from_to(mesh: &Mesh, from: NodeId, to: NodeId) -> [f64; 2] {
    [mesh.nodes[to][0] - mesh.nodes[from][0], mesh.nodes[to][1] - mesh.nodes[from][1]]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::clip::isoline;
    use crate::plot::lattice::{Spread, triangles};

    /// A strip of square quadrilaterals, 1 mm each.
    fn strip(length: u32) -> Mesh {
        let mut mesh = Mesh::default();
        let mut add = |x: f64, y: f64| {
            mesh.nodes.push([x, y]);
            mesh.nodes.len() - 1
        };
        let mut left = [add(0.0, 0.0), add(0.0, 1.0), add(0.0, 0.5)];
        let mut quads = Vec::new();
        for k in 0..length {
            let x = f64::from(k);
            let middle = [add(x + 0.5, 0.0), add(x + 0.5, 1.0)];
            let right = [add(x + 1.0, 0.0), add(x + 1.0, 1.0), add(x + 1.0, 0.5)];
            quads.push([
                left[0], right[0], right[1], left[1], middle[0], right[2], middle[1], left[2],
            ]);
            left = right;
        }
        mesh.quads = quads;
        mesh
    }

    #[test]
    fn a_strain_that_falls_along_a_line_ends_where_the_line_does() {
        let mesh = strip(5);
        for border in [1.6, 2.2, 2.5, 2.9] {
            let strain: Vec<f64> =
                mesh.nodes.iter().map(|p| (0.01 * (border - p[0])).max(0.0)).collect();
            let mut found = Vec::new();
            triangles(&mesh, &signed(&mesh, &strain), 6, Spread::Straight, |triangle| {
                found.extend(isoline(triangle, 0.0).into_iter().flatten());
            });
            assert!(!found.is_empty());
            for [x, _] in found {
                assert!((x - border).abs() < 1e-6, "{x} instead of {border}");
            }
        }
    }

    #[test]
    fn a_plate_without_plastic_strain_has_no_zone() {
        let mesh = strip(2);
        let strain = vec![0.0; mesh.nodes.len()];
        assert!(!any(&strain));
        assert!(signed(&mesh, &strain).iter().all(|value| *value < 0.0));
    }
}
