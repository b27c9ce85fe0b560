//! How large the triangles of the fill should be, place by place.
//!
//! At a ring the triangles match its sectors; away from it they grow in proportion to the
//! distance, up to a share of the plate. The smallest of what every hole asks for counts,
//! so ligaments are fine without further rules: between two rings or a ring and an edge
//! no triangle is far from a ring.
//!
//! Floor 2, `mesh`.

use crate::geometry::plate::{Outline, Plate};
use crate::mesh::angles::Sectors;
use crate::mesh::rings::OuterLine;

/// Growth of the size with the distance from a ring at fineness 1.
const GROWTH: f64 = 0.18;
/// Largest triangles at fineness 1: this many across the smaller extent of the plate.
const ACROSS_PLATE: f64 = 24.0;

/// Wanted side length of triangles.
pub(crate) struct SizeField<'a> {
    rings: Vec<(&'a OuterLine, &'a Sectors)>,
    growth: f64,
    largest: f64,
}

impl<'a> SizeField<'a> {
    pub(crate) fn new(
        plate: &Plate,
        rings: Vec<(&'a OuterLine, &'a Sectors)>,
        fineness: f64,
    ) -> Self {
        let extent = match plate.outline {
            Outline::Rectangle { width, height } => width.min(height),
            Outline::Disc { diameter } => diameter,
        };
        Self { rings, growth: GROWTH / fineness, largest: extent / (ACROSS_PLATE * fineness) }
    }

    /// Wanted side length at `point`, mm.
    pub(crate) fn at(&self, point: [f64; 2]) -> f64 {
        self.rings.iter().fold(self.largest, |size, (line, sectors)| {
            let (x, y) = (point[0] - line.centre[0], point[1] - line.centre[1]);
            let away = (x.hypot(y) - line.radius).max(0.0);
            if self.growth * away >= size {
                return size;
            }
            size.min(line.radius * sectors.width_at(y.atan2(x)) + self.growth * away)
        })
    }
}
