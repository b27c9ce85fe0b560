//! Where a plastic zone ends between two nodes.
//!
//! Plastic strain falls to zero with a slope and stays zero: drawn straight between nodes,
//! the zone would always reach to the first node without strain, and its border would be
//! a staircase of element sides. Here the strain inside is carried on with its own slope
//! to the nodes just outside, which makes it negative there; the border is its zero. It
//! is then smoothed: recovered strains jump a little from element to element, and the border with them.

use std::collections::{BTreeMap, BTreeSet};

use nalgebra::{Matrix6, Vector6};

use crate::material::state::YIELDED;
use crate::mesh::topology::{Mesh, NodeId};
use crate::plot::plate::lattice::Spread;

/// How the signed values spread over an element: they are smooth across the border.
pub(crate) const SPREAD: Spread = Spread::Straight;
/// Passes of the smoothing.
const PASSES: usize = 2;
/// Reach of the smoothing over the size of the elements at a node. It is a distance, not a number of
/// rings: where rings of quadrilaterals meet the fill, rings change their size at once and leave notches.
const REACH: f64 = 1.6;
/// Rings of elements that cover this reach, with small elements beside large ones.
const RINGS: usize = 3;
/// Smallest distance below zero of a node outside; small enough that a border at a node stays there.
const OUTSIDE: f64 = 1e-12;

/// Whether any node has yielded.
pub(crate) fn any(strain: &[f64]) -> bool {
    strain.iter().any(|value| *value > YIELDED)
}

/// Nodal values that are positive in the zone and negative outside, with their zero on
/// the border. `strain` has one value per node.
pub(crate) fn signed(mesh: &Mesh, strain: &[f64]) -> Vec<f64> {
    let inside: Vec<bool> = strain.iter().map(|value| *value > YIELDED).collect();
    let slopes = slopes(mesh, strain, &inside);
    let sizes = sizes(mesh);
    let crossed = crossed_nodes(mesh, &inside);
    let near = near_border(mesh, &crossed);
    let mut values: Vec<Option<f64>> =
        strain.iter().zip(&inside).map(|(value, inside)| inside.then_some(*value)).collect();
    for (&outer, others) in near.iter().filter(|(node, _)| !inside[**node]) {
        let (mut sum, mut count) = (0.0, 0.0);
        for &inner in others.iter().filter(|&&node| inside[node]) {
            let step = from_to(mesh, inner, outer);
            let slope = slopes[inner];
            // The nearest know best.
            let weight = 1.0 / (step[0] * step[0] + step[1] * step[1]).powi(2);
            sum += weight * (strain[inner] + slope[0] * step[0] + slope[1] * step[1]);
            count += weight;
        }
        values[outer] = (count > 0.0).then(|| (sum / count).min(-OUTSIDE));
    }
    for _ in 0..PASSES {
        values = smoothed(mesh, &sizes, &near, &values);
        // No smoothing moves the border out of the elements that it runs through.
        for (node, value) in
            values.iter_mut().enumerate().filter(|(node, _)| !crossed.contains(node))
        {
            *value = value
                .map(|value| if inside[node] { value.max(OUTSIDE) } else { value.min(-OUTSIDE) });
        }
    }
    beyond_known(mesh, &values)
}

/// All values: a node beyond the known ones is as far outside as the farthest node known beside it, so
/// that the border does not run to it.
fn beyond_known(mesh: &Mesh, values: &[Option<f64>]) -> Vec<f64> {
    let mut all: Vec<f64> = values.iter().map(|value| value.unwrap_or(-OUTSIDE)).collect();
    for nodes in elements(mesh) {
        let least = nodes.iter().filter_map(|&node| values[node]).fold(-OUTSIDE, f64::min);
        for &node in nodes.iter().filter(|&&node| values[node].is_none()) {
            all[node] = all[node].min(least);
        }
    }
    all
}

