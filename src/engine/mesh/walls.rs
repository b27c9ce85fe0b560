//! Outlines of regions in the fill: the pieces that sides of triangles follow.
//!
//! ```text
//!     ┌──────┬─────┐     The outline of a region is cut at the edges of the plate and at mirror
//!     │      ┊     │     lines; parts beyond them, or along them, are dropped. Where a part ends
//!     │ pad  ┊     │     on an edge, that edge gets a node.
//!     └──────┴─────┘
//! ```

use crate::geometry::arc::apart;
use crate::geometry::meet::meetings;
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::piece::Piece;
use crate::mesh::half::cut;
use crate::mesh::topology::Symmetry;

/// The parts of `outline` in the modelled metal. Places within `slack` mm are one.
pub(crate) fn walls(outline: &Loop, loops: &Loops, symmetry: Symmetry, slack: f64) -> Vec<Piece> {
    let lines = [symmetry.x, symmetry.y];
    let mut pieces = outline.pieces.clone();
    for (axis, line) in lines.into_iter().enumerate() {
        if let Some(line) = line {
            pieces = pieces.iter().flat_map(|piece| cut(piece, axis, line, slack)).collect();
        }
    }
    let along_mirror = |at: [f64; 2]| {
        let lines = lines.into_iter().enumerate();
        lines
            .filter_map(|(axis, line)| Some((axis, line?)))
            .any(|(axis, line)| (at[axis] - line).abs() <= slack)
    };
    let inside = |part: &Piece| {
        let at = part.point(0.5);
        loops.surround(at) && loops.distance_exceeds(at, slack) && !along_mirror(at)
    };
    pieces.iter().flat_map(|piece| parts(piece, loops, slack)).filter(inside).collect()
}

/// `piece` cut where it meets the outline of the plate.
fn parts(piece: &Piece, loops: &Loops, slack: f64) -> Vec<Piece> {
    let stops = loops.pieces().flat_map(|edge| meetings(piece, edge, slack));
    let stops: Vec<[f64; 2]> = stops.collect();
    cut_at(piece, &stops, slack)
}

/// `piece` cut at those of `stops` that lie on it, ends apart.
pub fn cut_at(piece: &Piece, stops: &[[f64; 2]], slack: f64) -> Vec<Piece> {
    let mut shares = vec![0.0];
    for &stop in stops {
        let on_it = piece.distance(stop) <= slack;
        if on_it && apart(stop, piece.from) > slack && apart(stop, piece.to) > slack {
            shares.push(piece.nearest_share(stop));
        }
    }
    shares.push(1.0);
    shares.sort_by(f64::total_cmp);
    shares.dedup_by(|next, before| (*next - *before) * piece.length() <= slack);
    shares.windows(2).map(|pair| piece.part(pair[0], pair[1])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn box_of([x0, y0]: [f64; 2], [x1, y1]: [f64; 2]) -> Loop {
        let corners = [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
        let side = |k: usize| Piece::straight("pad", corners[k], corners[(k + 1) % 4]);
        Loop { pieces: (0..4).map(side).collect() }
    }

    #[test]
    fn a_pad_across_a_strip_leaves_its_inner_side() {
        let plate = Loops::rectangle(60.0, 40.0);
        for pad in [box_of([0.0, 0.0], [20.0, 40.0]), box_of([-5.0, -5.0], [20.0, 50.0])] {
            let walls = walls(&pad, &plate, Symmetry::default(), 1e-8);
            assert_eq!(walls.len(), 1);
            assert_relative_eq!(walls[0].length(), 40.0, max_relative = 1e-12);
            assert_relative_eq!(walls[0].point(0.5)[0], 20.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn a_mirror_line_halves_a_circle_and_drops_a_side_along_it() {
        let plate = Loops::rectangle(60.0, 40.0);
        let half = Symmetry { x: None, y: Some(20.0) };
        let circle = walls(&Loop::circle("pad", [30.0, 20.0], 8.0), &plate, half, 1e-8);
        let length: f64 = circle.iter().map(Piece::length).sum();
        assert_relative_eq!(length, 8.0 * std::f64::consts::PI, max_relative = 1e-12);
        let upper = walls(&box_of([10.0, 20.0], [20.0, 30.0]), &plate, half, 1e-8);
        assert_eq!(upper.len(), 3);
    }
}
