//! Exact clipping: a triangle by two levels of a linear field, a line by a rectangle.
//!
//! Filled contours are made of these pieces, so bands meet without gap or overlap: a cut
//! on an edge is always computed from its lower to its higher end, whichever triangle asks.
//!
//! Floor 7, `plot`.

/// A corner with its value: `[x, y, value]`.
pub type Corner = [f64; 3];

/// What is left of a triangle between two levels: a convex polygon of at most 5 points.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    points: [Corner; 6],
    len: usize,
}

impl Piece {
    /// Corners in the order of the triangle; none when nothing is left.
    #[must_use]
    pub fn corners(&self) -> &[Corner] {
        &self.points[..self.len]
    }

    fn push(&mut self, corner: Corner) {
        self.points[self.len] = corner;
        self.len += 1;
    }
}

/// The part of `triangle` whose value lies between `low` and `high`.
#[must_use]
pub fn band(triangle: &[Corner; 3], low: f64, high: f64) -> Piece {
    let above = half(triangle, low, |value| value >= low);
    half(above.corners(), high, |value| value <= high)
}

fn half(polygon: &[Corner], level: f64, keep: impl Fn(f64) -> bool) -> Piece {
    let mut piece = Piece { points: [[0.0; 3]; 6], len: 0 };
    for (k, &corner) in polygon.iter().enumerate() {
        let next = polygon[(k + 1) % polygon.len()];
        if keep(corner[2]) {
            piece.push(corner);
        }
        if keep(corner[2]) != keep(next[2]) {
            piece.push(cut(corner, next, level));
        }
    }
    piece
}

fn cut(one: Corner, other: Corner, level: f64) -> Corner {
    let (low, high) = if one[2] <= other[2] { (one, other) } else { (other, one) };
    let share = (level - low[2]) / (high[2] - low[2]);
    [low[0] + share * (high[0] - low[0]), low[1] + share * (high[1] - low[1]), level]
}

/// The straight line of constant value `level` inside `triangle`, when it passes through.
#[must_use]
pub fn isoline(triangle: &[Corner; 3], level: f64) -> Option<[[f64; 2]; 2]> {
    let mut ends = [[0.0; 2]; 2];
    let mut found = 0;
    for k in 0..3 {
        let (one, other) = (triangle[k], triangle[(k + 1) % 3]);
        if (one[2] >= level) != (other[2] >= level) {
            let [x, y, _] = cut(one, other, level);
            ends[found] = [x, y];
            found += 1;
        }
    }
    (found == 2).then_some(ends)
}

/// A rectangle with sides along the axes; `low` holds the smaller coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Smaller x and y.
    pub low: [f64; 2],
    /// Larger x and y.
    pub high: [f64; 2],
}

impl Window {
    /// Whether `point` lies inside or on the rim.
    #[must_use]
    pub fn contains(&self, point: [f64; 2]) -> bool {
        (0..2).all(|axis| (self.low[axis]..=self.high[axis]).contains(&point[axis]))
    }

    /// Whether a box around `points` and this window share a point.
    #[must_use]
    pub fn may_meet(&self, points: &[[f64; 2]]) -> bool {
        (0..2).all(|axis| {
            points.iter().any(|p| p[axis] >= self.low[axis])
                && points.iter().any(|p| p[axis] <= self.high[axis])
        })
    }

    /// The smallest window round `points`.
    #[must_use]
    pub fn around(points: impl IntoIterator<Item = [f64; 2]>) -> Self {
        let empty = Self { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };
        points.into_iter().fold(empty, |window, point| Self {
            low: [window.low[0].min(point[0]), window.low[1].min(point[1])],
            high: [window.high[0].max(point[0]), window.high[1].max(point[1])],
        })
    }

