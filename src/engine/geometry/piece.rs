//! Pieces of an outline: straight lines and circular arcs, each with a name.
//!
//! Lengths in mm. A piece runs from its start to its end; in a closed outline the metal lies on
//! its left. A place on a piece is a share of its length, 0 to 1.

use serde::{Deserialize, Serialize};

use crate::geometry::arc::{Arc, angle_of, apart, cross, dot, minus};

/// A centre this close to a point, as a share of the radius, is there: the whole arc is then
/// equally far away.
const CENTRED: f64 = 1e-9;

/// A straight line or an arc between two corners of an outline.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// Name of the edge it belongs to; neighbours may share it.
    pub name: String,
    /// Start, mm.
    pub from: [f64; 2],
    /// End, mm.
    pub to: [f64; 2],
    /// The arc between them; none for a straight line.
    pub arc: Option<Arc>,
}

impl Piece {
    /// A straight piece.
    #[must_use]
    pub fn straight(name: &str, from: [f64; 2], to: [f64; 2]) -> Self {
        Self { name: name.to_owned(), from, to, arc: None }
    }

    /// A curved piece that ends where its arc does.
    #[must_use]
    pub(crate) fn curved(name: &str, arc: Arc) -> Self {
        let (from, to) = (arc.point(0.0), arc.point(1.0));
        Self { name: name.to_owned(), from, to, arc: Some(arc) }
    }

