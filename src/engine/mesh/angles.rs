//! Where the sectors of a hole's rings begin and end.
//!
//! The quarter angles, the plan's key angles and the ends of its gap are element corners.
//! Between them sectors are as wide as wanted, narrower in the gap, and grow gently from
//! narrow to wide.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::mesh::grade::subdivide;
use crate::mesh::plan::HolePlan;
use crate::mesh::topology::Symmetry;

/// Angles closer than this are one corner, radians.
const SAME: f64 = 1e-7;
/// Elements that a gap is given at least.
const GAP_ELEMENTS: f64 = 4.0;
/// Growth of the sector width along the circle: neighbours differ by a fifth at most.
const GROWTH: f64 = 0.2;
/// A quarter angle this share of a sector from a key angle gives way to it, because a sliver
/// of a sector would make slivers of triangles outside the rings.
const TOO_CLOSE: f64 = 0.25;

/// Corners of the sectors of one hole.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Sectors {
    /// Angles of the corners, rising, radians; a full circle repeats its first plus 2π.
    pub(crate) corners: Vec<f64>,
    /// Whether the sectors make a full circle.
    pub(crate) closed: bool,
}

impl Sectors {
    /// Sectors about as wide as `width` radians at fineness 1 (`width` is not yet divided by
    /// `fineness`), or narrower: `facing` has angles and the width wanted there, in the same sense.
    pub(crate) fn new(
        plan: &HolePlan,
        symmetry: Symmetry,
        width: f64,
        facing: &[(f64, f64)],
        fineness: f64,
    ) -> Self {
        let (start, end) = match (symmetry.x, symmetry.y) {
            (None, None) => (0.0, TAU),
            (None, Some(_)) => (0.0, PI),
            (Some(_), None) => (-FRAC_PI_2, FRAC_PI_2),
            (Some(_), Some(_)) => (0.0, FRAC_PI_2),
        };
        let closed = end - start > 1.5 * PI;
        let gap = plan.gap.map(|(from, to)| (from, (to - from).rem_euclid(TAU)));
        let keys = plan.key_angles.iter().copied().chain(gap.iter().flat_map(|&(f, s)| [f, f + s]));
        let mut hard: Vec<f64> = keys.map(|angle| fold(angle, symmetry, start, closed)).collect();
        let mut soft: Vec<f64> = (-1..4).map(|quarter| f64::from(quarter) * FRAC_PI_2).collect();
        soft.retain(|&angle| angle >= start - SAME && angle < end + SAME);
        if closed {
            soft.retain(|&angle| (-SAME..TAU - SAME).contains(&angle));
        }
        // A key angle that only misses a quarter by rounding is that quarter.
        hard.retain(|&key| soft.iter().all(|&quarter| apart(key, quarter, closed) > SAME));
        let is_end = |angle: f64| !closed && (angle - start < SAME || end - angle < SAME);
        let close = TOO_CLOSE * width / fineness;
        soft.retain(|&quarter| {
            is_end(quarter) || hard.iter().all(|&key| apart(key, quarter, closed) > close)
        });
        let mut stops: Vec<f64> = soft.into_iter().chain(hard).collect();
        stops.sort_by(f64::total_cmp);
        stops.dedup_by(|next, before| *next - *before < SAME);
        if closed {
            stops.push(stops[0] + TAU);
        }

        let wanted = width / fineness;
        let narrow: Vec<(f64, f64, f64)> = stops
            .windows(2)
            .map(|w| {
                let middle = 0.5 * (w[0] + w[1]);
                let own = if gap.is_some_and(|gap| in_gap(middle, gap, symmetry)) {
                    gap.map_or(wanted, |(_, span)| span / (GAP_ELEMENTS * fineness))
                } else {
                    (w[1] - w[0]) / fineness.max(1.0)
                };
                (w[0], w[1], own.min(wanted))
            })
            .collect();
        let size = |angle: f64| {
            let wanted = facing.iter().fold(wanted, |size, &(at, own)| {
                let away = (angle - at + PI).rem_euclid(TAU) - PI;
                size.min((own + GROWTH * away.abs()) / fineness)
            });
            narrow.iter().fold(wanted, |size, &(from, to, own)| {
                let turns: &[f64] = if closed { &[-TAU, 0.0, TAU] } else { &[0.0] };
                turns.iter().fold(size, |size, turn| {
                    let away = (from - angle - turn).max(angle + turn - to).max(0.0);
                    size.min(own + GROWTH / fineness * away)
                })
            })
        };
        let mut corners = vec![stops[0]];
        for w in stops.windows(2) {
            let cuts = subdivide(w[1] - w[0], 1, |along| size(w[0] + along));
            let inner = cuts.len() - 1;
            corners.extend(cuts[1..inner].iter().map(|cut| w[0] + cut));
            corners.push(w[1]);
        }
        Self { corners, closed }
    }

    /// How many sectors there are.
    pub(crate) fn count(&self) -> usize {
        self.corners.len() - 1
    }

