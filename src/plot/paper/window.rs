//! A rectangle of the sheet or the plate, and what of lines and loops lies inside.

/// A rectangle with sides along the axes; `low` holds the smaller coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Window {
    /// Smaller x and y.
    pub(crate) low: [f64; 2],
    /// Larger x and y.
    pub(crate) high: [f64; 2],
}

impl Window {
    /// Whether `point` lies inside or on the rim.
    pub(crate) fn contains(&self, point: [f64; 2]) -> bool {
        (0..2).all(|axis| (self.low[axis]..=self.high[axis]).contains(&point[axis]))
    }

    /// Whether a box around `points` and this window share a point.
    pub(crate) fn may_meet(&self, points: &[[f64; 2]]) -> bool {
        (0..2).all(|axis| {
            points.iter().any(|p| p[axis] >= self.low[axis])
                && points.iter().any(|p| p[axis] <= self.high[axis])
        })
    }

    /// The smallest window round `points`.
    pub(crate) fn around(points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        let empty = Self { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };
        points.into_iter().fold(empty, |window, point| Self {
            low: [window.low[0].min(point[0]), window.low[1].min(point[1])],
            high: [window.high[0].max(point[0]), window.high[1].max(point[1])],
        })
    }

    /// Width and height.
    pub(crate) fn size(&self) -> [f64; 2] {
        [self.high[0] - self.low[0], self.high[1] - self.low[1]]
    }

    /// The part of a segment inside (L. Liang and B. Barsky's parametric clipping, 1984).
    fn segment(&self, from: [f64; 2], to: [f64; 2]) -> Option<[[f64; 2]; 2]> {
        let (mut enter, mut leave) = (0.0f64, 1.0f64);
        for axis in 0..2 {
            let run = to[axis] - from[axis];
            let (low, high) = (self.low[axis] - from[axis], self.high[axis] - from[axis]);
            if run == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return None;
                }
            } else {
                let (one, other) = (low / run, high / run);
                enter = enter.max(one.min(other));
                leave = leave.min(one.max(other));
            }
        }
        let at = |t: f64| [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])];
        (enter <= leave).then(|| {
            [if enter > 0.0 { at(enter) } else { from }, if leave < 1.0 { at(leave) } else { to }]
        })
    }

    /// The parts of a polyline inside, in order.
    pub(crate) fn polyline(&self, points: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
        let mut parts: Vec<Vec<[f64; 2]>> = Vec::new();
        for pair in points.windows(2) {
            let Some([from, to]) = self.segment(pair[0], pair[1]) else { continue };
            match parts.last_mut() {
                Some(part) if part.last() == Some(&from) => part.push(to),
                _ => parts.push(vec![from, to]),
            }
        }
        parts
    }

    /// The part of a closed loop inside, as one loop that may run along the rim (I. Sutherland
    /// and G. Hodgman's clipping, 1974); empty when nothing is left.
    pub(crate) fn part_of_loop(&self, corners: &[[f64; 2]]) -> Vec<[f64; 2]> {
        if corners.iter().all(|&corner| self.contains(corner)) {
            return corners.to_vec();
        }
        let mut left = corners.to_vec();
        for axis in 0..2 {
            for (limit, sign) in [(self.low[axis], 1.0), (self.high[axis], -1.0)] {
                let inside = |p: &[f64; 2]| sign * (p[axis] - limit) >= 0.0;
                let mut kept = Vec::with_capacity(left.len() + 4);
                for (k, one) in left.iter().enumerate() {
                    let next = &left[(k + 1) % left.len()];
                    if inside(one) {
                        kept.push(*one);
                    }
                    if inside(one) != inside(next) {
                        let share = (limit - one[axis]) / (next[axis] - one[axis]);
                        let mut cut = [limit; 2];
                        cut[1 - axis] = one[1 - axis] + share * (next[1 - axis] - one[1 - axis]);
                        kept.push(cut);
                    }
                }
                left = kept;
            }
        }
        left
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_polyline_leaves_and_enters_a_window() {
        let window = Window { low: [0.0, 0.0], high: [2.0, 2.0] };
        let parts = window.polyline(&[[-1.0, 1.0], [1.0, 1.0], [3.0, 1.0], [3.0, 5.0], [1.0, 1.0]]);
        assert_eq!(parts.len(), 2);
        assert_eq!(parts[0], vec![[0.0, 1.0], [1.0, 1.0], [2.0, 1.0]]);
        assert_relative_eq!(parts[1][0][1], 2.0);
    }

    #[test]
    fn a_loop_keeps_the_area_that_lies_inside() {
        // A diamond of half diagonal 2 about the corner of the window: a quarter of it is inside.
        let window = Window { low: [0.0, 0.0], high: [5.0, 5.0] };
        let part = window.part_of_loop(&[[2.0, 0.0], [0.0, 2.0], [-2.0, 0.0], [0.0, -2.0]]);
        let n = part.len();
        let cross = |k: usize| {
            let (p, q) = (part[k], part[(k + 1) % n]);
            p[0] * q[1] - q[0] * p[1]
        };
        assert_relative_eq!(0.5 * (0..n).map(cross).sum::<f64>(), 2.0);
        assert!(window.part_of_loop(&[[-1.0, -1.0], [-2.0, -1.0], [-1.0, -2.0]]).is_empty());
    }
}
