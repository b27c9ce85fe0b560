//! From corners to an outline: straight sides, arcs through a point, rounded corners.
//!
//! Side `k` runs from corner `k − 1` to corner `k`; the side of the first corner closes the
//! chain. A fillet replaces its corner by an arc that touches both sides:
//!
//! ```text
//!   side k ──────╮  ← fillet, radius r; it takes r·tan(φ/2) of both sides,
//!                │    φ the turn at the corner
//!                side k + 1
//! ```
//!
//! Lengths in mm.

use std::fmt;

use crate::geometry::arc::{Arc, angle_of, apart, cross, dot, minus};
use crate::geometry::outline::Loop;
use crate::geometry::piece::Piece;

/// Share of a side's length that a fillet must leave; with less the side counts as gone.
const NOTHING_LEFT: f64 = 1e-6;
/// Turns smaller than this, radians, are no corner to be rounded.
const NO_TURN: f64 = 1e-3;

/// A corner of a drawing, and the side that ends there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Corner {
    /// Where it is, mm.
    pub at: [f64; 2],
    /// Radius that it is rounded with, mm.
    pub fillet: Option<f64>,
    /// A point that the side ending here passes through as an arc; none for a straight side.
    pub arc_through: Option<[f64; 2]>,
    /// Name of the side ending here.
    pub name: Option<String>,
}

/// A drawing that makes no chain. Corners are counted from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum DrawError {
    /// Fewer corners than enclose anything.
    TooFewCorners(usize),
    /// A corner lies on the one before it.
    Coincident(usize),
    /// The three points of an arc lie on a line or on each other.
    NoArc(usize),
    /// A fillet between sides that are not both straight.
    FilletAtArc(usize),
    /// A fillet where there is no corner, or one that turns back on itself.
    FilletAtNoCorner(usize),
    /// A fillet that takes more of a side than there is.
    FilletTooLarge {
        /// The corner.
        corner: usize,
        /// Its fillet, mm.
        radius: f64,
        /// The largest there is room for, other fillets as they are, mm.
        largest: f64,
    },
}

impl DrawError {
    /// The corner to look at; none when there are too few.
    #[must_use]
    pub fn corner(&self) -> Option<usize> {
        match *self {
            Self::TooFewCorners(_) => None,
            Self::Coincident(corner)
            | Self::NoArc(corner)
            | Self::FilletAtArc(corner)
            | Self::FilletAtNoCorner(corner)
            | Self::FilletTooLarge { corner, .. } => Some(corner),
        }
    }
}

impl fmt::Display for DrawError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewCorners(count) => write!(f, "{count} corners enclose nothing"),
            Self::Coincident(corner) => {
                write!(f, "corner {} lies on the one before it", corner + 1)
            }
            Self::NoArc(corner) => {
                write!(f, "the arc to corner {} has its three points on a line", corner + 1)
            }
            Self::FilletAtArc(corner) => {
                write!(f, "the fillet at corner {} is not between straight sides", corner + 1)
            }
            Self::FilletAtNoCorner(corner) => {
                write!(f, "the fillet at corner {} has no corner to round", corner + 1)
            }
            Self::FilletTooLarge { corner, radius, largest } => write!(
                f,
                "the fillet of {radius:.4} mm at corner {} is too large for its sides; there is \
                 room for {largest:.4} mm",
                corner + 1
            ),
        }
    }
}

impl std::error::Error for DrawError {}

/// A chain drawn from corners, and for every piece the corner it comes from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawn {
    /// The chain, run as the corners are.
    pub chain: Loop,
    /// Corner of each piece: where a side ends, or where a fillet is.
    pub corners: Vec<usize>,
}

impl Drawn {
    /// The same run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let corners = self.corners.iter().rev().copied().collect();
        Self { chain: self.chain.reversed(), corners }
    }
}

