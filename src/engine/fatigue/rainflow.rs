//! Rainflow counting of ASTM E1049-85, section 5.4.4, and the simplified one for repeating
//! histories, section 5.4.5.
//!
//! Three turning points at a time: a range that is no smaller than the one before it closes
//! that one. In the general count a range that holds the start of the history counts as half
//! a cycle, and so does what is left at the end. A repeating history is turned to begin at its
//! largest peak, and then all cycles are whole.
//!
//! Source: the standard's text (from memory); the test is its worked example.

use serde::Serialize;

use crate::fatigue::cycle::StressRange;

/// A counted cycle, between two turning points of the history.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CountedCycle {
    /// Value at the earlier turning point.
    pub from: f64,
    /// Value at the later one.
    pub to: f64,
    /// 1, or ½.
    pub count: f64,
}

impl CountedCycle {
    /// Difference of the two values.
    #[must_use]
    pub fn range(&self) -> StressRange {
        StressRange((self.to - self.from).abs())
    }

    /// Mean of the two values.
    #[must_use]
    pub fn mean(&self) -> f64 {
        0.5 * (self.from + self.to)
    }
}

/// The first value, every reversal, and the last value.
#[must_use]
pub fn turning_points(history: &[f64]) -> Vec<f64> {
    let mut points: Vec<f64> = Vec::new();
    for &value in history {
        match points.as_slice() {
            [.., last] if last.total_cmp(&value).is_eq() => {}
            [.., before, last] if (last - before) * (value - last) > 0.0 => {
                let end = points.len() - 1;
                points[end] = value;
            }
            _ => points.push(value),
        }
    }
    points
}

/// Counts a history once through: whole and half cycles, in the order in which they close.
#[must_use]
pub fn count(history: &[f64]) -> Vec<CountedCycle> {
    let mut cycles = Vec::new();
    let mut open: Vec<f64> = Vec::new();
    for point in turning_points(history) {
        open.push(point);
        while let [.., a, b, c] = open[..] {
            if (c - b).abs() < (b - a).abs() {
                break;
            }
            if open.len() == 3 {
                // The range before holds the start of what is left: half a cycle.
                cycles.push(CountedCycle { from: a, to: b, count: 0.5 });
                open.remove(0);
            } else {
                cycles.push(CountedCycle { from: a, to: b, count: 1.0 });
                open.truncate(open.len() - 3);
                open.push(c);
            }
        }
    }
    cycles.extend(open.windows(2).map(|pair| CountedCycle {
        from: pair[0],
        to: pair[1],
        count: 0.5,
    }));
    cycles
}

/// Counts a history that repeats: whole cycles, in the order in which they close when the
/// history is read from its largest peak round to it again.
#[must_use]
pub fn count_repeating(history: &[f64]) -> Vec<CountedCycle> {
    let highest = history.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
    let Some((start, &peak)) = highest else {
        return Vec::new();
    };
    let turned: Vec<f64> =
        history[start..].iter().chain(&history[..start]).copied().chain([peak]).collect();
    let mut cycles = Vec::new();
    let mut open: Vec<f64> = Vec::new();
    for point in turning_points(&turned) {
        open.push(point);
        while let [.., a, b, c] = open[..] {
            if (c - b).abs() < (b - a).abs() {
                break;
            }
            cycles.push(CountedCycle { from: a, to: b, count: 1.0 });
            open.truncate(open.len() - 3);
            open.push(c);
        }
    }
    cycles
}

/// Counts by range, falling: `(range, count)`; ranges equal to rounding are one row.
#[must_use]
pub fn by_range(cycles: &[CountedCycle]) -> Vec<(StressRange, f64)> {
    let mut rows: Vec<(StressRange, f64)> =
        cycles.iter().map(|cycle| (cycle.range(), cycle.count)).collect();
    rows.sort_by(|a, b| b.0.0.total_cmp(&a.0.0));
    rows.dedup_by(|next, kept| {
        let same = (kept.0.0 - next.0.0).abs() <= 1e-12 * kept.0.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
    rows
}
