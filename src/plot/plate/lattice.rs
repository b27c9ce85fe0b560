//! From quadratic elements to small triangles with linear fields, mirrored to the whole plate.
//!
//! Each element is covered by a regular lattice in its local coordinates. Positions and values of
//! the points come from the element's own shape functions; on a side they are computed from the
//! nodes of the side alone, so that two neighbours agree to the last bit. Every point has a key
//! that is the same in both.

use crate::element::shape::{quad8_values, tri6_values};
use crate::mesh::topology::{Mesh, NodeId, Symmetry};
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

    /// Whether this copy is mirrored about a vertical and about a horizontal line.
    pub(crate) fn turned(&self) -> [bool; 2] {
        [self.x.is_some(), self.y.is_some()]
    }

    /// Where a point of the modelled part lies in this copy.
    pub(crate) fn apply(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.x.map_or(x, |line| 2.0 * line - x), self.y.map_or(y, |line| 2.0 * line - y)]
    }
}

/// A point of the lattice with its `D` values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point<const D: usize> {
    /// Where it lies, mm.
    pub(crate) at: [f64; 2],
    pub(crate) values: [f64; D],
    /// The same for both elements at a common side, different for every other point.
    pub(crate) key: u64,
}

/// The lattice of one element.
pub(crate) struct Cells<'a, const D: usize> {
    pub(crate) points: &'a [Point<D>],
    /// Corners of the small triangles, counter-clockwise.
    pub(crate) triangles: &'a [[usize; 3]],
    /// Points along each side, in the sense of the element.
    pub(crate) sides: &'a [Vec<usize>],
    /// Nodes of each side, `[start, mid, end]`.
    pub(crate) side_nodes: &'a [[NodeId; 3]],
}

/// The lattice that all elements of one kind share.
struct Pattern<const N: usize> {
    locals: Vec<[f64; 2]>,
    shapes: Vec<[f64; N]>,
    triangles: Vec<[usize; 3]>,
    sides: Vec<Vec<usize>>,
}