/// Joins corners to a chain. Sides without a name are called by `side_name` of their corner,
/// fillets by `fillet_name`.
///
/// # Errors
///
/// [`DrawError`] for the first corner that does not work.
pub fn draw(
    corners: &[Corner],
    side_name: impl Fn(usize) -> String,
    fillet_name: impl Fn(usize) -> String,
) -> Result<Drawn, DrawError> {
    let count = corners.len();
    let curved = corners.iter().any(|corner| corner.arc_through.is_some());
    if count < if curved { 2 } else { 3 } {
        return Err(DrawError::TooFewCorners(count));
    }
    let before = |k: usize| (k + count - 1) % count;
    let mut sides = Vec::with_capacity(count);
    for (k, corner) in corners.iter().enumerate() {
        let (from, to) = (corners[before(k)].at, corner.at);
        let name = corner.name.clone().unwrap_or_else(|| side_name(k));
        if apart(from, to) <= 0.0 {
            return Err(DrawError::Coincident(k));
        }
        let arc = match corner.arc_through {
            None => None,
            Some(middle) => Some(Arc::through(from, middle, to).ok_or(DrawError::NoArc(k))?),
        };
        sides.push(Piece { name, from, to, arc });
    }
    let rounding: Vec<Option<Rounding>> = (0..count)
        .map(|k| {
            let Some(radius) = corners[k].fillet else { return Ok(None) };
            Rounding::new(k, radius, &sides[k], &sides[(k + 1) % count]).map(Some)
        })
        .collect::<Result<_, _>>()?;
    let taken = |k: usize| rounding[k].as_ref().map_or(0.0, |round| round.taken);
    for (k, round) in rounding.iter().enumerate() {
        let Some(round) = round else { continue };
        let after = (k + 1) % count;
        let room = (sides[k].length() - taken(before(k)))
            .min(sides[after].length() - taken(after))
            .max(0.0);
        if round.taken > room * (1.0 + NOTHING_LEFT) {
            let largest = round.radius * room / round.taken;
            return Err(DrawError::FilletTooLarge { corner: k, radius: round.radius, largest });
        }
    }

    let mut drawn = Drawn::default();
    for k in 0..count {
        let mut side = sides[k].clone();
        if let Some(round) = &rounding[before(k)] {
            side.from = round.fillet.to;
        }
        if let Some(round) = &rounding[k] {
            side.to = round.fillet.from;
        }
        let left = sides[k].length() - taken(before(k)) - taken(k);
        if side.arc.is_some() || left > NOTHING_LEFT * sides[k].length() {
            drawn.chain.pieces.push(side);
            drawn.corners.push(k);
        }
        if let Some(round) = &rounding[k] {
            let fillet = Piece { name: fillet_name(k), ..round.fillet.clone() };
            drawn.chain.pieces.push(fillet);
            drawn.corners.push(k);
        }
    }
    // Where fillets have used up a side, they meet at one of two points that are equal but for
    // rounding.
    let pieces = &mut drawn.chain.pieces;
    for k in 0..pieces.len() {
        let end = pieces[(k + pieces.len() - 1) % pieces.len()].to;
        pieces[k].from = end;
    }
    Ok(drawn)
}

/// A fillet and what it takes of its sides.
struct Rounding {
    radius: f64,
    taken: f64,
    fillet: Piece,
}

