//! Small charts side by side with the same axes: one number over one axis, a panel for every value of
//! another.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::curves::{Curve, keys, lay_lines};
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{MESH, series};
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet, Spot};
use crate::plot::paper::window::Window;

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

const LEFT: f64 = 100.0;
const BETWEEN: f64 = 74.0;
const ABOVE: f64 = 26.0;
const BELOW: f64 = 62.0;

/// Draws `chart` into `NAME.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a point; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn multiples(
    chart: &Multiples<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let placed: Vec<Panel> = chart.panels.iter().map(|panel| chart.placed(panel)).collect();
    let curves = || placed.iter().flat_map(|panel| &panel.curves);
    let points = || curves().flat_map(|curve| curve.points.iter());
    if points().next().is_none() {
        return Err(FigureError::Nothing { figure: chart.name.to_owned(), missing: "point" });
    }
    check_finite(chart.name, "value of a curve", points().flatten())?;
    let failed = chart.panels.iter().flat_map(|panel| &panel.failed);
    let level = points().next().map_or(0.0, |point| point[1]);
    let bars = placed.iter().flat_map(|panel| &panel.intervals);
    let bars = bars.flat_map(|bar| bar.ends.map(|end| [bar.x, end]));
    let shown = points().copied().chain(failed.map(|x| [*x, level])).chain(bars);
    let mut around = Window::around(shown);
    if placed.iter().any(|panel| !panel.intervals.is_empty()) {
        // A bar on the frame could not be told from it.
        let room = 0.03 * around.size()[0];
        around.low[0] -= room;
        around.high[0] += room;
    }
    let across = chart.panels.len().min(3);
    let down = chart.panels.len().div_ceil(across);
    let size = match across {
        1 => [860.0, 500.0],
        2 => [520.0, 400.0],
        _ => [380.0, 340.0],
    };
    let width = LEFT + count(across) * (size[0] + BETWEEN) - BETWEEN + 40.0;
    let all: Vec<Curve> = curves().cloned().collect();
    let mut all_keys = keys(&all);
    if chart.panels.iter().any(|panel| !panel.failed.is_empty()) {
        all_keys.push(Key::new(Sample::Line(Pen::new(MESH, 1.6).dashed(&[2.0, 3.0])), "failed"));
    }
    let key_rows = rows(&all_keys, width - 126.0)?;
    let body = count(down) * (ABOVE + size[1] + BELOW);
    let height = HEAD + body + count(key_rows.len()) * ROW + 20.0;
    let mut sheet = Sheet::new([width, height], chart.title, &context.subtitle(chart.stage));
    for (index, panel) in placed.iter().enumerate() {
        let corner = [
            LEFT + count(index % across) * (size[0] + BETWEEN),
            HEAD + ABOVE + count(index / across) * (ABOVE + size[1] + BELOW),
        ];
        // The charts of a row share the quantity upward, which stands beside the first.
        let y = if index % across == 0 { chart.y } else { "" };
        lay(&mut sheet, &Multiples { y, ..*chart }, panel, (corner, size, around))?;
    }
    legend(&mut sheet, &key_rows, [LEFT, HEAD + body]);
    save(&sheet, Some(&table(chart)), folder, chart.name)
}

impl Multiples<'_> {
    /// A panel with its points where they are drawn.
    fn placed(&self, panel: &Panel) -> Panel {
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
    fn upward(&self, [low, high]: [f64; 2], most: usize) -> Axis {
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

fn lay(
    sheet: &mut Sheet,
    chart: &Multiples<'_>,
    panel: &Panel,
    (corner, size, around): (Spot, [f64; 2], Window),
) -> Result<(), FigureError> {
    let window = Window { low: corner, high: [corner[0] + size[0], corner[1] + size[1]] };
    let most = if size[0] < 600.0 { 5 } else { 8 };
    let mut x = Axis::rounded(around.low[0], around.high[0], most, chart.x.to_owned());
    if !chart.names.is_empty() {
        x = Axis::exact(-0.4, count(chart.names.len()) - 0.6, most, chart.x.to_owned());
        x.ticks =
            chart.names.iter().enumerate().map(|(k, name)| (count(k), name.clone())).collect();
        x.minor.clear();
    }
    let frame = Chart { window, x, y: chart.upward([around.low[1], around.high[1]], most) };
    frame.grid(sheet);
    if !chart.logarithmic {
        frame.curve(sheet, &[[frame.x.low, 0.0], [frame.x.high, 0.0]], Pen::new(MESH, 1.2));
    }
    for at in &panel.failed {
        let ends = [[*at, frame.y.low], [*at, frame.y.high]];
        frame.curve(sheet, &ends, Pen::new(MESH, 1.6).dashed(&[2.0, 3.0]));
    }
    for bar in &panel.intervals {
        let ends = bar.ends.map(|end| [bar.x, end]);
        frame.error_bar(sheet, ends, Pen::new(series(bar.colour), 1.4));
    }
    lay_lines(sheet, &frame, &panel.curves);
    frame.frame(sheet)?;
    sheet.text([corner[0], corner[1] - 8.0], Anchor::Start, &panel.label);
    Ok(())
}

fn table(chart: &Multiples<'_>) -> String {
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
