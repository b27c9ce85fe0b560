//! Straight paths through the plate: what is metal, and where a path leaves it.
//!
//! Floor 1, `geometry`.

use crate::geometry::plate::{Outline, Plate};

/// Distances below this share of the plate count as none: a path may start on an edge.
const TOUCHING: f64 = 1e-9;

/// Where a straight path leaves the metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathEnd {
    /// Length of the path, mm.
    pub distance: f64,
    /// What it ran into.
    pub at: Obstacle,
}

/// The free edge at the end of a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// An edge of the outline, by name.
    Edge(&'static str),
    /// The edge of a hole, by index.
    Hole(usize),
}

impl Plate {
    /// Whether `point` is metal. Points on the outline or on the edge of a hole are.
    #[must_use]
    pub fn contains(&self, point: [f64; 2]) -> bool {
        let slack = TOUCHING * self.outline.extent();
        let inside = match self.outline {
            Outline::Rectangle { width, height } => {
                let within = |value: f64, size: f64| value >= -slack && value <= size + slack;
                within(point[0], width) && within(point[1], height)
            }
            Outline::Disc { diameter } => point[0].hypot(point[1]) <= 0.5 * diameter + slack,
        };
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
        let (sine, cosine) = angle.sin_cos();
        let slack = TOUCHING * self.outline.extent();
        let mut end = match self.outline {
            Outline::Rectangle { width, height } => {
                let walls = [
                    ("right", width - point[0], cosine),
                    ("top", height - point[1], sine),
                    ("left", point[0], -cosine),
                    ("bottom", point[1], -sine),
                ];
                let mut end = PathEnd { distance: f64::INFINITY, at: Obstacle::Edge("right") };
                for (name, away, towards) in walls {
                    // A slope below rounding runs along the wall, not into it.
                    let distance = away.max(0.0) / towards;
                    if towards > f64::EPSILON && distance < end.distance {
                        end = PathEnd { distance, at: Obstacle::Edge(name) };
                    }
                }
                end
            }
            Outline::Disc { diameter } => {
                let along = point[0] * cosine + point[1] * sine;
                let beside = point[1] * cosine - point[0] * sine;
                let half_chord = (0.25 * diameter * diameter - beside * beside).max(0.0).sqrt();
                PathEnd { distance: (half_chord - along).max(0.0), at: Obstacle::Edge("rim") }
            }
        };
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::hole::Hole;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, SQRT_2};

    fn hole(name: &str, centre: [f64; 2], starting_diameter: f64) -> Hole {
        Hole { name: name.to_string(), centre, starting_diameter }
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
        assert_eq!(to_left.at, Obstacle::Edge("left"));
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
            assert_eq!(end.at, Obstacle::Edge("rim"));
            assert_relative_eq!(end.distance, 20.0, max_relative = 1e-12);
        }
        assert!(plate.contains([5.0, 0.0]) && plate.contains([25.0, 0.0]));
        assert!(!plate.contains([4.99, 0.0]) && !plate.contains([25.01, 0.0]));
    }
}