impl Rounding {
    fn new(corner: usize, radius: f64, side: &Piece, next: &Piece) -> Result<Self, DrawError> {
        if side.arc.is_some() || next.arc.is_some() {
            return Err(DrawError::FilletAtArc(corner));
        }
        let (along, onward) = (side.tangent(1.0), next.tangent(0.0));
        let turn = cross(along, onward).atan2(dot(along, onward));
        if turn.abs() < NO_TURN || turn.abs() > std::f64::consts::PI - NO_TURN {
            return Err(DrawError::FilletAtNoCorner(corner));
        }
        let taken = radius * (0.5 * turn.abs()).tan();
        let at = side.to;
        let from = [at[0] - taken * along[0], at[1] - taken * along[1]];
        let to = [at[0] + taken * onward[0], at[1] + taken * onward[1]];
        let left = turn.signum() * radius;
        let centre = [from[0] - left * along[1], from[1] + left * along[0]];
        let first = angle_of(minus(from, centre));
        let arc = Some(Arc { centre, radius, first, sweep: turn });
        Ok(Self { radius, taken, fillet: Piece { name: String::new(), from, to, arc } })
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "consecutive pieces share the very same point")]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    fn corner(at: [f64; 2]) -> Corner {
        Corner { at, ..Corner::default() }
    }

    fn rounded(at: [f64; 2], radius: f64) -> Corner {
        Corner { fillet: Some(radius), ..corner(at) }
    }

    fn drawn(corners: &[Corner]) -> Result<Drawn, DrawError> {
        draw(corners, |k| format!("edge-{}", k + 1), |k| format!("corner-{}", k + 1))
    }

    #[test]
    fn a_rounded_square_has_its_area_and_its_names() {
        let corners = [[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]];
        let square = drawn(&corners.map(|at| rounded(at, 4.0))).expect("there is room");
        let names: Vec<&str> = square.chain.pieces.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names[..3], ["edge-1", "corner-1", "edge-2"]);
        assert_eq!(square.corners, [0, 0, 1, 1, 2, 2, 3, 3]);
        // What four fillets take away: (4 − π) r².
        assert_relative_eq!(square.chain.area(), 400.0 - (4.0 - PI) * 16.0, max_relative = 1e-14);
        let back = square.reversed();
        assert_relative_eq!(back.chain.area(), -square.chain.area(), max_relative = 1e-14);
        assert_eq!(back.corners[0], 3);
    }

    #[test]
    fn fillets_may_use_up_a_side() {
        let corners = [
            corner([0.0, 0.0]),
            rounded([30.0, 0.0], 5.0),
            rounded([30.0, 10.0], 5.0),
            corner([0.0, 10.0]),
        ];
        let lug = drawn(&corners).expect("a round end");
        assert_eq!(lug.chain.pieces.len(), 5);
        assert_relative_eq!(lug.chain.area(), 250.0 + 0.5 * PI * 25.0, max_relative = 1e-14);
        for (piece, next) in lug.chain.pieces.iter().zip(lug.chain.pieces.iter().cycle().skip(1)) {
            assert!(apart(piece.to, next.from) <= 0.0);
        }
        let wide = [
            corner([0.0, 0.0]),
            rounded([30.0, 0.0], 5.0),
            rounded([30.0, 10.0], 6.0),
            corner([0.0, 10.0]),
        ];
        let largest = match drawn(&wide) {
            Err(DrawError::FilletTooLarge { corner: 1, largest, .. }) => largest,
            other => panic!("{other:?}"),
        };
        assert_relative_eq!(largest, 4.0, max_relative = 1e-12);
    }

    #[test]
    fn a_reentrant_corner_is_filled_by_its_fillet() {
        let corners =
            [[0.0, 0.0], [30.0, 0.0], [30.0, 10.0], [10.0, 10.0], [10.0, 30.0], [0.0, 30.0]];
        let mut corners = corners.map(corner);
        corners[3].fillet = Some(3.0);
        let angle = drawn(&corners).expect("an angle");
        let area = 300.0 + 200.0 + (1.0 - 0.25 * PI) * 9.0;
        assert_relative_eq!(angle.chain.area(), area, max_relative = 1e-14);
    }

    #[test]
    fn arcs_pass_through_their_points_and_two_of_them_make_a_circle() {
        let half = |at, through| Corner { arc_through: Some(through), ..corner(at) };
        let circle = drawn(&[half([5.0, 0.0], [0.0, -5.0]), half([-5.0, 0.0], [0.0, 5.0])]);
        assert_relative_eq!(
            circle.expect("a circle").chain.area(),
            25.0 * PI,
            max_relative = 1e-14
        );
    }

    #[test]
    fn drawings_that_do_not_work_name_the_corner() {
        let square = [[0.0, 0.0], [20.0, 0.0], [20.0, 20.0], [0.0, 20.0]].map(corner);
        assert_eq!(drawn(&square[..2]), Err(DrawError::TooFewCorners(2)));
        let mut twice = square.to_vec();
        twice.insert(1, corner([0.0, 0.0]));
        assert_eq!(drawn(&twice), Err(DrawError::Coincident(1)));
        let mut flat = square.clone();
        flat[2].arc_through = Some([20.0, 10.0]);
        assert_eq!(drawn(&flat), Err(DrawError::NoArc(2)));
        let mut curved = square.clone();
        curved[2].arc_through = Some([22.0, 10.0]);
        curved[1].fillet = Some(1.0);
        assert_eq!(drawn(&curved), Err(DrawError::FilletAtArc(1)));
        let mut none = square.to_vec();
        none.insert(1, rounded([10.0, 0.0], 1.0));
        assert_eq!(drawn(&none), Err(DrawError::FilletAtNoCorner(1)));
    }
}
