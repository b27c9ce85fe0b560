//! How large the triangles of the fill should be, place by place.
//!
//! At a ring the triangles match its sectors; away from it they grow in proportion to the
//! distance, up to a share of the plate. The smallest of what every hole asks for counts,
//! so ligaments are fine without further rules: between two rings or a ring and an edge
//! no triangle is far from a ring. What the outline itself asks for counts in the same way.

use crate::geometry::outline::Loops;
use crate::geometry::piece::Piece;
use crate::mesh::angles::Sectors;
use crate::mesh::features::{Feature, features};
use crate::mesh::rings::OuterLine;
use crate::mesh::topology::Symmetry;

/// Growth of the size with the distance from a ring or a ligament, at fineness 1 and on coarser meshes, whose triangles
/// a steeper one would distort. Metal hardly yields beyond rings, and what the hole leaves in the field falls with the square
/// of the distance.
const GROWTH: f64 = 0.25;
/// Growth where metal yields beyond rings that a ligament has cut short, and away from what the outline asks for, where no
/// rings carry the stress, at fineness 1: neighbours differ by about a fifth.
const GENTLE_GROWTH: f64 = 0.05;
/// Largest triangles at fineness 1: this many across the smaller extent of the plate. The
/// residual field far out is smooth; this is enough for the bending of far edges.
const ACROSS_PLATE: f64 = 13.0;
/// Largest square that is counted as one, in wanted sizes.
const SQUARE: f64 = 4.0;

/// Wanted side length of triangles.
pub(crate) struct SizeField<'a> {
    rings: Vec<(&'a OuterLine, &'a Sectors)>,
    /// Sizes that the outline asks for.
    features: Vec<Feature>,
    /// Narrow ligaments.
    across: Vec<Feature>,
    fineness: f64,
    growth: f64,
    largest: f64,
}

impl<'a> SizeField<'a> {
    /// Sizes of a plate; `across` are lines and the size wanted along them, at fineness 1, mm.
    pub(crate) fn new(
        loops: &Loops,
        walls: &[Piece],
        rings: Vec<(&'a OuterLine, &'a Sectors)>,
        across: &[(Piece, f64)],
        fineness: f64,
    ) -> Self {
        let [low, high] = loops.bounds();
        let largest = (high[0] - low[0]).min(high[1] - low[1]) / ACROSS_PLATE;
        let features = features(loops, walls, largest);
        let narrow = across.iter().filter(|(_, size)| *size < largest);
        let across = narrow.map(|(line, size)| Feature::new(line.clone(), *size)).collect();
        let growth = GROWTH / fineness.max(1.0);
        Self { rings, features, across, fineness, growth, largest: largest / fineness }
    }

    /// About how many triangles fill the plate, or the part of it that symmetry keeps; counting ends
    /// soon after `enough`. Squares are halved until they are no larger than a few triangles.
    pub(crate) fn expected_triangles(
        &self,
        loops: &Loops,
        symmetry: Symmetry,
        enough: usize,
    ) -> usize {
        let [low, high] = loops.bounds();
        let start = [0, 1].map(|axis| {
            let line = if axis == 0 { symmetry.x } else { symmetry.y };
            line.map_or(low[axis], |line| line.max(low[axis]))
        });
        let extent = (high[0] - start[0]).max(high[1] - start[1]);
        let mut squares = vec![(start, extent)];
        let mut triangles = 0.0;
        while let Some((corner, side)) = squares.pop() {
            if corner[0] >= high[0] || corner[1] >= high[1] {
                continue;
            }
            let middle = [corner[0] + 0.5 * side, corner[1] + 0.5 * side];
            let wanted = self.at(middle);
            if side > SQUARE * wanted {
                let half = 0.5 * side;
                for (right, up) in [(0.0, 0.0), (half, 0.0), (0.0, half), (half, half)] {
                    squares.push(([corner[0] + right, corner[1] + up], half));
                }
            } else if loops.surround(middle) {
                // Equilateral: √3/4 of the square of the side.
                triangles += side * side / (0.25 * 3.0_f64.sqrt() * wanted * wanted);
            }
            if triangles > enough as f64 {
                return enough + 1;
            }
        }
        // A count: whole, and far below the largest that is exact.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let count = triangles.ceil() as usize;
        count
    }

    /// Wanted side length at `point`, mm.
    pub(crate) fn at(&self, point: [f64; 2]) -> f64 {
        let size = self.rings.iter().fold(self.largest, |size, (line, sectors)| {
            let (x, y) = (point[0] - line.centre[0], point[1] - line.centre[1]);
            let away = (x.hypot(y) - line.radius).max(0.0);
            let gently = away.min((line.yields_to - line.radius).max(0.0));
            let grown = GENTLE_GROWTH / self.fineness * gently + self.growth * (away - gently);
            if grown >= size {
                return size;
            }
            size.min(line.radius * sectors.width_at(y.atan2(x)) + grown)
        });
        let of_outline = self.features.iter().map(|one| (one, GENTLE_GROWTH / self.fineness));
        let of_ligaments = self.across.iter().map(|one| (one, self.growth));
        of_outline.chain(of_ligaments).fold(size, |size, (feature, growth)| {
            let own = feature.size / self.fineness;
            // Farther away than this it has no say.
            let reach = (size - own) / growth;
            match feature.distance_below(point, reach) {
                Some(away) => own + growth * away,
                None => size,
            }
        })
    }
}
