//! Small charts of one number with the same axes, before they are drawn.

use std::fmt::Write as _;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::curves::Curve;
use crate::plot::figure::cell;

/// How far a point may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Number of its colour, that of its curve.
    pub colour: usize,
    /// Its place to the right.
    pub x: f64,
    /// Its ends upward, rising.
    pub ends: [f64; 2],
}

/// One small chart.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Panel {
    /// Words above it; may be empty.
    pub label: String,
    /// Its curves; a gap in a curve is the end of one and the beginning of the next.
    pub curves: Vec<Curve>,
    /// Where on the axis to the right a case failed.
    pub failed: Vec<f64>,
    /// Bars at points of the curves.
    pub intervals: Vec<Interval>,
}

/// Small charts before they are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Multiples<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title; the line below it has the study and `stage`.
    pub title: &'a str,
    /// Property that all curves have in common.
    pub stage: &'a str,
    /// Quantity and unit to the right.
    pub x: &'a str,
    /// Names of the places 0, 1, … to the right, where they are no numbers; else empty.
    pub names: &'a [String],
    /// Quantity and unit upward.
    pub y: &'a str,
    /// Whether it is drawn in powers of ten; points that are not above zero are left out then.
    pub logarithmic: bool,
    /// The charts.
    pub panels: &'a [Panel],
}

impl Multiples<'_> {
    /// A panel with its points where they are drawn.
    pub(super) fn placed(&self, panel: &Panel) -> Panel {
        let mut placed = panel.clone();
        if self.logarithmic {
            for curve in &mut placed.curves {
                curve.points.retain(|[_, y]| *y > 0.0);
                curve.points.iter_mut().for_each(|[_, y]| *y = y.log10());
            }
            placed.intervals.retain(|bar| bar.ends[0] > 0.0);
            placed.intervals.iter_mut().for_each(|bar| bar.ends = bar.ends.map(f64::log10));
        }
        placed
    }

    /// The axis upward over the values `low` to `high`, as they are drawn.
    pub(super) fn upward(&self, [low, high]: [f64; 2], most: usize) -> Axis {
        if self.logarithmic {
            return Axis::powers(low, high, self.y.to_owned());
        }
        // Zero is shown when it is near, so that sizes can be compared by eye.
        let span = high - low;
        let low = if low > 0.0 && low < 1.5 * span { 0.0 } else { low };
        let high = if high < 0.0 && -high < 1.5 * span { 0.0 } else { high };
        Axis::rounded(low, high, most, self.y.to_owned())
    }
}

/// All points, panel by panel, and where cases failed.
pub(super) fn table(chart: &Multiples<'_>) -> String {
    let mut text = format!("panel,curve,{},{}\n", cell(chart.x), cell(chart.y));
    for panel in chart.panels {
        for curve in &panel.curves {
            for [x, y] in &curve.points {
                // Writing to a string cannot fail.
                let _ = writeln!(text, "{},{},{x},{y}", cell(&panel.label), cell(&curve.label));
            }
        }
        for x in &panel.failed {
            let _ = writeln!(text, "{},failed,{x},", cell(&panel.label));
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::charts::curves::Look;

    #[test]
    fn on_a_logarithmic_scale_points_lie_at_their_exponents_and_others_are_left_out() {
        let points = vec![[1.0, 100.0], [2.0, 0.0], [3.0, -5.0], [4.0, 0.1]];
        let curve = Curve { label: String::new(), points, look: Look::Joined(0) };
        let panel = Panel {
            label: String::new(),
            curves: vec![curve],
            failed: vec![2.0],
            ..Panel::default()
        };
        let chart = Multiples {
            name: "factor",
            title: "",
            stage: "",
            x: "",
            names: &[],
            y: "",
            logarithmic: true,
            panels: std::slice::from_ref(&panel),
        };
        let placed = chart.placed(&panel);
        assert_eq!(placed.curves[0].points, [[1.0, 2.0], [4.0, -1.0]]);
        assert_eq!(placed.failed, [2.0]);
        let axis = chart.upward([-1.0, 2.0], 5);
        assert!(axis.low <= -1.0 && axis.high >= 2.0);
        assert!(axis.ticks.iter().any(|(at, words)| (at - 1.0).abs() < 1e-12 && words == "10¹"));
        // The table keeps the values themselves.
        assert!(table(&chart).contains(",1,100\n"), "{}", table(&chart));
    }
}
