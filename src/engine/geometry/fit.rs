//! Does it fit: edge margins, ligaments, and the holes that cannot be drilled.
//!
//! Edge margin is the distance from the hole centre to the nearest free edge over the
//! hole diameter (trade definition; common practice, no source). A ligament is the
//! metal left between a hole's edge and the next free edge, outline or other hole.

use std::fmt;

use crate::geometry::arc::{angle_of, minus};
use crate::geometry::plate::{Outline, Plate};
use crate::geometry::sound::OutlineError;

/// Least ligament, as a share of the larger neighbouring hole's diameter, that a plate is
/// accepted with. Thinner strips fold or tear rather than spring back, so the small-strain
/// plane model has nothing to say about them (common practice, no source).
pub const LEAST_LIGAMENT: f64 = 0.1;

/// Rounding that a least length may lose: a plate drawn to the very limit is accepted.
pub const ROUNDING: f64 = 1e-9;

/// Distances closer than this share of the plate are taken as equal when the nearest edge
/// is chosen, so that rounding does not decide it.
const TIE: f64 = 1e-12;

/// The free edge of the outline nearest to a hole.
#[derive(Clone, Debug, PartialEq)]
pub struct NearestEdge {
    /// Name of the edge.
    pub name: String,
    /// Distance from the hole centre to it, mm; negative when the centre is outside.
    pub distance: f64,
    /// Direction from the centre to it, radians in `(−π, π]`.
    pub angle: f64,
}

/// A plate that cannot be made, or not modelled.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum GeometryError {
    /// A dimension is not a positive number.
    BadDimension {
        /// Which dimension, e.g. `width`.
        what: String,
        /// Its value, mm.
        value: f64,
    },
    /// The outline itself is impossible.
    Outline(OutlineError),
    /// The edge of a hole reaches or crosses the outline.
    LeavesPlate {
        /// Name of the hole.
        hole: String,
        /// Edge of the plate.
        edge: String,
        /// From the hole centre to the edge, mm.
        distance: f64,
        /// Radius of the hole, mm.
        radius: f64,
    },
    /// Two holes touch or overlap.
    Overlap {
        /// Names of the holes.
        holes: [String; 2],
        /// Centre to centre, mm.
        spacing: f64,
        /// Sum of the radii, mm.
        radii: f64,
    },
    /// A strip of metal is too thin.
    ThinLigament {
        /// Name of the hole.
        hole: String,
        /// The neighbour on the other side: an edge or a hole.
        to: String,
        /// Width of the strip, mm.
        ligament: f64,
        /// Least width accepted, mm.
        least: f64,
    },
}

impl fmt::Display for GeometryError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadDimension { what, value } => {
                write!(f, "{what} must be a positive length, not {value} mm")
            }
            Self::Outline(error) => error.fmt(f),
            Self::LeavesPlate { hole, edge, distance, radius } => write!(
                f,
                "hole `{hole}` of radius {radius:.4} mm leaves the plate: its centre is \
                 {distance:.4} mm inside the {edge} edge"
            ),
            Self::Overlap { holes: [a, b], spacing, radii } => write!(
                f,
                "holes `{a}` and `{b}` overlap: their centres are {spacing:.4} mm apart, their \
                 radii add up to {radii:.4} mm"
            ),
            Self::ThinLigament { hole, to, ligament, least } => write!(
                f,
                "only {ligament:.4} mm of metal between hole `{hole}` and {to}, least {least:.4} mm"
            ),
        }
    }
}

impl std::error::Error for GeometryError {}

impl Outline {
    /// The free edge nearest to `point`; ties as in [`Plate::nearest_edge`].
    ///
    /// # Panics
    ///
    /// When the outline has no pieces.
    #[must_use]
    pub fn nearest_edge(&self, point: [f64; 2]) -> NearestEdge {
        let loops = self.loops();
        let near = loops.nearest(point, TIE * self.extent()).expect("an outline has pieces");
        let distance = if loops.surround(point) { near.distance } else { -near.distance };
        let angle = angle_of(minus(near.at, point));
        NearestEdge { name: near.piece.name.clone(), distance, angle }
    }
}