    /// Length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.arc.map_or(apart(self.from, self.to), |arc| arc.length())
    }

    /// The point at `share` of the length. Ends are exact, and lines along an axis keep the
    /// other coordinate exactly.
    #[must_use]
    pub fn point(&self, share: f64) -> [f64; 2] {
        if share <= 0.0 {
            return self.from;
        }
        if share >= 1.0 {
            return self.to;
        }
        match self.arc {
            None => [0, 1].map(|axis| self.from[axis] + share * (self.to[axis] - self.from[axis])),
            Some(arc) => arc.point(share),
        }
    }

    /// Unit vector along the piece at `share` of its length.
    #[must_use]
    pub fn tangent(&self, share: f64) -> [f64; 2] {
        match self.arc {
            None => {
                let [x, y] = minus(self.to, self.from);
                let length = x.hypot(y);
                [x / length, y / length]
            }
            Some(arc) => {
                let (sine, cosine) = (arc.first + share * arc.sweep).sin_cos();
                let sign = arc.sweep.signum();
                [-sign * sine, sign * cosine]
            }
        }
    }

    /// Share of the length at which the piece is nearest to `point`.
    ///
    /// When the whole arc is equally near, an axis that it crosses is taken: +x, +y, −x, −y,
    /// the first of them; else its middle.
    #[must_use]
    pub(crate) fn nearest_share(&self, point: [f64; 2]) -> f64 {
        let Some(arc) = self.arc else {
            let along = minus(self.to, self.from);
            let square = dot(along, along);
            let share =
                if square > 0.0 { dot(minus(point, self.from), along) / square } else { 0.0 };
            return share.clamp(0.0, 1.0);
        };
        let from_centre = minus(point, arc.centre);
        if from_centre[0].hypot(from_centre[1]) <= CENTRED * arc.radius {
            let axes = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]];
            return axes.iter().find_map(|axis| arc.share_at(angle_of(*axis))).unwrap_or(0.5);
        }
        arc.share_at(angle_of(from_centre)).unwrap_or_else(|| {
            if apart(point, self.from) <= apart(point, self.to) { 0.0 } else { 1.0 }
        })
    }

    /// Distance of `point` from the piece, mm.
    #[must_use]
    pub fn distance(&self, point: [f64; 2]) -> f64 {
        apart(point, self.point(self.nearest_share(point)))
    }

    /// The part between two shares of the length.
    #[must_use]
    pub fn part(&self, from: f64, to: f64) -> Self {
        let arc = self.arc.map(|arc| Arc {
            first: arc.first + from * arc.sweep,
            sweep: (to - from) * arc.sweep,
            ..arc
        });
        Self { name: self.name.clone(), from: self.point(from), to: self.point(to), arc }
    }

    /// The piece run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let arc =
            self.arc.map(|arc| Arc { first: arc.first + arc.sweep, sweep: -arc.sweep, ..arc });
        Self { name: self.name.clone(), from: self.to, to: self.from, arc }
    }

    /// Lower left and upper right corner of the box round the piece.
    #[must_use]
    pub fn bounds(&self) -> [[f64; 2]; 2] {
        let mut low = [0, 1].map(|axis| self.from[axis].min(self.to[axis]));
        let mut high = [0, 1].map(|axis| self.from[axis].max(self.to[axis]));
        if let Some(arc) = self.arc {
            for axis in 0..2 {
                for sign in [-1.0, 1.0] {
                    let mut towards = [0.0; 2];
                    towards[axis] = sign;
                    if arc.share_at(angle_of(towards)).is_some() {
                        let reach = arc.centre[axis] + sign * arc.radius;
                        low[axis] = low[axis].min(reach);
                        high[axis] = high[axis].max(reach);
                    }
                }
            }
        }
        [low, high]
    }

    /// Contribution of the piece to twice the area of the closed chain it belongs to, mm².
    #[must_use]
    pub(crate) fn doubled_area(&self) -> f64 {
        cross(self.from, self.to) + self.arc.map_or(0.0, |arc| 2.0 * arc.segment_area())
    }

    /// Whether the line from `point` towards +x crosses the piece an odd number of times, ends
    /// counted so that closed chains come out right: counted at the chord, and once more when
    /// `point` lies between chord and arc.
    #[must_use]
    #[allow(clippy::float_cmp, reason = "ends of a level piece are equal as drawn, or not level")]
    pub(crate) fn crosses_line_right_of(&self, point: [f64; 2]) -> bool {
        let (a, b) = (self.from, self.to);
        let (upward, downward) =
            (a[1] <= point[1] && point[1] < b[1], b[1] <= point[1] && point[1] < a[1]);
        let side = cross(minus(b, a), minus(point, a));
        let chord = (upward && side > 0.0) || (downward && side < 0.0);
        let Some(arc) = self.arc else { return chord };
        // A point on the chord counts as right of it in the sense of +x, as above.
        let right = side < 0.0 || (side == 0.0 && (a[1] < b[1] || (a[1] <= b[1] && b[0] < a[0])));
        let beyond_chord = right == (arc.sweep > 0.0);
        let in_circle = apart(point, arc.centre) < arc.radius;
        chord != (beyond_chord && in_circle)
    }
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "exact by construction")]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn half_circle() -> Piece {
        Piece::curved("end", Arc { centre: [1.0, 2.0], radius: 3.0, first: -FRAC_PI_2, sweep: PI })
    }

    #[test]
    fn the_nearest_point_of_an_arc_lies_on_the_way_from_its_centre_or_is_an_end() {
        let piece = half_circle();
        assert_relative_eq!(piece.distance([9.0, 2.0]), 5.0);
        assert_relative_eq!(piece.distance([2.0, 2.0]), 2.0);
        assert_relative_eq!(piece.distance([-3.0, 5.0]), 4.0);
        // All equally far: +x is on the arc.
        assert!(apart(piece.point(piece.nearest_share([1.0, 2.0])), [4.0, 2.0]) < 1e-15);
    }

    #[test]
    fn parts_and_reversal_keep_to_the_curve() {
        let piece = half_circle();
        let part = piece.part(0.25, 0.75);
        assert_relative_eq!(part.length(), 0.5 * piece.length());
        assert!(apart(part.point(0.5), [4.0, 2.0]) < 1e-14);
        let back = piece.reversed();
        assert!(apart(back.point(0.3), piece.point(0.7)) < 1e-14);
        assert_relative_eq!(back.doubled_area(), -piece.doubled_area(), max_relative = 1e-14);
        let [low, high] = piece.bounds();
        assert!(apart(low, [1.0, -1.0]) < 1e-14 && apart(high, [4.0, 5.0]) < 1e-14);
        assert!(apart(piece.tangent(0.5), [0.0, 1.0]) < 1e-14);
    }
}
