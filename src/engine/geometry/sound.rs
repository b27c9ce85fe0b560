//! Whether an outline can be made: nothing crosses, nothing is too short, sharp or narrow.

use std::f64::consts::PI;
use std::fmt;

use crate::geometry::arc::{apart, cross, dot};
use crate::geometry::meet::{gap, meetings};
use crate::geometry::outline::{Loop, Loops};

/// Shortest piece, as a share of the larger extent of the plate. Shorter ones are slips of the
/// pen, and would draw the smallest elements where nothing happens.
const SHORTEST_PIECE: f64 = 1e-3;
/// Narrowest place between two pieces that are not neighbours, as a share of the same.
const NARROWEST_GAP: f64 = 1e-3;
/// Sharpest corner of metal or of air, radians: an element in a corner of 15° is about as
/// slender as one may be.
pub const SHARPEST_CORNER: f64 = PI / 12.0;
/// Points this close, as a share of the same, are one.
const SAME: f64 = 1e-9;
/// Neighbours may meet this close to their common corner, as a share of the same: arcs that
/// touch are known there to half the digits only.
const NEAR_CORNER: f64 = 1e-5;

/// A piece of the outline: chain 0 goes round the plate, the others round cut-outs.
#[derive(Clone, Debug, PartialEq)]
pub struct PieceRef {
    /// Number of the chain.
    pub chain: usize,
    /// Number of the piece in it, from 0.
    pub piece: usize,
    /// Its name.
    pub name: String,
}

/// An outline that cannot be made, or not modelled.
#[derive(Clone, Debug, PartialEq)]
pub enum OutlineError {
    /// A chain of fewer than two pieces, or one with a coordinate that is no number.
    NoChain {
        /// Number of the chain.
        chain: usize,
    },
    /// A chain that runs the wrong way round, or crosses itself like an eight.
    WrongWay {
        /// Number of the chain.
        chain: usize,
    },
    /// A piece is very short.
    Short {
        /// Which.
        piece: PieceRef,
        /// Its middle, mm.
        at: [f64; 2],
        /// Its length, mm.
        length: f64,
        /// The least accepted, mm.
        least: f64,
    },
    /// Two neighbours enclose a very sharp angle.
    Sharp {
        /// The piece that ends in the corner.
        piece: PieceRef,
        /// The corner, mm.
        at: [f64; 2],
        /// Angle between the two, radians.
        angle: f64,
    },
    /// Two pieces cross or touch.
    Crossing {
        /// Which.
        pieces: Box<[PieceRef; 2]>,
        /// Where, mm.
        at: [f64; 2],
    },
    /// Two pieces come very close.
    Narrow {
        /// Which.
        pieces: Box<[PieceRef; 2]>,
        /// Where, mm.
        at: [f64; 2],
        /// Distance between them, mm.
        width: f64,
        /// The least accepted, mm.
        least: f64,
    },
    /// A cut-out lies outside the plate or in another cut-out.
    Outside {
        /// A piece of it.
        piece: PieceRef,
        /// A point of it, mm.
        at: [f64; 2],
    },
}

impl fmt::Display for OutlineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoChain { chain } => write!(f, "chain {chain} of the outline is not closed"),
            Self::WrongWay { chain } => {
                write!(f, "chain {chain} of the outline runs the wrong way round")
            }
            Self::Short { piece, at: [x, y], length, least } => write!(
                f,
                "the edge `{}` at ({x:.4}, {y:.4}) mm is only {length:.4} mm long, least \
                 {least:.4} mm",
                piece.name
            ),
            Self::Sharp { piece, at: [x, y], angle } => write!(
                f,
                "the corner at ({x:.4}, {y:.4}) mm, where the edge `{}` ends, is too sharp: \
                 {:.1} degrees",
                piece.name,
                angle.to_degrees()
            ),
            Self::Crossing { pieces, at: [x, y] } => write!(
                f,
                "the edges `{}` and `{}` meet at ({x:.4}, {y:.4}) mm",
                pieces[0].name, pieces[1].name
            ),
            Self::Narrow { pieces, at: [x, y], width, least } => write!(
                f,
                "the edges `{}` and `{}` are only {width:.4} mm apart at ({x:.4}, {y:.4}) mm, \
                 least {least:.4} mm",
                pieces[0].name, pieces[1].name
            ),
            Self::Outside { piece, at: [x, y] } => write!(
                f,
                "the cut-out with edge `{}` at ({x:.4}, {y:.4}) mm is not in the metal of the plate",
                piece.name
            ),
        }
    }
}