/// Visits the lattice of every element that is `wanted` by its nodes, of the modelled part alone,
/// with `divisions` along each side. Every field in `values` has one entry per node.
pub(crate) fn visit<const D: usize>(
    mesh: &Mesh,
    values: [&[f64]; D],
    (divisions, spread): (usize, Spread),
    wanted: impl Fn(&[NodeId]) -> bool,
    mut visit: impl FnMut(&Cells<'_, D>),
) {
    let n = divisions.max(1);
    let mut points = Vec::new();
    let fields = Fields { mesh, values, spread, divisions: n };
    let quads = quad_pattern(n);
    for (element, nodes) in mesh.quads.iter().enumerate().filter(|(_, nodes)| wanted(*nodes)) {
        let [a, b, c, d, e, f, g, h] = *nodes;
        let sides = [[a, e, b], [b, f, c], [c, g, d], [d, h, a]];
        fields.lay(&quads, (element, nodes), &sides, straight_quad, &mut points);
        visit(&Cells {
            points: &points,
            triangles: &quads.triangles,
            sides: &quads.sides,
            side_nodes: &sides,
        });
    }
    let triangles = triangle_pattern(n);
    let before = mesh.quads.len();
    for (element, nodes) in mesh.triangles.iter().enumerate().filter(|(_, nodes)| wanted(*nodes)) {
        let [a, b, c, d, e, f] = *nodes;
        let sides = [[a, d, b], [b, e, c], [c, f, a]];
        let element = before + element;
        fields.lay(&triangles, (element, nodes), &sides, straight_triangle, &mut points);
        visit(&Cells {
            points: &points,
            triangles: &triangles.triangles,
            sides: &triangles.sides,
            side_nodes: &sides,
        });
    }
}

fn quad_pattern(n: usize) -> Pattern<8> {
    let at = |i: usize, j: usize| j * (n + 1) + i;
    let along = |k: usize| 2.0 * count(k) / count(n) - 1.0;
    let grid = (0..=n).flat_map(|j| (0..=n).map(move |i| [i, j]));
    let locals: Vec<[f64; 2]> = grid.map(|[i, j]| [along(i), along(j)]).collect();
    let cells = (0..n).flat_map(|j| (0..n).map(move |i| [i, j]));
    let halves = |[i, j]: [usize; 2]| {
        let (low, high) = ([at(i, j), at(i + 1, j)], [at(i, j + 1), at(i + 1, j + 1)]);
        [[low[0], low[1], high[1]], [low[0], high[1], high[0]]]
    };
    Pattern {
        shapes: locals.iter().map(|local| quad8_values(*local)).collect(),
        locals,
        triangles: cells.flat_map(halves).collect(),
        sides: vec![
            (0..=n).map(|k| at(k, 0)).collect(),
            (0..=n).map(|k| at(n, k)).collect(),
            (0..=n).map(|k| at(n - k, n)).collect(),
            (0..=n).map(|k| at(0, n - k)).collect(),
        ],
    }
}

fn triangle_pattern(n: usize) -> Pattern<6> {
    let row = |j: usize| j * (n + 1) - j * j.saturating_sub(1) / 2;
    let at = |i: usize, j: usize| row(j) + i;
    let grid = (0..=n).flat_map(|j| (0..=n - j).map(move |i| [i, j]));
    let locals: Vec<[f64; 2]> = grid.map(|p| p.map(|k| count(k) / count(n))).collect();
    let mut triangles = Vec::new();
    for (j, i) in (0..n).flat_map(|j| (0..n - j).map(move |i| (j, i))) {
        triangles.push([at(i, j), at(i + 1, j), at(i, j + 1)]);
        if i + j + 1 < n {
            triangles.push([at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]);
        }
    }
    Pattern {
        shapes: locals.iter().map(|local| tri6_values(*local)).collect(),
        locals,
        triangles,
        sides: vec![
            (0..=n).map(|k| at(k, 0)).collect(),
            (0..=n).map(|k| at(n - k, k)).collect(),
            (0..=n).map(|k| at(0, n - k)).collect(),
        ],
    }
}

/// Nodal fields and how they spread.
struct Fields<'a, const D: usize> {
    mesh: &'a Mesh,
    values: [&'a [f64]; D],
    spread: Spread,
    divisions: usize,
}

impl<const D: usize> Fields<'_, D> {
    /// The points of one element.
    fn lay<const N: usize>(
        &self,
        pattern: &Pattern<N>,
        (element, nodes): (usize, &[NodeId; N]),
        sides: &[[NodeId; 3]],
        straight: impl Fn([f64; N], [f64; 2]) -> f64,
        points: &mut Vec<Point<D>>,
    ) {
        let place = nodes.map(|node| self.mesh.nodes[node]);
        let fields = self.values.map(|field| nodes.map(|node| field[node]));
        points.clear();
        for (index, (shape, local)) in pattern.shapes.iter().zip(&pattern.locals).enumerate() {
            let sum = |of: &dyn Fn(usize) -> f64| (0..N).map(|k| shape[k] * of(k)).sum::<f64>();
            points.push(Point {
                at: [sum(&|k| place[k][0]), sum(&|k| place[k][1])],
                values: fields.map(|field| match self.spread {
                    Spread::Quadratic => sum(&|k| field[k]),
                    Spread::Straight => straight(field, *local),
                }),
                key: INSIDE | ((element as u64) << 16) | index as u64,
            });
        }
        for (line, nodes) in pattern.sides.iter().zip(sides) {
            for (k, &index) in line.iter().enumerate() {
                points[index] = self.on_side(*nodes, k);
            }
        }
    }

    /// Point `k` of a side; the same whichever way the side is gone along.
    fn on_side(&self, [start, middle, end]: [NodeId; 3], k: usize) -> Point<D> {
        let n = self.divisions;
        let [low, high] = [start.min(end), start.max(end)];
        let k = if start == low { k } else { n - k };
        let along = 2.0 * count(k) / count(n) - 1.0;
        let parabola = |[a, b, c]: [f64; 3]| {
            0.5 * along * (along - 1.0) * a
                + (1.0 - along * along) * b
                + 0.5 * along * (along + 1.0) * c
        };
        let line = |[a, b, c]: [f64; 3]| {
            if along < 0.0 { b + along * (b - a) } else { b + along * (c - b) }
        };
        let of = |axis: usize| [low, middle, high].map(|node| self.mesh.nodes[node][axis]);
        Point {
            at: [parabola(of(0)), parabola(of(1))],
            values: self.values.map(|field| {
                let nodal = [low, middle, high].map(|node| field[node]);
                match self.spread {
                    Spread::Quadratic => parabola(nodal),
                    Spread::Straight => line(nodal),
                }
            }),
            key: match k {
                0 => low as u64,
                k if k == n => high as u64,
                k => SIDE | ((middle as u64) << 16) | k as u64,
            },
        }
    }
}

