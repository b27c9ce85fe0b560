//! From quadratic elements to small triangles with a linear field, mirrored to the whole plate.
//!
//! Each element is covered by a regular lattice in its local coordinates; position and
//! value of a lattice point come from the element's own shape functions, so a curved side
//! stays curved and two neighbours agree on the points of their common side.
//!
//! Floor 7, `plot`.

use crate::element::shape::{quad8_values, tri6_values};
use crate::mesh::topology::{Mesh, NodeId, Symmetry};
use crate::plot::clip::Corner;
use crate::plot::level::count;

/// How nodal values spread over an element.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Spread {
    /// By the element's shape functions: for smooth fields.
    Quadratic,
    /// Straight between neighbouring nodes: for fields that end in a kink, such as plastic
    /// strain, where a parabola would swing below zero and back.
    Straight,
}

/// One of the copies that make the whole plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Mirror {
    x: Option<f64>,
    y: Option<f64>,
}

impl Mirror {
    /// Every copy, the modelled part first.
    pub(crate) fn all(symmetry: &Symmetry) -> Vec<Self> {
        let choices = |line: Option<f64>| [Some(None), line.map(Some)].into_iter().flatten();
        choices(symmetry.x).flat_map(|x| choices(symmetry.y).map(move |y| Self { x, y })).collect()
    }

    /// Where a point of the modelled part lies in this copy.
    pub(crate) fn apply(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.x.map_or(x, |line| 2.0 * line - x), self.y.map_or(y, |line| 2.0 * line - y)]
    }
}

/// Visits the small triangles of every element of the modelled part: `divisions` along
/// each side. `values` has one entry a node.
pub(crate) fn triangles(
    mesh: &Mesh,
    values: &[f64],
    divisions: usize,
    spread: Spread,
    mut visit: impl FnMut(&[Corner; 3]),
) {
    let n = divisions.max(1);
    let along = |k: usize| count(k) / count(n);
    let mut points = Vec::new();
    for nodes in &mesh.quads {
        points.clear();
        for (j, i) in (0..=n).flat_map(|j| (0..=n).map(move |i| (j, i))) {
            let local = [2.0 * along(i) - 1.0, 2.0 * along(j) - 1.0];
            let shape = quad8_values(local);
            let value = match spread {
                Spread::Quadratic => sum(nodes, &shape, |node| values[node]),
                Spread::Straight => straight_quad(nodes.map(|node| values[node]), local),
            };
            points.push(corner(mesh, nodes, &shape, value));
        }
        for (j, i) in (0..n).flat_map(|j| (0..n).map(move |i| (j, i))) {
            let (low, high) = (j * (n + 1) + i, (j + 1) * (n + 1) + i);
            visit(&[points[low], points[low + 1], points[high + 1]]);
            visit(&[points[low], points[high + 1], points[high]]);
        }
    }
    for nodes in &mesh.triangles {
        points.clear();
        for (j, i) in (0..=n).flat_map(|j| (0..=n - j).map(move |i| (j, i))) {
            let local = [along(i), along(j)];
            let shape = tri6_values(local);
            let value = match spread {
                Spread::Quadratic => sum(nodes, &shape, |node| values[node]),
                Spread::Straight => straight_triangle(nodes.map(|node| values[node]), local),
            };
            points.push(corner(mesh, nodes, &shape, value));
        }
        let row = |j: usize| j * (n + 1) - j * j.saturating_sub(1) / 2;
        for (j, i) in (0..n).flat_map(|j| (0..n - j).map(move |i| (j, i))) {
            let (low, high) = (row(j) + i, row(j + 1) + i);
            visit(&[points[low], points[low + 1], points[high]]);
            if i + j + 1 < n {
                visit(&[points[low + 1], points[high + 1], points[high]]);
            }
        }
    }
}

fn sum(nodes: &[NodeId], shape: &[f64], value: impl Fn(NodeId) -> f64) -> f64 {
    nodes.iter().zip(shape).map(|(&node, weight)| weight * value(node)).sum()
}

fn corner(mesh: &Mesh, nodes: &[NodeId], shape: &[f64], value: f64) -> Corner {
    [
        sum(nodes, shape, |node| mesh.nodes[node][0]),
        sum(nodes, shape, |node| mesh.nodes[node][1]),
        value,
    ]
}

