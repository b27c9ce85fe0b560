//! Computed values against known ones: theory as lines, computed values as markers; plain or
//! logarithmic axes.
//!
//! Floor 7, `plot`.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::chart::{Axis, Chart, Key, Marker, ROW, Sample, Shape, legend, rows};
use crate::plot::clip::Window;
use crate::plot::colour::{INK, series};
use crate::plot::figure::{Figure, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::sheet::{HEAD, Pen, Sheet};

/// How a curve is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Style {
    /// A full line.
    Line,
    /// A dashed line.
    Dashed,
    /// Markers.
    Markers,
    /// Markers joined by a line.
    Joined,
}

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// Words in the legend.
    pub label: String,
    /// Points in the units of the axes.
    pub points: Vec<[f64; 2]>,
    /// How it is drawn.
    pub look: Style,
}

/// What the axes are like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spacing {
    /// Both plain.
    Plain,
    /// Both logarithmic; ticks along x at the values that are there, along y at powers of ten.
    /// Points that are not positive are left out.
    Logarithmic,
}

/// Curves and the words round them.
#[derive(Clone, Debug, PartialEq)]
pub struct ComparisonChart {
    /// Title.
    pub title: String,
    /// Name of the x axis, with its unit.
    pub x: String,
    /// Name of the y axis, with its unit.
    pub y: String,
    /// What the axes are like.
    pub scale: Spacing,
    /// The curves, first at the bottom.
    pub curves: Vec<Compared>,
}

const DASH: &[f64] = &[8.0, 5.0];

/// Draws `chart` into `NAME.svg`, `NAME.png` and `NAME.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a point; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn comparison_chart(
    chart: &ComparisonChart,
    subtitle: &str,
    folder: &Path,
    name: &str,
) -> Result<Figure, FigureError> {
    check_finite(name, "point", chart.curves.iter().flat_map(|c| c.points.iter().flatten()))?;
    let placed: Vec<Vec<[f64; 2]>> =
        chart.curves.iter().map(|curve| placed(&curve.points, chart.scale)).collect();
    let all = || placed.iter().flatten();
    if all().next().is_none() {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "point" });
    }
    let range = |k: usize| {
        all().fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], point| {
            [low.min(point[k]), high.max(point[k])]
        })
    };
    let (x, y) = axes(chart, range(0), range(1));
    let keys: Vec<Key> = chart
        .curves
        .iter()
        .enumerate()
        .map(|(k, curve)| Key::new(sample(k, curve.look), curve.label.clone()))
        .collect();
    let (width, height) = (1000.0, 640.0);
    let key_rows = rows(&keys, width - 116.0)?;
    let bottom = height - 64.0 - count(key_rows.len()) * ROW - 14.0;
    let window = Window { low: [110.0, HEAD], high: [width - 30.0, bottom] };
    let frame = Chart { window, x, y };
    let mut sheet = Sheet::new([width, height], &chart.title, subtitle);
    frame.grid(&mut sheet);
    if chart.scale == Spacing::Plain && frame.y.low < 0.0 && frame.y.high > 0.0 {
        frame.curve(&mut sheet, &[[frame.x.low, 0.0], [frame.x.high, 0.0]], Pen::new(INK, 1.2));
    }
    for (k, (curve, points)) in chart.curves.iter().zip(&placed).enumerate() {
        if curve.look != Style::Markers {
            frame.curve(&mut sheet, points, pen(k, curve.look));
        }
        if matches!(curve.look, Style::Markers | Style::Joined) {
            frame.markers(&mut sheet, points, marker(k));
        }
    }
    frame.frame(&mut sheet)?;
    legend(&mut sheet, &key_rows, [110.0, bottom + 58.0]);
    save(&sheet, Some(&table(chart)), folder, name)
}

/// The points where they lie on the axes.
fn placed(points: &[[f64; 2]], scale: Spacing) -> Vec<[f64; 2]> {
    match scale {
        Spacing::Plain => points.to_vec(),
        Spacing::Logarithmic => {
            let positive = points.iter().filter(|[x, y]| *x > 0.0 && *y > 0.0);
            positive.map(|point| point.map(f64::log10)).collect()
        }
    }
}

fn axes(chart: &ComparisonChart, [left, right]: [f64; 2], [low, high]: [f64; 2]) -> (Axis, Axis) {
    match chart.scale {
        Spacing::Plain => {
            let y_room = 0.04 * (high - low).max(1e-12 * high.abs());
            // What is never negative gets no negative axis.
            let floor = if low >= 0.0 { (low - y_room).max(0.0) } else { low - y_room };
            (
                Axis::exact(left, right, 10, chart.x.clone()),
                Axis::rounded(floor, high + y_room, 8, chart.y.clone()),
            )
        }
        Spacing::Logarithmic => {
            let mut ticks: Vec<(f64, String)> = Vec::new();
            for [x, _] in chart.curves.iter().flat_map(|curve| &curve.points) {
                if *x > 0.0 && !ticks.iter().any(|(known, _)| (known - x.log10()).abs() < 1e-9) {
                    ticks.push((x.log10(), format!("{x}")));
                }
            }
            let room = 0.06 * (right - left).max(0.1);
            let x = Axis { low: left - room, high: right + room, ticks, name: chart.x.clone() };
            (x, Axis::powers(low - 0.05, high + 0.05, chart.y.clone()))
        }
    }
}

fn pen(k: usize, look: Style) -> Pen {
    let pen = Pen::new(series(k), 2.2);
    if look == Style::Dashed { pen.dashed(DASH) } else { pen }
}

fn marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: series(k), open: false }
}

fn sample(k: usize, look: Style) -> Sample {
    match look {
        Style::Line | Style::Dashed => Sample::Line(pen(k, look)),
        Style::Markers => Sample::Marker(marker(k)),
        Style::Joined => Sample::Marked(pen(k, look), marker(k)),
    }
}

fn table(chart: &ComparisonChart) -> String {
    let mut text = format!("curve,{},{}\n", cell(&chart.x), cell(&chart.y));
    for curve in &chart.curves {
        for [x, y] in &curve.points {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{x:.9e},{y:.9e}", cell(&curve.label));
        }
    }
    text
}
