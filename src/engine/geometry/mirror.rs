//! Whether an outline is its own mirror image.
//!
//! Neighbouring pieces that lie on one line or one circle are joined first, so that it does not
//! matter where a drawing has its corners.

use std::f64::consts::TAU;

use crate::geometry::arc::{Arc, apart, cross, dot, minus};
use crate::geometry::outline::{Loop, Loops};
use crate::geometry::piece::Piece;

/// Directions this close are one, radians.
const STRAIGHT_ON: f64 = 1e-9;

impl Loops {
    /// Whether the boundary mirrors about the line where coordinate `axis` (0 for x) equals
    /// `line`, within `slack` mm, and `label` of the edge names mirrors with it. With `|_| ()`
    /// the shape alone counts.
    #[must_use]
    pub(crate) fn mirrors<L: PartialEq>(
        &self,
        axis: usize,
        line: f64,
        slack: f64,
        label: impl Fn(&str) -> L,
    ) -> bool {
        let runs: Vec<(Piece, L)> =
            self.chains().flat_map(|chain| joined(chain, slack, &label)).collect();
        runs.iter().all(|(piece, own)| {
            let image = mirrored(piece, axis, line);
            runs.iter().any(|(other, label)| own == label && same(&image, other, slack))
        })
    }
}

/// The piece mirrored, and reversed so that the metal stays on its left.
fn mirrored(piece: &Piece, axis: usize, line: f64) -> Piece {
    let flip = |mut point: [f64; 2]| {
        point[axis] = 2.0 * line - point[axis];
        point
    };
    let arc = piece.arc.map(|arc| {
        let last = arc.first + arc.sweep;
        let first = if axis == 0 { std::f64::consts::PI - last } else { -last };
        Arc { centre: flip(arc.centre), first, ..arc }
    });
    Piece { name: piece.name.clone(), from: flip(piece.to), to: flip(piece.from), arc }
}

fn same(a: &Piece, b: &Piece, slack: f64) -> bool {
    let full = |piece: &Piece| piece.arc.filter(|arc| arc.sweep.abs() >= TAU - STRAIGHT_ON);
    if let (Some(one), Some(other)) = (full(a), full(b)) {
        // A full circle begins anywhere.
        return apart(one.centre, other.centre) <= slack
            && (one.radius - other.radius).abs() <= slack;
    }
    apart(a.from, b.from) <= slack
        && apart(a.to, b.to) <= slack
        && apart(a.point(0.5), b.point(0.5)) <= slack
}

/// The pieces of a chain, neighbours with the same label joined where they go straight on.
fn joined<L: PartialEq>(chain: &Loop, slack: f64, label: &impl Fn(&str) -> L) -> Vec<(Piece, L)> {
    let mut runs: Vec<(Piece, L)> = vec![];
    for piece in &chain.pieces {
        let own = label(&piece.name);
        match runs.last_mut() {
            Some((last, label)) if *label == own && goes_on(last, piece, slack) => {
                *last = join(last, piece);
            }
            _ => runs.push((piece.clone(), own)),
        }
    }
    // The chain is closed: its end may go on into its beginning.
    if let [(first, one), .., (last, other)] = runs.as_slice()
        && one == other
        && goes_on(last, first, slack)
    {
        runs[0].0 = join(last, first);
        runs.pop();
    }
    runs
}

fn goes_on(a: &Piece, b: &Piece, slack: f64) -> bool {
    let (before, after) = (a.tangent(1.0), b.tangent(0.0));
    if cross(before, after).abs() > STRAIGHT_ON || dot(before, after) < 0.0 {
        return false;
    }
    match (a.arc, b.arc) {
        (None, None) => {
            // A slope within rounding adds up over a length; the far end must fit too.
            let across = cross(before, minus(b.to, a.from));
            across.abs() <= slack
        }
        (Some(one), Some(other)) => {
            apart(one.centre, other.centre) <= slack
                && (one.radius - other.radius).abs() <= slack
                && one.sweep * other.sweep > 0.0
        }
        _ => false,
    }
}

fn join(a: &Piece, b: &Piece) -> Piece {
    let arc = a.arc.zip(b.arc).map(|(one, other)| Arc { sweep: one.sweep + other.sweep, ..one });
    Piece { name: a.name.clone(), from: a.from, to: b.to, arc }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_mirror_about_their_middle_and_nowhere_else() {
        let plate = Loops::rectangle(60.0, 40.0);
        assert!(plate.mirrors(0, 30.0, 1e-9, |_| ()));
        assert!(plate.mirrors(1, 20.0, 1e-9, |_| ()));
        assert!(!plate.mirrors(0, 29.0, 1e-9, |_| ()));
        assert!(Loops::disc(50.0).mirrors(0, 0.0, 1e-9, |_| ()));
        let mut window = plate.clone();
        window.inner.push(Loop::slot("slot", [20.0, 20.0], [30.0, 20.0], 6.0).reversed());
        assert!(!window.mirrors(0, 30.0, 1e-9, |_| ()));
        assert!(window.mirrors(1, 20.0, 1e-9, |_| ()));
    }

    #[test]
    fn a_corner_in_the_middle_of_a_side_does_not_matter_unless_its_label_does() {
        let corners = [[0.0, 0.0], [10.0, 0.0], [60.0, 0.0], [60.0, 40.0], [0.0, 40.0]];
        let names = ["tab", "bottom", "right", "top", "left"];
        let pieces = (0..5).map(|k| Piece::straight(names[k], corners[k], corners[(k + 1) % 5]));
        let plate = Loops { outer: Loop { pieces: pieces.collect() }, inner: vec![] };
        assert!(plate.mirrors(0, 30.0, 1e-9, |_| ()));
        assert!(!plate.mirrors(0, 30.0, 1e-9, |name| name == "tab"));
        assert!(plate.mirrors(0, 30.0, 1e-9, |name| name == "left" || name == "right"));
        assert!(!plate.mirrors(0, 30.0, 1e-9, |name| name == "left"));
    }
}
