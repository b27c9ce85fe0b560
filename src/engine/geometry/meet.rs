//! Where pieces of an outline meet a straight path or each other, and how close they come.
//!
//! Lengths in mm.

use crate::geometry::arc::{Arc, angle_of, apart, cross, dot, minus};
use crate::geometry::piece::Piece;

/// A path and a line whose directions differ by less than this sine are parallel.
const PARALLEL: f64 = 1e-12;

/// The narrowest place between two pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Its width, mm.
    pub width: f64,
    /// Its two ends, one on each piece.
    pub ends: [[f64; 2]; 2],
}

/// Distances along the path from `point` in the direction of unit vector `along` at which it
/// meets the piece, behind `point` as negative numbers; ends count within `slack` mm.
pub(crate) fn path_meets(piece: &Piece, point: [f64; 2], along: [f64; 2], slack: f64) -> Vec<f64> {
    let start = minus(piece.from, point);
    let Some(arc) = piece.arc else {
        let side = minus(piece.to, piece.from);
        let length = side[0].hypot(side[1]);
        let across = cross(along, side);
        if across.abs() <= PARALLEL * length {
            return vec![];
        }
        let share = cross(start, along) / across;
        let margin = slack / length;
        let meets = share >= -margin && share <= 1.0 + margin;
        return if meets { vec![cross(start, side) / across] } else { vec![] };
    };
    let to_centre = minus(arc.centre, point);
    let (ahead, beside) = (dot(to_centre, along), cross(along, to_centre));
    let square = arc.radius * arc.radius - beside * beside;
    if square <= 0.0 {
        return vec![];
    }
    let half_chord = square.sqrt();
    [ahead - half_chord, ahead + half_chord]
        .into_iter()
        .filter(|distance| {
            let at = [0, 1].map(|axis| point[axis] + distance * along[axis]);
            on_arc(&arc, at) || apart(at, piece.from) <= slack || apart(at, piece.to) <= slack
        })
        .collect()
}

/// Points at which two pieces cross or touch, ends included within `slack` mm. Pieces that run
/// along each other are answered with the ends of their common part.
#[must_use]
pub fn meetings(a: &Piece, b: &Piece, slack: f64) -> Vec<[f64; 2]> {
    let mut points: Vec<[f64; 2]> = match (a.arc, b.arc) {
        (None, _) => straight_meets(a, b, slack),
        (_, None) => straight_meets(b, a, slack),
        (Some(first), Some(second)) => circles_meet(&first, &second)
            .into_iter()
            .filter(|at| a.distance(*at) <= slack && b.distance(*at) <= slack)
            .collect(),
    };
    points.extend([a.from, a.to].into_iter().filter(|at| b.distance(*at) <= slack));
    points.extend([b.from, b.to].into_iter().filter(|at| a.distance(*at) <= slack));
    points
}

fn straight_meets(line: &Piece, other: &Piece, slack: f64) -> Vec<[f64; 2]> {
    let (along, length) = (line.tangent(0.0), line.length());
    path_meets(other, line.from, along, slack)
        .into_iter()
        .filter(|distance| *distance >= -slack && *distance <= length + slack)
        .map(|distance| [0, 1].map(|axis| line.from[axis] + distance * along[axis]))
        .collect()
}

/// Crossing points of two circles; none when they are the same, apart, or inside each other.
fn circles_meet(a: &Arc, b: &Arc) -> Vec<[f64; 2]> {
    let between = minus(b.centre, a.centre);
    let distance = between[0].hypot(between[1]);
    if distance <= PARALLEL * a.radius {
        return vec![];
    }
    let unit = [between[0] / distance, between[1] / distance];
    let ahead = 0.5 * (distance + (a.radius - b.radius) * (a.radius + b.radius) / distance);
    let square = a.radius * a.radius - ahead * ahead;
    if square < 0.0 {
        return vec![];
    }
    let beside = square.sqrt();
    [-beside, beside]
        .map(|beside| {
            [
                a.centre[0] + ahead * unit[0] - beside * unit[1],
                a.centre[1] + ahead * unit[1] + beside * unit[0],
            ]
        })
        .to_vec()
}