impl Plate {
    /// The free edge of the outline, cut-outs included, nearest to the centre of hole `index`.
    ///
    /// Of equally near edges the first counter-clockwise from +x is taken: `right`, `top`,
    /// `left`, `bottom`, which are also the ones a symmetric half keeps. A hole at the centre
    /// of a disc points to angle 0.
    ///
    /// # Panics
    ///
    /// When there is no such hole, or the outline has no pieces.
    #[must_use]
    pub fn nearest_edge(&self, index: usize) -> NearestEdge {
        self.outline.nearest_edge(self.holes[index].centre)
    }

    /// Edge margin e/D of hole `index` for a hole of `diameter` mm: the final diameter when
    /// it is reamed, else the starting one.
    ///
    /// # Panics
    ///
    /// When there is no such hole.
    #[must_use]
    pub fn edge_margin(&self, index: usize, diameter: f64) -> f64 {
        self.nearest_edge(index).distance / diameter
    }

    /// Metal between the edges of two holes, mm; negative when they overlap.
    ///
    /// # Panics
    ///
    /// When there is no such hole.
    #[must_use]
    pub fn gap(&self, first: usize, second: usize) -> f64 {
        let (a, b) = (&self.holes[first], &self.holes[second]);
        a.distance_to(b.centre) - a.radius() - b.radius()
    }

    /// Least metal beside hole `index`, mm: from its starting edge to the nearest free edge,
    /// be that the outline or the edge of another hole (the whole strip between two holes).
    ///
    /// # Panics
    ///
    /// When there is no such hole.
    #[must_use]
    pub fn ligament(&self, index: usize) -> f64 {
        let to_edge = self.nearest_edge(index).distance - self.holes[index].radius();
        (0..self.holes.len())
            .filter(|&other| other != index)
            .map(|other| self.gap(index, other))
            .fold(to_edge, f64::min)
    }

    /// Whether the plate can be made and modelled.
    ///
    /// # Errors
    ///
    /// The first thing wrong: [`GeometryError::BadDimension`], [`GeometryError::Outline`], then
    /// for every hole in order
    /// [`GeometryError::LeavesPlate`], [`GeometryError::Overlap`] with an earlier hole, and
    /// [`GeometryError::ThinLigament`] below [`LEAST_LIGAMENT`].
    pub fn check(&self) -> Result<(), GeometryError> {
        let mut dimensions = vec![("thickness".to_string(), self.thickness)];
        match &self.outline {
            Outline::Rectangle { width, height } => {
                dimensions.extend([("width".to_string(), *width), ("height".to_string(), *height)]);
            }
            Outline::Disc { diameter } => {
                dimensions.push(("outer diameter".to_string(), *diameter));
            }
            Outline::Loops(_) => {}
        }
        dimensions.extend(self.holes.iter().map(|hole| {
            (format!("starting diameter of hole `{}`", hole.name), hole.starting_diameter)
        }));
        for (what, value) in dimensions {
            if !(value.is_finite() && value > 0.0) {
                return Err(GeometryError::BadDimension { what, value });
            }
        }
        if let Outline::Loops(loops) = &self.outline {
            loops.check().map_err(GeometryError::Outline)?;
        }
        (0..self.holes.len()).try_for_each(|index| self.check_hole(index))
    }