impl std::error::Error for OutlineError {}

impl Loops {
    /// Whether a plate can have this outline.
    ///
    /// # Errors
    ///
    /// The first thing wrong, chain by chain: an [`OutlineError`].
    pub fn check(&self) -> Result<(), OutlineError> {
        for (number, chain) in self.chains().enumerate() {
            check_chain(number, chain)?;
        }
        let [low, high] = self.bounds();
        let extent = (high[0] - low[0]).max(high[1] - low[1]);
        for (number, chain) in self.chains().enumerate() {
            check_pieces(number, chain, extent)?;
        }
        for (first, a) in self.chains().enumerate() {
            for (second, b) in self.chains().enumerate().skip(first) {
                check_pair((first, a), (second, b), extent)?;
            }
        }
        for (number, chain) in self.chains().enumerate() {
            let right_way = if number == 0 { chain.area() > 0.0 } else { chain.area() < 0.0 };
            if !right_way {
                return Err(OutlineError::WrongWay { chain: number });
            }
        }
        for (number, chain) in self.inner.iter().enumerate() {
            let at = chain.pieces[0].point(0.5);
            let nested = self
                .inner
                .iter()
                .enumerate()
                .any(|(other, outer)| other != number && outer.surrounds(at));
            if nested || !self.outer.surrounds(at) {
                return Err(OutlineError::Outside { piece: refer(number + 1, chain, 0), at });
            }
        }
        Ok(())
    }
}

fn refer(number: usize, chain: &Loop, piece: usize) -> PieceRef {
    PieceRef { chain: number, piece, name: chain.pieces[piece].name.clone() }
}

/// Whether the pieces follow each other and are made of numbers.
fn check_chain(number: usize, chain: &Loop) -> Result<(), OutlineError> {
    let count = chain.pieces.len();
    let closed = chain.pieces.iter().enumerate().all(|(k, piece)| {
        let length = piece.length();
        let miss = apart(piece.to, chain.pieces[(k + 1) % count].from);
        // An arc that does not begin or end where the piece does would tear the metal.
        let torn = piece.arc.map_or(0.0, |arc| {
            apart(arc.point(0.0), piece.from).max(apart(arc.point(1.0), piece.to))
        });
        length.is_finite() && miss <= SAME * length && torn <= NEAR_CORNER * length
    });
    if count < 2 || !closed { Err(OutlineError::NoChain { chain: number }) } else { Ok(()) }
}

fn check_pieces(number: usize, chain: &Loop, extent: f64) -> Result<(), OutlineError> {
    let count = chain.pieces.len();
    let least = SHORTEST_PIECE * extent;
    for (k, piece) in chain.pieces.iter().enumerate() {
        let length = piece.length();
        if length < least {
            let at = piece.point(0.5);
            return Err(OutlineError::Short { piece: refer(number, chain, k), at, length, least });
        }
        let (before, after) = (piece.tangent(1.0), chain.pieces[(k + 1) % count].tangent(0.0));
        let turn = cross(before, after).atan2(dot(before, after)).abs();
        if PI - turn < SHARPEST_CORNER {
            let piece = refer(number, chain, k);
            let at = chain.pieces[k].to;
            return Err(OutlineError::Sharp { piece, at, angle: PI - turn });
        }
    }
    Ok(())
}