/// The values with each one near the border replaced by that of the paraboloid of least squares
/// through those within reach. A smooth field stays as it is; the jumps that the recovery of strains
/// leaves from element to element go.
fn smoothed(
    mesh: &Mesh,
    sizes: &[f64],
    near: &BTreeMap<NodeId, BTreeSet<NodeId>>,
    values: &[Option<f64>],
) -> Vec<Option<f64>> {
    let mut smooth = values.to_vec();
    for (&node, others) in near {
        let reach = REACH * sizes[node];
        let known: Vec<([f64; 2], f64)> = others
            .iter()
            .filter_map(|&other| Some((from_to(mesh, node, other), values[other]?)))
            .filter(|([x, y], _)| x.hypot(*y) < reach)
            .collect();
        let places = with_images(mesh, mesh.nodes[node], known, reach);
        smooth[node] = height(&places, reach).or(values[node]);
    }
    smooth
}

/// The nodes of all elements that the border runs through.
fn crossed_nodes(mesh: &Mesh, inside: &[bool]) -> BTreeSet<NodeId> {
    let crossed = |nodes: &[NodeId]| {
        nodes.iter().any(|&node| inside[node]) && nodes.iter().any(|&node| !inside[node])
    };
    elements(mesh).filter(|nodes| crossed(nodes)).flatten().copied().collect()
}

/// These nodes and those of the elements beside, each with the nodes of some rings of elements round it.
fn near_border(mesh: &Mesh, crossed: &BTreeSet<NodeId>) -> BTreeMap<NodeId, BTreeSet<NodeId>> {
    let beside = elements(mesh).filter(|nodes| nodes.iter().any(|node| crossed.contains(node)));
    let mut near: BTreeMap<NodeId, BTreeSet<NodeId>> =
        beside.flatten().map(|&node| (node, BTreeSet::from([node]))).collect();
    for _ in 0..RINGS {
        widen(mesh, &mut near);
    }
    near
}

/// Size of the elements at every node: the mean of their longest chords, averaged once more over the
/// elements at the node so that it changes gently.
fn sizes(mesh: &Mesh) -> Vec<f64> {
    let mean = |of: &dyn Fn(&[NodeId]) -> f64| -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); mesh.nodes.len()];
        for nodes in elements(mesh) {
            let value = of(nodes);
            for &node in nodes {
                sums[node].0 += value;
                sums[node].1 += 1.0;
            }
        }
        sums.into_iter()
            .map(|(sum, number)| if number > 0.0 { sum / number } else { 0.0 })
            .collect()
    };
    let chord = |nodes: &[NodeId]| {
        let from_first = nodes.iter().map(|&node| from_to(mesh, nodes[0], node));
        from_first.map(|[x, y]| x.hypot(y)).fold(0.0, f64::max)
    };
    let rough = mean(&chord);
    let number = |nodes: &[NodeId]| nodes.iter().fold(0.0, |sum, _| sum + 1.0);
    mean(&|nodes| nodes.iter().map(|&node| rough[node]).sum::<f64>() / number(nodes))
}

/// Adds the nodes of the next ring of elements to every set.
fn widen(mesh: &Mesh, near: &mut BTreeMap<NodeId, BTreeSet<NodeId>>) {
    // The sets that each node is in.
    let mut in_sets: BTreeMap<NodeId, Vec<NodeId>> = BTreeMap::new();
    for (&centre, others) in &*near {
        for &other in others {
            in_sets.entry(other).or_default().push(centre);
        }
    }
    for nodes in elements(mesh) {
        let centres: BTreeSet<NodeId> =
            nodes.iter().filter_map(|node| in_sets.get(node)).flatten().copied().collect();
        for centre in centres {
            if let Some(others) = near.get_mut(&centre) {
                others.extend(nodes);
            }
        }
    }
}

/// Values at places relative to `centre`, and their images on the other side of the mirror lines that
/// are no farther away: without them a border would bend where the modelled part ends.
fn with_images(
    mesh: &Mesh,
    centre: [f64; 2],
    mut places: Vec<([f64; 2], f64)>,
    reach: f64,
) -> Vec<([f64; 2], f64)> {
    for (axis, line) in [mesh.symmetry.x, mesh.symmetry.y].into_iter().enumerate() {
        let Some(line) = line else { continue };
        let to_line = line - centre[axis];
        for index in 0..places.len() {
            let (mut place, value) = places[index];
            // A node on the line is its own image.
            let on_line = (place[axis] - to_line).abs() < 1e-9 * reach;
            place[axis] = 2.0 * to_line - place[axis];
            if !on_line && place[0].hypot(place[1]) < reach {
                places.push((place, value));
            }
        }
    }
    places
}