/// The narrowest place between two pieces that do not cross.
#[must_use]
pub fn gap(a: &Piece, b: &Piece) -> Gap {
    let mut least = Gap { width: f64::INFINITY, ends: [a.from, b.from] };
    for (one, other, turned) in [(a, b, false), (b, a, true)] {
        for at in candidates(one, other) {
            let near = other.point(other.nearest_share(at));
            let width = apart(at, near);
            if width < least.width {
                least = Gap { width, ends: if turned { [near, at] } else { [at, near] } };
            }
        }
    }
    least
}

/// Points of `one` among which the nearest to `other` is, unless `other` has it.
fn candidates(one: &Piece, other: &Piece) -> Vec<[f64; 2]> {
    let mut points = vec![one.from, one.to];
    match (one.arc, other.arc) {
        (_, Some(arc)) => {
            points.push(one.point(one.nearest_share(arc.centre)));
            if let Some(own) = one.arc {
                // The side that faces away counts when one circle lies in the other.
                let away = angle_of(minus(own.centre, arc.centre));
                points.extend(own.share_at(away).map(|share| own.point(share)));
            }
        }
        (Some(own), None) => {
            let foot = other.point(other.nearest_share(own.centre));
            points.push(one.point(one.nearest_share(foot)));
        }
        (None, None) => {}
    }
    points
}

fn on_arc(arc: &Arc, at: [f64; 2]) -> bool {
    arc.share_at(angle_of(minus(at, arc.centre))).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    fn line(from: [f64; 2], to: [f64; 2]) -> Piece {
        Piece::straight("line", from, to)
    }

    fn arc(centre: [f64; 2], radius: f64, first: f64, sweep: f64) -> Piece {
        Piece::curved("arc", Arc { centre, radius, first, sweep })
    }

    #[test]
    fn crossings_of_lines_and_arcs_are_where_they_should_be() {
        let upper = arc([0.0, 0.0], 5.0, 0.0, PI);
        let count = |a: &Piece, b: &Piece| meetings(a, b, 1e-9).len();
        assert_eq!(meetings(&line([0.0, 0.0], [0.0, 9.0]), &upper, 1e-9), [[0.0, 5.0]]);
        assert_eq!(count(&line([-9.0, 3.0], [9.0, 3.0]), &upper), 2);
        assert_eq!(count(&line([-9.0, -3.0], [9.0, -3.0]), &upper), 0);
        assert_eq!(count(&line([0.0, 0.0], [9.0, 9.0]), &line([0.0, 9.0], [9.0, 0.0])), 1);
        assert_eq!(count(&line([0.0, 0.0], [9.0, 9.0]), &line([0.0, 9.0], [3.0, 6.0])), 0);
        let crossed = meetings(&arc([6.0, 0.0], 5.0, FRAC_PI_2, PI), &upper, 1e-9);
        assert_eq!(crossed.len(), 1);
        assert!(apart(crossed[0], [3.0, 4.0]) < 1e-14);
        // Along each other: the ends of the common part.
        assert!(count(&line([0.0, 0.0], [9.0, 0.0]), &line([4.0, 0.0], [20.0, 0.0])) >= 2);
        assert!(count(&arc([0.0, 0.0], 5.0, 1.0, 3.0), &upper) >= 2);
    }

    #[test]
    fn the_narrowest_place_is_found_between_lines_and_arcs() {
        let circle = arc([0.0, 0.0], 5.0, 0.0, TAU);
        let width = |a: &Piece, b: &Piece| gap(a, b).width;
        assert_relative_eq!(width(&circle, &line([-9.0, 7.0], [9.0, 7.0])), 2.0);
        assert_relative_eq!(width(&circle, &arc([12.0, 0.0], 4.0, 0.0, TAU)), 3.0);
        assert_relative_eq!(width(&circle, &arc([1.0, 0.0], 2.0, 0.0, TAU)), 2.0);
        assert_relative_eq!(width(&arc([1.0, 0.0], 2.0, 0.0, TAU), &circle), 2.0);
        let upper = arc([0.0, 0.0], 5.0, 0.0, PI);
        assert_relative_eq!(width(&upper, &line([-1.0, -3.0], [9.0, -3.0])), 3.0);
        assert_relative_eq!(
            width(&line([0.0, 0.0], [9.0, 0.0]), &line([12.0, 4.0], [9.0, 9.0])),
            5.0
        );
    }
}