    /// Width and height.
    #[must_use]
    pub fn size(&self) -> [f64; 2] {
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
    #[must_use]
    pub fn polyline(&self, points: &[[f64; 2]]) -> Vec<Vec<[f64; 2]>> {
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
}

/// Joins segments that share ends into polylines.
///
/// `grain` is the distance below which two ends are the same point. The order of the
/// result follows that of the segments, so equal input gives equal output.
#[must_use]
pub fn chains(segments: &[[[f64; 2]; 2]], grain: f64) -> Vec<Vec<[f64; 2]>> {
    use std::collections::HashMap;
    #[expect(clippy::cast_possible_truncation, reason = "plates are far below 2^63 grains")]
    let key = |p: [f64; 2]| ((p[0] / grain).round() as i64, (p[1] / grain).round() as i64);
    let mut at: HashMap<(i64, i64), Vec<usize>> = HashMap::new();
    for (index, segment) in segments.iter().enumerate() {
        for end in segment {
            at.entry(key(*end)).or_default().push(index);
        }
    }
    let mut used = vec![false; segments.len()];
    let follow = |line: &mut Vec<[f64; 2]>, used: &mut [bool]| {
        while let Some(&end) = line.last() {
            let next = at.get(&key(end)).and_then(|here| here.iter().find(|&&s| !used[s]));
            let Some(&next) = next else { break };
            used[next] = true;
            let [one, other] = segments[next];
            line.push(if key(one) == key(end) { other } else { one });
        }
    };
    let mut lines = Vec::new();
    for start in 0..segments.len() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let mut line = segments[start].to_vec();
        follow(&mut line, &mut used);
        line.reverse();
        follow(&mut line, &mut used);
        lines.push(line);
    }
    lines
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn area(corners: &[Corner]) -> f64 {
        let n = corners.len();
        (0..n)
            .map(|k| {
                let (p, q) = (corners[k], corners[(k + 1) % n]);
                0.5 * (p[0] * q[1] - q[0] * p[1])
            })
            .sum()
    }

    const TRIANGLE: [Corner; 3] = [[0.0, 0.0, -3.0], [4.0, 0.0, 5.0], [1.0, 3.0, 1.0]];

    #[test]
    fn bands_share_the_triangle_without_gap_or_overlap() {
        let total: f64 =
            (-4..6).map(|k| area(band(&TRIANGLE, f64::from(k), f64::from(k + 1)).corners())).sum();
        assert_relative_eq!(total, area(&TRIANGLE), max_relative = 1e-14);
    }

    #[test]
    fn the_part_above_a_level_has_the_area_of_similar_triangles() {
        // The value is x on a right triangle with legs 1: above h a triangle of side 1 − h is left.
        let triangle = [[0.0, 0.0, 0.0], [1.0, 0.0, 1.0], [1.0, 1.0, 1.0]];
        let below = band(&triangle, 0.0, 0.4);
        assert_relative_eq!(area(below.corners()), 0.5 * 0.4 * 0.4, max_relative = 1e-14);
    }

    #[test]
    fn an_isoline_ends_on_the_sides_where_the_value_is_met() {
        let [one, other] = isoline(&TRIANGLE, 1.5).unwrap();
        // On side 0-1 the value rises by 8 over 4 mm: 1.5 is met at x = 2.25.
        assert_relative_eq!(one[0], 2.25);
        assert_relative_eq!(other[1], 3.0 * (5.0 - 1.5) / 4.0);
        assert!(isoline(&TRIANGLE, 9.0).is_none());
    }

    #[test]
    fn a_polyline_leaves_and_enters_a_window() {
        let window = Window { low: [0.0, 0.0], high: [2.0, 2.0] };
        let parts = window.polyline(&[[-1.0, 1.0], [1.0, 1.0], [3.0, 1.0], [3.0, 5.0], [1.0, 1.0]]);
        assert_eq!(parts.len(), 2);
        assert_eq!(parts[0], vec![[0.0, 1.0], [1.0, 1.0], [2.0, 1.0]]);
        assert_relative_eq!(parts[1][0][1], 2.0);
    }

    #[test]
    fn shuffled_segments_of_a_ring_join_to_one_closed_line() {
        let corner = |k: usize| {
            let angle = std::f64::consts::TAU * f64::from(u32::try_from(k % 12).unwrap()) / 12.0;
            [angle.cos(), angle.sin()]
        };
        let segments: Vec<_> =
            [7, 2, 11, 4, 0, 9, 5, 1, 10, 3, 8, 6]
                .map(|k| {
                    if k % 2 == 0 { [corner(k), corner(k + 1)] } else { [corner(k + 1), corner(k)] }
                })
                .to_vec();
        let lines = chains(&segments, 1e-9);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].len(), 13);
    }
}
