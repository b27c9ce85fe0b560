//! Straight paths through the plate: what is metal, and where a path leaves it.

use crate::geometry::arc::direction;
use crate::geometry::meet::path_meets;
use crate::geometry::outline::Loops;
use crate::geometry::plate::Plate;

/// Distances below this share of the plate count as none: a path may start on an edge.
const TOUCHING: f64 = 1e-9;

/// Where a straight path leaves the metal.
#[derive(Clone, Debug, PartialEq)]
pub struct PathEnd {
    /// Length of the path, mm.
    pub distance: f64,
    /// The obstacle that it met.
    pub at: Obstacle,
}

/// The free edge at the end of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// An outer edge, by name.
    Edge(String),
    /// An edge of a cut-out, by name.
    Cutout(String),
    /// The edge of a hole, by index.
    Hole(usize),
}

impl Plate {
    /// Whether `point` is metal. Points on the outline or on the edge of a hole are.
    #[must_use]
    pub fn contains(&self, point: [f64; 2]) -> bool {
        let slack = TOUCHING * self.outline.extent();
        let inside = in_metal(&self.outline.loops(), point, slack);
        inside && self.holes.iter().all(|hole| hole.distance_to(point) >= hole.radius() - slack)
    }

    /// Where the straight path from `point` at `angle` (radians) leaves the metal: at the
    /// outline, or where it enters a hole.
    ///
    /// `point` is inside the outline. A path that starts inside a hole, at its centre for
    /// instance, or on its edge and away from it, is not stopped by that hole. A path that
    /// starts on an edge and points out of the metal has length 0.
    #[must_use]
    pub fn distance_to_outline_along(&self, point: [f64; 2], angle: f64) -> PathEnd {
        let [cosine, sine] = direction(angle);
        let slack = TOUCHING * self.outline.extent();
        let mut end = leaves(&self.outline.loops(), point, [cosine, sine], slack);
        for (index, hole) in self.holes.iter().enumerate() {
            let to_centre = [hole.centre[0] - point[0], hole.centre[1] - point[1]];
            let along = to_centre[0] * cosine + to_centre[1] * sine;
            let beside = to_centre[1] * cosine - to_centre[0] * sine;
            let half_chord = hole.radius().powi(2) - beside * beside;
            if half_chord <= 0.0 {
                continue;
            }
            let (enters, leaves) = (along - half_chord.sqrt(), along + half_chord.sqrt());
            if enters >= -slack && leaves > slack && enters < end.distance {
                end = PathEnd { distance: enters.max(0.0), at: Obstacle::Hole(index) };
            }
        }
        end
    }
}

/// Whether `point` is inside the outline or within `slack` mm of it.
fn in_metal(loops: &Loops, point: [f64; 2], slack: f64) -> bool {
    loops.surround(point) || loops.distance(point) <= slack
}

