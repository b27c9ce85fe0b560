//! Circular arcs.
//!
//! An arc turns from its first angle by its sweep, counter-clockwise when that is positive.
//! Lengths in mm, angles in radians.

use std::f64::consts::{FRAC_PI_2, TAU};

use serde::{Deserialize, Serialize};

/// Angles this close to a quarter turn are one, radians.
const QUARTER: f64 = 1e-9;
/// Angles this little outside an arc still belong to it, radians.
const SLACK: f64 = 1e-9;
/// Three points whose triangle is this flat, as twice its area over its longest side squared,
/// lie on a line: the radius of their circle would be over a hundred times its chord.
const FLAT: f64 = 1e-3;

/// Part of a circle, or all of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Arc {
    /// Centre, mm.
    pub centre: [f64; 2],
    /// Radius, mm.
    pub radius: f64,
    /// Angle of its first point about the centre.
    pub first: f64,
    /// How far it turns, positive counter-clockwise, a full turn at most.
    pub sweep: f64,
}

/// Unit vector at `angle`, exact at quarter turns so that mirror lines are met exactly.
#[must_use]
pub fn direction(angle: f64) -> [f64; 2] {
    let quarters = (angle / FRAC_PI_2).round();
    if (angle - quarters * FRAC_PI_2).abs() > QUARTER {
        return [angle.cos(), angle.sin()];
    }
    let turned = quarters.rem_euclid(4.0);
    if turned < 0.5 {
        [1.0, 0.0]
    } else if turned < 1.5 {
        [0.0, 1.0]
    } else if turned < 2.5 {
        [-1.0, 0.0]
    } else {
        [0.0, -1.0]
    }
}

impl Arc {
    /// The arc from `from` over `middle` to `to`; `None` when they lie on a line, coincide, or
    /// are too close to a line to tell the circle.
    #[must_use]
    pub fn through(from: [f64; 2], middle: [f64; 2], to: [f64; 2]) -> Option<Self> {
        let (a, b) = (minus(middle, from), minus(to, from));
        let doubled_area = cross(a, b);
        let (aa, bb) = (dot(a, a), dot(b, b));
        let longest = aa.max(bb).max(dot(minus(b, a), minus(b, a)));
        // Not a number fails this too.
        if !(doubled_area.abs() > FLAT * longest && aa.min(bb) > 0.0) {
            return None;
        }
        let half = 0.5 / doubled_area;
        let offset = [half * (b[1] * aa - a[1] * bb), half * (a[0] * bb - b[0] * aa)];
        let centre = [from[0] + offset[0], from[1] + offset[1]];
        let angle = |point| angle_of(minus(point, centre));
        let first = angle(from);
        let turn = (angle(to) - first).rem_euclid(TAU);
        let sweep = if doubled_area > 0.0 { turn } else { turn - TAU };
        Some(Self { centre, radius: offset[0].hypot(offset[1]), first, sweep })
    }

    /// Length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.radius * self.sweep.abs()
    }

    /// The point after `share` of the sweep.
    #[must_use]
    pub fn point(&self, share: f64) -> [f64; 2] {
        let [x, y] = direction(self.first + share * self.sweep);
        [self.centre[0] + self.radius * x, self.centre[1] + self.radius * y]
    }

    /// Share of the sweep after which the arc is at `angle`, when it gets there; 0 to 1.
    #[must_use]
    pub(crate) fn share_at(&self, angle: f64) -> Option<f64> {
        let turn = ((angle - self.first) * self.sweep.signum()).rem_euclid(TAU);
        let sweep = self.sweep.abs();
        if turn <= sweep + SLACK {
            Some((turn / sweep).min(1.0))
        } else {
            (TAU - turn <= SLACK).then_some(0.0)
        }
    }

    /// Area between arc and chord, positive when the arc turns counter-clockwise, mm².
    #[must_use]
    pub(crate) fn segment_area(&self) -> f64 {
        0.5 * self.radius * self.radius * (self.sweep - self.sweep.sin())
    }
}

/// Angle of a vector in `(−π, π]`.
pub(crate) fn angle_of(vector: [f64; 2]) -> f64 {
    vector[1].atan2(vector[0])
}

pub(crate) fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

pub(crate) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(crate) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Distance of two points.
#[must_use]
pub fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    #[test]
    fn three_points_make_an_arc_in_their_order() {
        for (middle, sweep) in [([0.0, 5.0], PI), ([0.0, -5.0], -PI)] {
            let arc = Arc::through([5.0, 0.0], middle, [-5.0, 0.0]).expect("a half circle");
            assert_relative_eq!(arc.radius, 5.0, max_relative = 1e-14);
            assert_relative_eq!(arc.sweep, sweep, max_relative = 1e-14);
            assert!(apart(arc.point(0.5), middle) < 1e-14);
            assert!(apart(arc.point(1.0), [-5.0, 0.0]) < 1e-14);
        }
        let far = Arc::through([1e4 + 1.0, 7.0], [1e4, 8.0], [1e4 - 1.0, 7.0]).expect("shifted");
        assert!(apart(far.centre, [1e4, 7.0]) < 1e-11);
        let most = Arc::through([3.0, 0.0], [-3.0, 0.0], [0.0, -3.0]).expect("three quarters");
        assert_relative_eq!(most.sweep, 1.5 * PI, max_relative = 1e-14);
    }

    #[test]
    fn points_on_a_line_or_on_each_other_make_no_arc() {
        let refused = |a, b, c| assert_eq!(Arc::through(a, b, c), None);
        refused([0.0, 0.0], [1.0, 1.0], [2.0, 2.0]);
        refused([0.0, 0.0], [0.0, 0.0], [2.0, 2.0]);
        refused([0.0, 0.0], [1.0, 1.0], [0.0, 0.0]);
        refused([0.0, 0.0], [3.0, 1.0], [3.0, 1.0]);
        refused([0.0, 0.0], [f64::NAN, 1.0], [3.0, 1.0]);
    }

    #[test]
    fn an_arc_knows_which_angles_it_passes() {
        let arc = Arc { centre: [0.0; 2], radius: 1.0, first: 0.5 * PI, sweep: -PI };
        assert_relative_eq!(arc.share_at(0.0).expect("half-way"), 0.5);
        assert_eq!(arc.share_at(PI), None);
        assert_relative_eq!(arc.share_at(-0.5 * PI).expect("the end"), 1.0);
        assert_relative_eq!(arc.share_at(0.5 * PI + 1e-12).expect("the start"), 0.0);
        assert_relative_eq!(arc.segment_area(), -0.5 * PI);
    }
}