/// Height at the origin of the paraboloid of least squares through values at places within `reach`,
/// which count less the farther they are and nothing at its end; none when there are too few of them,
/// or when they do not fix one.
fn height(places: &[([f64; 2], f64)], reach: f64) -> Option<f64> {
    let mut moments = Matrix6::zeros();
    let mut sums = Vector6::zeros();
    for ([x, y], value) in places {
        let (x, y) = (x / reach, y / reach);
        let terms = Vector6::new(1.0, x, y, x * x, x * y, y * y);
        let weight = (1.0 - x * x - y * y).powi(2);
        moments += weight * terms * terms.transpose();
        sums += weight * *value * terms;
    }
    let solved = moments.cholesky().filter(|_| places.len() > ENOUGH)?.solve(&sums);
    Some(solved[0]).filter(|height| height.is_finite())
}

/// Values that a paraboloid of six terms should at least smooth: as many as terms would be met exactly.
const ENOUGH: usize = 12;

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
    use crate::plot::plate::contour::Contours;
    use std::f64::consts::TAU;

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
            let zone = signed(&mesh, &strain);
            let contours = Contours::new(&mesh, &zone, &[0.0], (6, SPREAD));
            let found: Vec<[f64; 2]> = contours.lines(0).into_iter().flatten().collect();
            assert!(!found.is_empty());
            for [x, _] in found {
                assert!((x - border).abs() < 1e-6, "{x} instead of {border}");
            }
        }
    }

    /// Rings of quadrilaterals from radius 3 to 12, each cell cut into two triangles if `cut`.
    fn rings(sectors: usize, layers: usize, cut: bool) -> Mesh {
        let mut mesh = Mesh::default();
        let columns = 2 * sectors;
        for row in 0..=2 * layers {
            for column in 0..columns {
                let r = 3.0 + 9.0 * (row as f64 / (2 * layers) as f64);
                let (sin, cos) = (TAU * column as f64 / columns as f64).sin_cos();
                mesh.nodes.push([r * cos, r * sin]);
            }
        }
        let at = |row: usize, column: usize| row * columns + column % columns;
        for (i, j) in (0..layers).flat_map(|i| (0..sectors).map(move |j| (2 * i, 2 * j))) {
            let corners = [at(i, j), at(i + 2, j), at(i + 2, j + 2), at(i, j + 2)];
            let [a, b, c, d] = corners;
            let sides = [at(i + 1, j), at(i + 2, j + 1), at(i + 1, j + 2), at(i, j + 1)];
            let [e, f, g, h] = sides;
            if cut {
                let middle = at(i + 1, j + 1);
                mesh.triangles.push([a, b, c, e, f, middle]);
                mesh.triangles.push([a, c, d, middle, g, h]);
            } else {
                mesh.quads.push([a, b, c, d, e, f, g, h]);
            }
        }
        mesh
    }

    #[test]
    fn a_round_zone_has_a_round_border() {
        for cut in [false, true] {
            let mesh = rings(32, 14, cut);
            for border in [5.1, 6.0, 7.3] {
                let strain: Vec<f64> = mesh
                    .nodes
                    .iter()
                    .map(|p| (0.03 * (border / p[0].hypot(p[1]) - 1.0)).max(0.0))
                    .collect();
                let zone = signed(&mesh, &strain);
                let contours = Contours::new(&mesh, &zone, &[0.0], (6, SPREAD));
                let found = contours.lines(0).into_iter().flatten();
                let off = found.map(|[x, y]| (x.hypot(y) / border - 1.0).abs()).fold(0.0, f64::max);
                // A tenth of the size of an element.
                assert!(off < 0.01, "{cut} {border} {off}");
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