/// Marks the keys of points on a side.
const SIDE: u64 = 1 << 62;
/// Marks the keys of points inside an element.
const INSIDE: u64 = 1 << 63;

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

    fn each(mesh: &Mesh, values: &[f64], how: (usize, Spread), mut see: impl FnMut([Point<1>; 3])) {
        visit(
            mesh,
            [values],
            how,
            |_| true,
            |cells| {
                for triangle in cells.triangles {
                    see(triangle.map(|index| cells.points[index]));
                }
            },
        );
    }

    #[test]
    fn the_triangles_of_both_elements_turn_one_way_and_fill_the_plate() {
        let mesh = one_of_each();
        let mut total = 0.0;
        each(&mesh, &[0.0; 11], (5, Spread::Quadratic), |[a, b, c]| {
            let [p, q, r] = [a.at, b.at, c.at];
            let part = 0.5 * ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
            assert!(part > 0.0);
            total += part;
        });
        // Square of 4 mm² and triangle of 2 mm²: the bulge of the side between them is shared.
        assert_relative_eq!(total, 6.0, max_relative = 1e-12);
    }

    #[test]
    fn neighbours_agree_on_their_side_to_the_last_bit() {
        let mesh = one_of_each();
        let values: Vec<f64> = mesh.nodes.iter().map(|p| (3.0 * p[0]).sin() - p[1]).collect();
        for spread in [Spread::Quadratic, Spread::Straight] {
            let mut seen: Vec<Point<1>> = Vec::new();
            let mut shared = 0;
            visit(
                &mesh,
                [&values],
                (5, spread),
                |_| true,
                |cells| {
                    for point in cells.points {
                        match seen.iter().find(|other| other.key == point.key) {
                            Some(other) => {
                                assert_eq!(other, point);
                                shared += 1;
                            }
                            None => seen.push(*point),
                        }
                    }
                },
            );
            assert_eq!(shared, 6);
        }
    }

    #[test]
    fn a_quadratic_field_is_met_exactly_at_lattice_points() {
        let mesh = one_of_each();
        // The curved side makes the map itself quadratic, so only fields linear in x and y survive it.
        let values: Vec<f64> = mesh.nodes.iter().map(|p| 2.0 * p[0] - 3.0 * p[1] + 1.0).collect();
        each(&mesh, &values, (4, Spread::Quadratic), |triangle| {
            for Point { at: [x, y], values: [value], .. } in triangle {
                assert_abs_diff_eq!(value, 2.0 * x - 3.0 * y + 1.0, epsilon = 1e-13);
            }
        });
    }

    #[test]
    fn a_straight_spread_stays_between_the_nodal_values() {
        let mesh = one_of_each();
        let mut values = vec![0.0; mesh.nodes.len()];
        values[2] = 1.0;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        each(&mesh, &values, (7, Spread::Straight), |triangle| {
            for corner in triangle {
                low = low.min(corner.values[0]);
                high = high.max(corner.values[0]);
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