    /// Width of the sector that `angle` lies in, radians.
    pub(crate) fn width_at(&self, angle: f64) -> f64 {
        let first = self.corners[0];
        let turned = first + (angle - first).rem_euclid(TAU);
        let right = self.corners.partition_point(|&corner| corner <= turned);
        // Beyond the arc of a half or quarter there is no metal; the last sector answers.
        let right = right.clamp(1, self.count());
        self.corners[right] - self.corners[right - 1]
    }
}

/// The mirror image of `angle` in the modelled arc; for a full circle, in `[0, 2π)`.
fn fold(angle: f64, symmetry: Symmetry, start: f64, closed: bool) -> f64 {
    let mut folded = angle.rem_euclid(TAU);
    if closed {
        return if TAU - folded < SAME { 0.0 } else { folded };
    }
    if symmetry.y.is_some() && folded > PI {
        folded = TAU - folded;
    }
    if symmetry.x.is_some() && folded.cos() < 0.0 {
        folded = (PI - folded).rem_euclid(TAU);
    }
    if folded - start >= TAU - SAME { folded - TAU } else { folded }
}

/// Distance of two angles, round the circle when it is closed.
fn apart(a: f64, b: f64, closed: bool) -> f64 {
    let plain = (a - b).abs();
    if closed { plain.min(TAU - plain) } else { plain }
}

/// Whether `angle` or a mirror image of it lies in the gap `(from, span)`.
fn in_gap(angle: f64, (from, span): (f64, f64), symmetry: Symmetry) -> bool {
    let mut images = vec![angle];
    if symmetry.y.is_some() {
        images.push(-angle);
    }
    if symmetry.x.is_some() {
        images.extend(images.clone().into_iter().map(|image| PI - image));
    }
    images.into_iter().any(|image| (image - from).rem_euclid(TAU) < span)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const FIVE_DEGREES: f64 = PI / 36.0;
    const UPPER_HALF: Symmetry = Symmetry { x: None, y: Some(30.0) };
    const RIGHT_HALF: Symmetry = Symmetry { x: Some(30.0), y: None };

    fn sectors(plan: &HolePlan, symmetry: Symmetry, fineness: f64) -> Sectors {
        Sectors::new(plan, symmetry, FIVE_DEGREES, &[], fineness)
    }

    #[test]
    fn without_a_plan_sectors_are_equal() {
        let plan = HolePlan::default();
        for (symmetry, count) in [(Symmetry::default(), 72), (UPPER_HALF, 36), (RIGHT_HALF, 36)] {
            assert_eq!(sectors(&plan, symmetry, 1.0).count(), count);
            assert_eq!(sectors(&plan, symmetry, 2.0).count(), 2 * count);
        }
        let whole = sectors(&plan, Symmetry::default(), 1.0);
        for w in whole.corners.windows(2) {
            assert_relative_eq!(w[1] - w[0], FIVE_DEGREES, max_relative = 1e-9);
        }
    }

    #[test]
    fn key_angles_are_corners_and_a_gap_has_four_elements() {
        let gap = (1.0, 1.06);
        let plan =
            HolePlan { key_angles: vec![-2.0, 0.01, 7.0], gap: Some(gap), cut_radii: vec![] };
        let whole = sectors(&plan, Symmetry::default(), 1.0);
        for key in [TAU - 2.0, 0.01, 7.0 - TAU, gap.0, gap.1] {
            assert!(whole.corners.iter().any(|corner| (corner - key).abs() < 1e-12), "{key}");
        }
        let inside = whole.corners.iter().filter(|&&c| c > gap.0 + 1e-9 && c < gap.1 - 1e-9);
        assert_eq!(inside.count(), 3);
        for w in whole.corners.windows(3) {
            let ratio = (w[2] - w[1]) / (w[1] - w[0]);
            assert!((0.6..1.6).contains(&ratio), "sectors jump by {ratio} at {}", w[1]);
        }
    }

    #[test]
    fn a_gap_on_the_mirror_line_is_halved() {
        let plan = HolePlan { gap: Some((PI - 0.1, PI + 0.1)), ..HolePlan::default() };
        let half = sectors(&plan, UPPER_HALF, 1.0);
        assert!(half.corners.iter().any(|corner| (corner - (PI - 0.1)).abs() < 1e-12));
        assert!(half.corners.iter().filter(|&&corner| corner > PI - 0.1 - 1e-9).count() >= 3);
        assert_relative_eq!(half.corners[half.count()], PI);
    }

    #[test]
    fn angles_fold_into_the_right_half() {
        assert_relative_eq!(fold(1.5 * PI, RIGHT_HALF, -FRAC_PI_2, false), -FRAC_PI_2);
        assert_relative_eq!(fold(PI - 0.2, RIGHT_HALF, -FRAC_PI_2, false), 0.2, epsilon = 1e-14);
        assert_relative_eq!(fold(PI + 0.2, RIGHT_HALF, -FRAC_PI_2, false), -0.2, epsilon = 1e-14);
    }
}