fn check_pair(
    (first, a): (usize, &Loop),
    (second, b): (usize, &Loop),
    extent: f64,
) -> Result<(), OutlineError> {
    let (slack, near) = (SAME * extent, NEAR_CORNER * extent);
    let least = NARROWEST_GAP * extent;
    for (i, one) in a.pieces.iter().enumerate() {
        let start = if first == second { i + 1 } else { 0 };
        for (j, other) in b.pieces.iter().enumerate().skip(start) {
            let pieces = || Box::new([refer(first, a, i), refer(second, b, j)]);
            let count = a.pieces.len();
            let joined = |k: usize, l: usize| first == second && (k + 1) % count == l;
            let mut common = vec![];
            if joined(i, j) {
                common.push(one.to);
            }
            if joined(j, i) {
                common.push(other.to);
            }
            let met = meetings(one, other, slack)
                .into_iter()
                .find(|at| common.iter().all(|corner| apart(*at, *corner) > near));
            if let Some(at) = met {
                return Err(OutlineError::Crossing { pieces: pieces(), at });
            }
            if common.is_empty() {
                let narrow = gap(one, other);
                if narrow.width < least {
                    let [p, q] = narrow.ends;
                    let at = [0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])];
                    let width = narrow.width;
                    return Err(OutlineError::Narrow { pieces: pieces(), at, width, least });
                }
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::piece::Piece;

    fn polygon(corners: &[[f64; 2]]) -> Loop {
        let next = |k: usize| corners[(k + 1) % corners.len()];
        let pieces = corners
            .iter()
            .enumerate()
            .map(|(k, at)| Piece::straight(&format!("{k}"), *at, next(k)));
        Loop { pieces: pieces.collect() }
    }

    fn check(outer: Loop, inner: Vec<Loop>) -> Result<(), OutlineError> {
        Loops { outer, inner }.check()
    }

    const SQUARE: [[f64; 2]; 4] = [[0.0, 0.0], [40.0, 0.0], [40.0, 40.0], [0.0, 40.0]];

    #[test]
    fn sound_outlines_pass() {
        for loops in [Loops::rectangle(3.0, 60.0), Loops::disc(7.0)] {
            assert_eq!(loops.check(), Ok(()));
        }
        let window = Loop::circle("window", [20.0, 20.0], 8.0).reversed();
        let slot = Loop::slot("slot", [20.0, 33.0], [28.0, 35.0], 4.0).reversed();
        assert_eq!(check(polygon(&SQUARE), vec![window, slot]), Ok(()));
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        let eight = check(polygon(&[[0.0, 0.0], [40.0, 40.0], [40.0, 0.0], [0.0, 30.0]]), vec![]);
        assert!(matches!(eight, Err(OutlineError::Crossing { .. })), "{eight:?}");
        let mut turned = SQUARE;
        turned.reverse();
        assert_eq!(check(polygon(&turned), vec![]), Err(OutlineError::WrongWay { chain: 0 }));
        let spike = check(polygon(&[[0.0, 0.0], [40.0, 0.0], [0.0, 5.0]]), vec![]);
        assert!(matches!(spike, Err(OutlineError::Sharp { at: [40.0, 0.0], .. })), "{spike:?}");
        let tiny = check(polygon(&[[0.0, 0.0], [40.0, 0.0], [40.0, 0.01], [20.0, 30.0]]), vec![]);
        assert!(matches!(tiny, Err(OutlineError::Short { length, .. }) if length < 0.011));
        let across = Loop::circle("window", [36.0, 20.0], 8.0).reversed();
        let across = check(polygon(&SQUARE), vec![across]);
        assert!(matches!(across, Err(OutlineError::Crossing { .. })), "{across:?}");
        let close = Loop::circle("window", [31.99, 20.0], 8.0).reversed();
        let close = check(polygon(&SQUARE), vec![close]);
        assert!(matches!(close, Err(OutlineError::Narrow { .. })), "{close:?}");
        let away = Loop::circle("window", [80.0, 20.0], 8.0).reversed();
        let away = check(polygon(&SQUARE), vec![away]);
        assert!(matches!(away, Err(OutlineError::Outside { .. })), "{away:?}");
        let in_it = |r| Loop::circle("window", [20.0, 20.0], r).reversed();
        let nested = check(polygon(&SQUARE), vec![in_it(8.0), in_it(4.0)]);
        assert!(matches!(nested, Err(OutlineError::Outside { .. })), "{nested:?}");
        let mut torn = polygon(&SQUARE);
        torn.pieces[1].to = [39.0, 40.0];
        assert_eq!(check(torn, vec![]), Err(OutlineError::NoChain { chain: 0 }));
    }
}