/// Bilinear in each quarter of the quadrilateral.
fn straight_quad(v: [f64; 8], [x, y]: [f64; 2]) -> f64 {
    // The element's own value in its middle, so that a field of the radius alone keeps
    // round borders; held between the nodal values, beyond which a parabola would swing.
    let middle = 0.5 * (v[4] + v[5] + v[6] + v[7]) - 0.25 * (v[0] + v[1] + v[2] + v[3]);
    let lowest = v.iter().fold(f64::INFINITY, |low, value| low.min(*value));
    let highest = v.iter().fold(f64::NEG_INFINITY, |high, value| high.max(*value));
    let middle = middle.clamp(lowest, highest);
    let grid = [[v[0], v[4], v[1]], [v[7], middle, v[5]], [v[3], v[6], v[2]]];
    let cell = |t: f64| if t < 0.0 { (0, t + 1.0) } else { (1, t) };
    let ((i, s), (j, t)) = (cell(x), cell(y));
    let row = |j: usize| grid[j][i] * (1.0 - s) + grid[j][i + 1] * s;
    row(j) * (1.0 - t) + row(j + 1) * t
}

/// Linear in each of the four triangles between corners and mid-sides.
fn straight_triangle(v: [f64; 6], [x, y]: [f64; 2]) -> f64 {
    let z = 1.0 - x - y;
    let near = |corner: f64, one: f64, other: f64, share: f64, to_one: f64, to_other: f64| {
        corner * (2.0 * share - 1.0) + one * 2.0 * to_one + other * 2.0 * to_other
    };
    if z >= 0.5 {
        near(v[0], v[3], v[5], z, x, y)
    } else if x >= 0.5 {
        near(v[1], v[3], v[4], x, z, y)
    } else if y >= 0.5 {
        near(v[2], v[4], v[5], y, x, z)
    } else {
        v[3] * (1.0 - 2.0 * y) + v[4] * (1.0 - 2.0 * z) + v[5] * (1.0 - 2.0 * x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::clip::band;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn one_of_each() -> Mesh {
        Mesh {
            nodes: vec![
                [0.0, 0.0],
                [2.0, 0.0],
                [2.0, 2.0],
                [0.0, 2.0],
                [1.0, 0.0],
                [2.2, 1.0],
                [1.0, 2.0],
                [0.0, 1.0],
                [4.0, 1.0],
                [3.0, 0.5],
                [3.0, 1.5],
            ],
            quads: vec![[0, 1, 2, 3, 4, 5, 6, 7]],
            triangles: vec![[1, 8, 2, 9, 10, 5]],
            ..Mesh::default()
        }
    }

    fn area(corners: &[Corner]) -> f64 {
        let n = corners.len();
        (0..n)
            .map(|k| {
                let (p, q) = (corners[k], corners[(k + 1) % n]);
                0.5 * (p[0] * q[1] - q[0] * p[1])
            })
            .sum()
    }

    #[test]
    fn bands_of_both_elements_add_up_to_the_area_of_the_plate() {
        let mesh = one_of_each();
        let values: Vec<f64> = mesh.nodes.iter().map(|p| 3.0 * p[0] - p[1] * p[1]).collect();
        for spread in [Spread::Quadratic, Spread::Straight] {
            let mut total = 0.0;
            triangles(&mesh, &values, 5, spread, |triangle| {
                for k in -6..14 {
                    total += area(band(triangle, f64::from(k), f64::from(k + 1)).corners());
                }
            });
            // Square of 4 mm² and triangle of 2 mm²: the bulge of the side between them is shared.
            assert_relative_eq!(total, 6.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn a_quadratic_field_is_met_exactly_at_lattice_points() {
        let mesh = one_of_each();
        // The curved side makes the map itself quadratic, so only fields linear in x and y survive it.
        let values: Vec<f64> = mesh.nodes.iter().map(|p| 2.0 * p[0] - 3.0 * p[1] + 1.0).collect();
        triangles(&mesh, &values, 4, Spread::Quadratic, |triangle| {
            for [x, y, value] in triangle {
                assert_abs_diff_eq!(*value, 2.0 * x - 3.0 * y + 1.0, epsilon = 1e-13);
            }
        });
    }

    #[test]
    fn a_straight_spread_stays_between_the_nodal_values() {
        let mesh = one_of_each();
        let mut values = vec![0.0; mesh.nodes.len()];
        values[2] = 1.0;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        triangles(&mesh, &values, 7, Spread::Straight, |triangle| {
            for corner in triangle {
                low = low.min(corner[2]);
                high = high.max(corner[2]);
            }
        });
        assert!(low >= -1e-15 && high <= 1.0 + 1e-15, "{low} to {high}");
        assert!(high > 0.99);
    }

    #[test]
    fn a_quarter_has_four_copies_with_the_same_distance_from_the_lines() {
        let copies = Mirror::all(&Symmetry { x: Some(1.0), y: Some(2.0) });
        let images: Vec<_> = copies.iter().map(|mirror| mirror.apply([4.0, 7.0])).collect();
        assert_eq!(images, vec![[4.0, 7.0], [4.0, -3.0], [-2.0, 7.0], [-2.0, -3.0]]);
    }
}
