//! Element sizes that the outline itself requires: short sides, curved sides, and narrow
//! places.
//!
//! A rectangle or a disc of usual proportions asks for nothing; a fillet does, since stresses
//! gather there.

use std::f64::consts::PI;

use crate::geometry::meet::gap;
use crate::geometry::outline::Loops;
use crate::geometry::piece::Piece;

/// Turn of a side on an arc at fineness 1, radians: 7.5°, twelve to a quarter circle. With them the
/// stress at a round notch is right to a percent.
const ARC_SIDE: f64 = PI / 24.0;
/// Sides on an arc at least, so that a shallow fillet is more than a chord.
const SIDES_ON_ARC: f64 = 4.0;
/// Sides on a straight piece at least.
const SIDES_ON_LINE: f64 = 2.0;
/// Elements across a strip of metal between two edges.
const ACROSS_STRIP: f64 = 4.0;
/// Elements along the edges of a gap of air, over its width: so that the chords of curved
/// edges do not cross.
const ACROSS_AIR: f64 = 1.0;
/// Pieces this close, over the length of one, touch.
const TOUCHING: f64 = 1e-6;
/// Places along a piece where the strip beside it is measured, at most.
const PLACES: u32 = 64;

/// Where elements of a certain size are wanted; they may grow with the distance from it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Feature {
    /// Where: along this piece.
    piece: Piece,
    /// Box round it, so that far ones are passed over quickly.
    bounds: [[f64; 2]; 2],
    /// Wanted size at fineness 1, mm.
    pub(crate) size: f64,
}

impl Feature {
    pub(crate) fn new(piece: Piece, size: f64) -> Self {
        let bounds = piece.bounds();
        Self { piece, bounds, size }
    }

    /// Distance of `point` from the feature, mm, when that is less than `most`.
    pub(crate) fn distance_below(&self, point: [f64; 2], most: f64) -> Option<f64> {
        let [low, high] = self.bounds;
        let [dx, dy] = [0, 1].map(|k| (low[k] - point[k]).max(point[k] - high[k]).max(0.0));
        if dx.hypot(dy) >= most {
            return None;
        }
        Some(self.piece.distance(point)).filter(|distance| *distance < most)
    }
}

/// The sizes that `loops`, and `walls` between regions in them, require below `largest` (mm, at
/// fineness 1).
pub(crate) fn features(loops: &Loops, walls: &[Piece], largest: f64) -> Vec<Feature> {
    let mut all = vec![];
    for piece in loops.pieces().chain(walls) {
        let size = match piece.arc {
            None => piece.length() / SIDES_ON_LINE,
            Some(arc) => (ARC_SIDE * arc.radius).min(piece.length() / SIDES_ON_ARC),
        };
        if size < largest {
            all.push(Feature::new(piece.clone(), size));
        }
    }
    let numbered: Vec<(usize, usize, &Piece)> = loops
        .chains()
        .enumerate()
        .flat_map(|(chain, pieces)| {
            pieces.pieces.iter().enumerate().map(move |(k, piece)| (chain, k, piece))
        })
        .collect();
    for (k, wall) in walls.iter().enumerate() {
        // What touches a wall ends it; narrow wedges there are left to the fill.
        let apart = |other: &&Piece| {
            let width = gap(wall, other).width;
            width > TOUCHING * wall.length() && width < ACROSS_STRIP * largest
        };
        for edge in loops.pieces().filter(apart) {
            along(loops, wall, edge, largest, &mut all);
            along(loops, edge, wall, largest, &mut all);
        }
        let others = walls.iter().enumerate().filter(|(l, _)| *l != k).map(|(_, other)| other);
        for other in others.filter(apart) {
            along(loops, wall, other, largest, &mut all);
        }
    }
    let lengths: Vec<usize> = loops.chains().map(|chain| chain.pieces.len()).collect();
    for &(chain, k, piece) in &numbered {
        for &(other_chain, l, other) in &numbered {
            let count = lengths[chain];
            let joined =
                chain == other_chain && (k == l || (k + 1) % count == l || (l + 1) % count == k);
            if !joined && gap(piece, other).width < ACROSS_STRIP * largest {
                along(loops, piece, other, largest, &mut all);
            }
        }
    }
    all
}

/// Adds the places along `piece` where `other` is close.
fn along(loops: &Loops, piece: &Piece, other: &Piece, largest: f64, all: &mut Vec<Feature>) {
    let places = PLACES;
    let mut last: Option<([f64; 2], f64)> = None;
    for place in 0..=places {
        let share = f64::from(place) / f64::from(places);
        let at = piece.point(share);
        let facing = other.point(other.nearest_share(at));
        let width = (at[0] - facing[0]).hypot(at[1] - facing[1]);
        let middle = [0.5 * (at[0] + facing[0]), 0.5 * (at[1] + facing[1])];
        let across = if loops.surround(middle) { ACROSS_STRIP } else { ACROSS_AIR };
        let size = width / across;
        let here = (size < largest).then_some((at, size));
        // A run of places is a chain of short lines, each with the smaller size of its ends.
        if let (Some((before, earlier)), Some((at, size))) = (last, here) {
            let line = Piece::straight("", before, at);
            all.push(Feature::new(line, earlier.min(size)));
        } else if let Some((at, size)) = here {
            all.push(Feature::new(Piece::straight("", at, at), size));
        }
        last = here;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::outline::Loop;

    #[test]
    fn usual_plates_ask_for_nothing() {
        assert!(features(&Loops::rectangle(60.0, 40.0), &[], 40.0 / 24.0).is_empty());
        assert!(features(&Loops::disc(50.0), &[], 50.0 / 24.0).is_empty());
    }

    #[test]
    fn a_cut_out_near_an_edge_asks_for_small_elements_between() {
        let mut loops = Loops::rectangle(60.0, 40.0);
        loops.inner.push(Loop::circle("window", [54.0, 20.0], 5.0).reversed());
        let all = features(&loops, &[], 40.0 / 24.0);
        let size = |at: [f64; 2]| {
            let near = all.iter().filter(|one| one.distance_below(at, 1e-6).is_some());
            near.map(|one| one.size).fold(f64::INFINITY, f64::min)
        };
        assert!((size([59.0, 20.0]) - 0.25).abs() < 0.02, "{}", size([59.0, 20.0]));
        assert!((size([60.0, 20.0]) - 0.25).abs() < 0.02, "{}", size([60.0, 20.0]));
        assert!((size([49.0, 20.0]) - 5.0 * ARC_SIDE).abs() < 1e-12);
        assert!(size([60.0, 39.0]).is_infinite());
    }
}
