//! The border of the part of a plate where a nodal field is positive, as closed lines.
//!
//! The part is covered by small polygons; a side that two of them share is inside and cancels,
//! what is left is the border. Sides on a mirror line are inside the whole plate and go too.
//!
//! Floor 7, `plot`.

use std::collections::HashMap;

use crate::mesh::topology::{Mesh, Symmetry};
use crate::plot::clip::{band, chains};
use crate::plot::lattice::{Mirror, Spread, triangles};

/// Ends closer than this, mm, are one point.
const GRAIN: f64 = 1e-6;
/// Keeps round coordinates away from the border between two cells of the grain.
const OFF_ROUND: f64 = 0.381_966;

type Segment = [[f64; 2]; 2];
type Key = (i64, i64);

/// Closed lines round the part of the whole plate where `values`, one a node, are positive, mm;
/// straight between nodes. Fill them by the even–odd rule.
pub(crate) fn loops(mesh: &Mesh, values: &[f64], divisions: usize) -> Vec<Vec<[f64; 2]>> {
    let mut border = Border::default();
    triangles(mesh, values, divisions, Spread::Straight, |triangle| {
        if triangle.iter().all(|corner| corner[2] <= 0.0) {
            return;
        }
        let piece = band(triangle, 0.0, f64::INFINITY);
        let corners = piece.corners();
        for (k, one) in corners.iter().enumerate() {
            let other = corners[(k + 1) % corners.len()];
            border.toggle([[one[0], one[1]], [other[0], other[1]]]);
        }
    });
    let mirrors = Mirror::all(&mesh.symmetry);
    let outer: Vec<Segment> =
        border.left().filter(|segment| !on_mirror(segment, &mesh.symmetry)).collect();
    let whole: Vec<Segment> = mirrors
        .iter()
        .flat_map(|mirror| outer.iter().map(|segment| segment.map(|end| mirror.apply(end))))
        .collect();
    chains(&whole, GRAIN)
}

/// Sides seen an odd number of times, in the order they first came.
#[derive(Default)]
struct Border {
    sides: Vec<(Segment, bool)>,
    at: HashMap<(Key, Key), usize>,
}

impl Border {
    fn toggle(&mut self, segment: Segment) {
        let [one, other] = segment.map(key);
        if one == other {
            return;
        }
        let index = *self.at.entry((one.min(other), one.max(other))).or_insert_with(|| {
            self.sides.push((segment, false));
            self.sides.len() - 1
        });
        self.sides[index].1 ^= true;
    }

    fn left(&self) -> impl Iterator<Item = Segment> + '_ {
        self.sides.iter().filter(|(_, odd)| *odd).map(|(segment, _)| *segment)
    }
}

fn key(point: [f64; 2]) -> Key {
    #[expect(clippy::cast_possible_truncation, reason = "plates are far below 2^63 grains")]
    let cell = |value: f64| (value / GRAIN + OFF_ROUND).floor() as i64;
    (cell(point[0]), cell(point[1]))
}

fn on_mirror(segment: &Segment, symmetry: &Symmetry) -> bool {
    let on = |axis: usize, line: Option<f64>| {
        line.is_some_and(|line| segment.iter().all(|end| (end[axis] - line).abs() < GRAIN))
    };
    on(0, symmetry.x) || on(1, symmetry.y)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two unit squares side by side, from x = 0 to 2.
    fn two_squares() -> Mesh {
        let corner = |x: f64, y: f64| [x, y];
        Mesh {
            nodes: vec![
                corner(0.0, 0.0),
                corner(1.0, 0.0),
                corner(1.0, 1.0),
                corner(0.0, 1.0),
                corner(0.5, 0.0),
                corner(1.0, 0.5),
                corner(0.5, 1.0),
                corner(0.0, 0.5),
                corner(2.0, 0.0),
                corner(2.0, 1.0),
                corner(1.5, 0.0),
                corner(2.0, 0.5),
                corner(1.5, 1.0),
            ],
            quads: vec![[0, 1, 2, 3, 4, 5, 6, 7], [1, 8, 9, 2, 10, 11, 12, 5]],
            ..Mesh::default()
        }
    }

    fn area(line: &[[f64; 2]]) -> f64 {
        let twice: f64 = line.windows(2).map(|p| p[0][0] * p[1][1] - p[1][0] * p[0][1]).sum();
        (0.5 * twice).abs()
    }

    #[test]
    fn the_border_of_all_metal_is_one_closed_line_round_its_area() {
        let mesh = two_squares();
        let found = loops(&mesh, &vec![1.0; mesh.nodes.len()], 3);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].first(), found[0].last());
        assert!((area(&found[0]) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn a_field_that_changes_sign_ends_at_its_zero() {
        let mesh = two_squares();
        let values: Vec<f64> = mesh.nodes.iter().map(|node| 1.3 - node[0]).collect();
        let found = loops(&mesh, &values, 3);
        assert_eq!(found.len(), 1);
        assert!((area(&found[0]) - 1.3).abs() < 1e-12, "{}", area(&found[0]));
    }

    #[test]
    fn mirrored_parts_join_without_a_seam() {
        let mut mesh = two_squares();
        mesh.symmetry = Symmetry { x: Some(0.0), y: Some(0.0) };
        let values: Vec<f64> = mesh.nodes.iter().map(|node| 1.3 - node[0]).collect();
        let found = loops(&mesh, &values, 2);
        assert_eq!(found.len(), 1);
        assert!((area(&found[0]) - 5.2).abs() < 1e-12, "{}", area(&found[0]));
    }
}
