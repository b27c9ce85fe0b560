//! The boundary of the part of an outline that its mirror lines leave to be modelled.
//!
//! ```text
//!        ┌───────┐            mirror line x = c: pieces beyond it are dropped, those across
//!        │   c   │            it are cut exactly on it, and where metal lies on the line a
//!        ├ ─ ┬───┤ c'         stretch of it closes the boundary. Two lines: one after the
//!        │   │ ← modelled     other, and the point (c, c') is a corner when it is metal.
//!        └───┴───┘
//! ```

use std::f64::consts::TAU;

use crate::geometry::arc::apart;
use crate::geometry::outline::Loops;
use crate::geometry::piece::Piece;
use crate::mesh::topology::Symmetry;

/// A stretch of boundary between two corners, metal on its left.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// Whether it lies on a mirror line; its piece then has no name.
    pub(crate) mirror: bool,
    /// Where it runs.
    pub(crate) piece: Piece,
}

/// The boundary of the modelled part: the pieces of the outline, then the mirror lines, holes
/// disregarded. Points within `slack` (mm) of a mirror line are put on it.
pub(crate) fn stretches(loops: &Loops, symmetry: Symmetry, slack: f64) -> Vec<Stretch> {
    let lines: Vec<(usize, f64)> = [symmetry.x, symmetry.y]
        .into_iter()
        .enumerate()
        .filter_map(|(axis, line)| line.map(|line| (axis, line)))
        .collect();
    let mut pieces: Vec<Piece> = loops.pieces().cloned().collect();
    for &(axis, line) in &lines {
        pieces = pieces.iter().flat_map(|piece| cut(piece, axis, line, slack)).collect();
    }
    let crossing = symmetry.x.zip(symmetry.y).map(|(x, y)| [x, y]);
    let mirrors = lines.iter().flat_map(|&(axis, line)| {
        let from = if axis == 0 { symmetry.y } else { symmetry.x };
        closing(loops, &pieces, (axis, line), crossing, from, slack)
    });
    let mirrors: Vec<Piece> = mirrors.collect();
    let outline = pieces.into_iter().map(|piece| Stretch { mirror: false, piece });
    outline.chain(mirrors.into_iter().map(|piece| Stretch { mirror: true, piece })).collect()
}

/// The parts of a piece where coordinate `axis` is not less than `line`.
pub(crate) fn cut(piece: &Piece, axis: usize, line: f64, slack: f64) -> Vec<Piece> {
    let mut shares = match piece.arc {
        None => {
            let (from, to) = (piece.from[axis] - line, piece.to[axis] - line);
            if from * to < 0.0 { vec![from / (from - to)] } else { vec![] }
        }
        Some(arc) => {
            let cosine = (line - arc.centre[axis]) / arc.radius;
            if cosine.abs() < 1.0 {
                let (turn, start) = (cosine.acos(), if axis == 0 { 0.0 } else { 0.25 * TAU });
                [start - turn, start + turn].iter().filter_map(|at| arc.share_at(*at)).collect()
            } else {
                vec![]
            }
        }
    };
    // A cut at an end of the piece is no cut.
    shares.retain(|share| {
        let at = piece.point(*share);
        apart(at, piece.from) > slack && apart(at, piece.to) > slack
    });
    shares.extend([0.0, 1.0]);
    shares.sort_by(f64::total_cmp);
    let onto = |mut point: [f64; 2], is_cut: bool| {
        if is_cut || (point[axis] - line).abs() <= slack {
            point[axis] = line;
        }
        point
    };
    let last = shares.len() - 2;
    let parts = shares.windows(2).enumerate().map(|(k, pair)| {
        let mut part = piece.part(pair[0], pair[1]);
        part.from = onto(part.from, k > 0);
        part.to = onto(part.to, k < last);
        part
    });
    parts.filter(|part| part.point(0.5)[axis] > line).collect()
}