    fn check_hole(&self, index: usize) -> Result<(), GeometryError> {
        let hole = &self.holes[index];
        let edge = self.nearest_edge(index);
        let strip = edge.distance - hole.radius();
        // A centre that is not a number is nowhere in the plate either.
        if strip.is_nan() || strip <= 0.0 {
            return Err(GeometryError::LeavesPlate {
                hole: hole.name.clone(),
                edge: edge.name,
                distance: edge.distance,
                radius: hole.radius(),
            });
        }
        let thin = |to: String, ligament: f64, least: f64| {
            if ligament < least * (1.0 - ROUNDING) {
                let hole = hole.name.clone();
                Err(GeometryError::ThinLigament { hole, to, ligament, least })
            } else {
                Ok(())
            }
        };
        thin(format!("the {} edge", edge.name), strip, LEAST_LIGAMENT * hole.starting_diameter)?;
        for (other_index, other) in self.holes[..index].iter().enumerate() {
            let gap = self.gap(index, other_index);
            if gap <= 0.0 {
                return Err(GeometryError::Overlap {
                    holes: [other.name.clone(), hole.name.clone()],
                    spacing: hole.distance_to(other.centre),
                    radii: hole.radius() + other.radius(),
                });
            }
            let larger = hole.starting_diameter.max(other.starting_diameter);
            thin(format!("hole `{}`", other.name), gap, LEAST_LIGAMENT * larger)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::hole::Hole;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn plate(outline: Outline, holes: &[([f64; 2], f64)]) -> Plate {
        let holes = holes.iter().zip('A'..).map(|(&(centre, starting_diameter), name)| {
            Hole::round(name.to_string(), centre, starting_diameter)
        });
        Plate { outline, thickness: 6.0, holes: holes.collect() }
    }

    const SQUARE: Outline = Outline::Rectangle { width: 60.0, height: 60.0 };

    #[test]
    fn the_nearest_edge_and_its_direction_are_found() {
        let square =
            plate(SQUARE, &[([12.0, 30.0], 6.0), ([50.0, 55.0], 4.0), ([30.0, 30.0], 6.0)]);
        let edges = [0, 1, 2].map(|hole| square.nearest_edge(hole));
        assert_eq!(edges.each_ref().map(|edge| edge.name.as_str()), ["left", "top", "right"]);
        assert_relative_eq!(edges[0].distance, 12.0);
        assert_relative_eq!(edges[0].angle, PI);
        assert_relative_eq!(square.edge_margin(0, 6.0), 2.0);
        let disc =
            plate(Outline::Disc { diameter: 50.0 }, &[([0.0, 0.0], 6.0), ([0.0, -20.0], 4.0)]);
        assert_relative_eq!(disc.nearest_edge(0).angle, 0.0);
        assert_relative_eq!(disc.nearest_edge(1).distance, 5.0);
        assert_relative_eq!(disc.nearest_edge(1).angle, -FRAC_PI_2);
    }

    #[test]
    fn the_ligament_is_the_thinnest_strip_beside_a_hole() {
        let pair = plate(SQUARE, &[([12.0, 30.0], 6.0), ([22.0, 30.0], 8.0)]);
        assert_relative_eq!(pair.ligament(0), 10.0 - 3.0 - 4.0);
        assert_relative_eq!(pair.ligament(1), 3.0);
        assert_relative_eq!(plate(SQUARE, &[([12.0, 30.0], 6.0)]).ligament(0), 9.0);
        assert!(pair.check().is_ok());
    }

    #[test]
    fn impossible_plates_are_refused_with_their_numbers() {
        let leaves = plate(SQUARE, &[([2.5, 30.0], 6.0)]).check();
        assert!(matches!(leaves, Err(GeometryError::LeavesPlate { edge, .. }) if edge == "left"));
        let outside = plate(SQUARE, &[([-20.0, 30.0], 6.0)]).check();
        assert!(matches!(outside, Err(GeometryError::LeavesPlate { .. })));
        let nowhere = plate(SQUARE, &[([f64::NAN, 30.0], 6.0)]).check();
        assert!(matches!(nowhere, Err(GeometryError::LeavesPlate { .. })));
        let overlap = plate(SQUARE, &[([20.0, 30.0], 6.0), ([25.0, 30.0], 6.0)]).check();
        let message = overlap.map_err(|error| error.to_string());
        assert_eq!(
            message,
            Err(
                "holes `A` and `B` overlap: their centres are 5.0000 mm apart, their radii add up \
                 to 6.0000 mm"
                    .to_string()
            )
        );
        let thin = plate(SQUARE, &[([20.0, 30.0], 6.0), ([26.3, 30.0], 6.0)]).check();
        assert!(matches!(thin, Err(GeometryError::ThinLigament { .. })));
        let flat = Plate { thickness: 0.0, ..plate(SQUARE, &[]) }.check();
        assert!(matches!(flat, Err(GeometryError::BadDimension { .. })));
    }
}
