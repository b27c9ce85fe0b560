//! A drilled hole before any work is done on it.

use serde::{Deserialize, Serialize};

use crate::geometry::roundness::OutOfRound;

/// A drilled hole. Lengths in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Hole {
    /// Name in the case file, used in every table and figure.
    pub name: String,
    /// Drilled centre `[x, y]`, mm.
    pub centre: [f64; 2],
    /// Diameter before expansion, mm.
    pub starting_diameter: f64,
    /// How its edge differs from a circle of that diameter; `None` for a round hole.
    #[serde(default)]
    pub out_of_round: Option<OutOfRound>,
}

impl Hole {
    /// A round hole; lengths in mm.
    #[must_use]
    pub fn round(name: impl Into<String>, centre: [f64; 2], starting_diameter: f64) -> Self {
        Self { name: name.into(), centre, starting_diameter, out_of_round: None }
    }

    /// Radius before expansion, mm.
    #[must_use]
    pub fn radius(&self) -> f64 {
        0.5 * self.starting_diameter
    }

    /// Distance of the drilled edge from the centre in a direction (radians), mm.
    #[must_use]
    pub fn edge_distance(&self, angle: f64) -> f64 {
        self.radius() + self.out_of_round.map_or(0.0, |shape| shape.beyond_mean(angle))
    }

    /// Angle of `point` seen from the centre, radians in `(−π, π]`.
    #[must_use]
    pub fn angle_to(&self, point: [f64; 2]) -> f64 {
        (point[1] - self.centre[1]).atan2(point[0] - self.centre[0])
    }

    /// Distance of `point` from the centre, mm.
    #[must_use]
    pub fn distance_to(&self, point: [f64; 2]) -> f64 {
        (point[0] - self.centre[0]).hypot(point[1] - self.centre[1])
    }
}

/// Index of the hole whose drilled edge is nearest to `point`, the first of equals; `None`
/// without holes. Fields "about the nearest hole" use it.
#[must_use]
pub fn nearest_hole(point: [f64; 2], holes: &[Hole]) -> Option<usize> {
    let gap = |hole: &Hole| hole.distance_to(point) - hole.radius();
    (0..holes.len()).min_by(|&a, &b| gap(&holes[a]).total_cmp(&gap(&holes[b])))
}