/// Where the path from `point` along a unit vector leaves the outline. It goes on where it only
/// touches an edge or runs along it.
fn leaves(loops: &Loops, point: [f64; 2], along: [f64; 2], slack: f64) -> PathEnd {
    let mut meets: Vec<(f64, Obstacle)> = vec![];
    for (number, chain) in loops.chains().enumerate() {
        for piece in &chain.pieces {
            let name = piece.name.clone();
            let edge = || {
                if number == 0 {
                    Obstacle::Edge(name.clone())
                } else {
                    Obstacle::Cutout(name.clone())
                }
            };
            let ahead = path_meets(piece, point, along, slack);
            meets.extend(
                ahead.into_iter().filter(|at| *at >= -slack).map(|at| (at.max(0.0), edge())),
            );
        }
    }
    meets.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut last: Option<(f64, Obstacle)> = None;
    for (at, edge) in meets {
        let from = last.as_ref().map_or(0.0, |(at, _)| *at);
        let middle = 0.5 * (from + at);
        let between = [0, 1].map(|axis| point[axis] + middle * along[axis]);
        if at - from > slack && !in_metal(loops, between, slack) {
            break;
        }
        last = Some((at, edge));
    }
    let (distance, at) = last.unwrap_or_else(|| {
        // Nothing ahead: the path starts outside, or on an edge and away from the metal.
        let name =
            loops.nearest(point, slack).map_or_else(String::new, |near| near.piece.name.clone());
        (0.0, Obstacle::Edge(name))
    });
    PathEnd { distance, at }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::hole::Hole;
    use crate::geometry::outline::Loop;
    use crate::geometry::plate::Outline;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, SQRT_2};

    fn hole(name: &str, centre: [f64; 2], starting_diameter: f64) -> Hole {
        Hole::round(name.to_string(), centre, starting_diameter)
    }

    fn pair() -> Plate {
        Plate {
            outline: Outline::Rectangle { width: 60.0, height: 40.0 },
            thickness: 5.0,
            holes: vec![hole("A", [12.0, 20.0], 6.0), hole("B", [30.0, 20.0], 8.0)],
        }
    }

    #[test]
    fn a_path_ends_at_the_next_hole_or_at_the_outline() {
        let plate = pair();
        let end = |point, angle| plate.distance_to_outline_along(point, angle);
        let from_edge = end([15.0, 20.0], 0.0);
        assert_eq!(from_edge.at, Obstacle::Hole(1));
        assert_relative_eq!(from_edge.distance, 11.0, max_relative = 1e-12);
        assert_relative_eq!(end([12.0, 20.0], 0.0).distance, 14.0, max_relative = 1e-12);
        let to_left = end([9.0, 20.0], PI);
        assert_eq!(to_left.at, Obstacle::Edge("left".to_owned()));
        assert_relative_eq!(to_left.distance, 9.0, max_relative = 1e-12);
        assert_relative_eq!(end([12.0, 23.0], FRAC_PI_2).distance, 17.0, max_relative = 1e-12);
        let slanted = end([50.0, 30.0], FRAC_PI_4);
        assert_relative_eq!(slanted.distance, 10.0 * SQRT_2, max_relative = 1e-12);
        // Into the hole from its own edge: no metal that way.
        assert_eq!(end([15.0, 20.0], PI), PathEnd { distance: 0.0, at: Obstacle::Hole(0) });
    }

    #[test]
    fn a_path_in_a_disc_ends_on_its_rim() {
        let plate = Plate {
            outline: Outline::Disc { diameter: 50.0 },
            thickness: 5.0,
            holes: vec![hole("A", [0.0, 0.0], 10.0)],
        };
        for angle in [0.0, 0.3, 2.0, -1.0_f64] {
            let start = [5.0 * angle.cos(), 5.0 * angle.sin()];
            let end = plate.distance_to_outline_along(start, angle);
            assert_eq!(end.at, Obstacle::Edge("rim".to_owned()));
            assert_relative_eq!(end.distance, 20.0, max_relative = 1e-12);
        }
        assert!(plate.contains([5.0, 0.0]) && plate.contains([25.0, 0.0]));
        assert!(!plate.contains([4.99, 0.0]) && !plate.contains([25.01, 0.0]));
    }

    #[test]
    fn a_path_ends_at_a_cut_out_and_passes_what_it_only_touches() {
        let mut loops = Loops::rectangle(60.0, 40.0);
        loops.inner.push(Loop::circle("window", [40.0, 20.0], 5.0).reversed());
        let plate = Plate { outline: Outline::Loops(loops), thickness: 5.0, holes: vec![] };
        let end = |point, angle| plate.distance_to_outline_along(point, angle);
        let window = end([10.0, 20.0], 0.0);
        assert_eq!(window.at, Obstacle::Cutout("window".to_owned()));
        assert_relative_eq!(window.distance, 25.0, max_relative = 1e-12);
        // Along the tangent of the window, and along an edge of the plate.
        for y in [25.0, 0.0] {
            let past = end([10.0, y], 0.0);
            assert_eq!(past.at, Obstacle::Edge("right".to_owned()));
            assert_relative_eq!(past.distance, 50.0, max_relative = 1e-12);
        }
        // From an edge out of the plate.
        assert_relative_eq!(end([60.0, 20.0], 0.3).distance, 0.0);
        assert_relative_eq!(end([45.0, 20.0], PI).distance, 0.0);
    }
}