/// The stretches of a mirror line that are metal, run so that the modelled part is on the left.
fn closing(
    loops: &Loops,
    pieces: &[Piece],
    (axis, line): (usize, f64),
    crossing: Option<[f64; 2]>,
    from: Option<f64>,
    slack: f64,
) -> Vec<Piece> {
    let along = 1 - axis;
    let ends = pieces.iter().flat_map(|piece| [piece.from, piece.to]);
    // They were put there exactly.
    #[allow(clippy::float_cmp)]
    let mut stops: Vec<[f64; 2]> = ends.filter(|at| at[axis] == line).collect();
    stops.extend(crossing);
    stops.retain(|at| from.is_none_or(|from| at[along] >= from));
    stops.sort_by(|a, b| a[along].total_cmp(&b[along]));
    stops.dedup_by(|next, before| next[along] - before[along] <= slack);
    let mut metal: Vec<Piece> = stops
        .windows(2)
        .filter(|pair| {
            let middle = [0, 1].map(|k| 0.5 * (pair[0][k] + pair[1][k]));
            loops.surround(middle)
        })
        // The part kept lies at larger x, left of a line run downward, or at larger y, left of
        // one run to the right.
        .map(|pair| {
            let (from, to) = if axis == 0 { (pair[1], pair[0]) } else { (pair[0], pair[1]) };
            Piece::straight("", from, to)
        })
        .collect();
    if axis == 0 {
        metal.reverse();
    }
    metal
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "consecutive stretches share the very same point")]
mod tests {
    use super::*;
    use crate::geometry::outline::Loop;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    fn slotted() -> Loops {
        let mut loops = Loops::rectangle(60.0, 40.0);
        loops.inner.push(Loop::slot("slot", [25.0, 20.0], [35.0, 20.0], 6.0).reversed());
        loops
    }

    fn area(stretches: &[Stretch]) -> f64 {
        0.5 * stretches.iter().map(|stretch| stretch.piece.doubled_area()).sum::<f64>()
    }

    /// Every point where a stretch ends is one where exactly one other begins.
    fn is_closed(stretches: &[Stretch]) -> bool {
        stretches.iter().all(|one| {
            let next =
                stretches.iter().filter(|other| apart(other.piece.from, one.piece.to) <= 0.0);
            next.count() == 1
        })
    }

    #[test]
    fn halves_and_quarters_are_closed_and_have_their_share_of_the_area() {
        let lines =
            [(None, None), (Some(30.0), None), (None, Some(20.0)), (Some(30.0), Some(20.0))];
        for (x, y) in lines {
            let symmetry = Symmetry { x, y };
            let parts = stretches(&slotted(), symmetry, 1e-8);
            assert!(is_closed(&parts), "{symmetry:?}: {parts:#?}");
            let copies = f64::from(u32::try_from(symmetry.copies()).expect("four at most"));
            let whole = 2400.0 - 60.0 - 9.0 * PI;
            assert_relative_eq!(copies * area(&parts), whole, max_relative = 1e-12);
            for part in &parts {
                for at in [part.piece.from, part.piece.to] {
                    assert!(x.is_none_or(|x| at[0] >= x) && y.is_none_or(|y| at[1] >= y));
                }
            }
        }
    }

    #[test]
    fn a_mirror_line_through_a_cut_out_has_a_stretch_on_either_side() {
        let parts = stretches(&slotted(), Symmetry { x: Some(30.0), y: None }, 1e-8);
        let mirrors: Vec<&Piece> =
            parts.iter().filter(|part| part.mirror).map(|part| &part.piece).collect();
        assert_eq!(mirrors.len(), 2);
        assert_eq!((mirrors[0].from, mirrors[0].to), ([30.0, 40.0], [30.0, 23.0]));
        assert_eq!((mirrors[1].from, mirrors[1].to), ([30.0, 17.0], [30.0, 0.0]));
    }

    #[test]
    fn a_quarter_disc_has_three_stretches() {
        let parts = stretches(&Loops::disc(50.0), Symmetry { x: Some(0.0), y: Some(0.0) }, 1e-8);
        assert!(is_closed(&parts));
        assert_eq!(parts.len(), 3);
        assert_relative_eq!(area(&parts), 0.25 * PI * 625.0, max_relative = 1e-12);
    }
}
