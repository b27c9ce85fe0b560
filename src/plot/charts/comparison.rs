//! Computed values against known ones: theory as lines, computed values as markers; plain or
//! logarithmic axes.

use std::path::Path;

use crate::numeric::monotone::through;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::curves::{Curve, Layout, Look, lay_curves, table};
use crate::plot::figure::{Figure, FigureError, check_finite, save};
use crate::plot::paper::colour::INK;
use crate::plot::paper::sheet::{Pen, Sheet};
use crate::plot::paper::window::Window;

/// How a curve is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Style {
    /// A full line.
    Line,
    /// A full line that bends smoothly from point to point: a table.
    Smooth,
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

/// Scale of the axes.
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
    /// Scale of the axes.
    pub scale: Spacing,
    /// The curves, first at the bottom.
    pub curves: Vec<Compared>,
}

/// Room for powers of ten beside the frame.
const LAYOUT: Layout = Layout { size: [1000.0, 640.0], left: 110.0, margin: 116.0 };

impl Style {
    /// The look in colour number `k`.
    fn numbered(self, k: usize) -> Look {
        match self {
            Self::Line | Self::Smooth => Look::Bare(k),
            Self::Dashed => Look::Dashed(k),
            Self::Markers => Look::Open(k),
            Self::Joined => Look::Joined(k),
        }
    }
}

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
    let curve = |(curve, k): (&Compared, usize)| Curve {
        label: curve.label.clone(),
        points: curve.points.clone(),
        look: curve.look.numbered(k),
    };
    let curves: Vec<Curve> = chart.curves.iter().zip(colours(&chart.curves)).map(curve).collect();
    let shown = |(curve, of): (&Curve, &Compared)| {
        let points = placed(&curve.points, chart.scale);
        let smooth = of.look == Style::Smooth;
        Curve { points: if smooth { through(&points) } else { points }, ..curve.clone() }
    };
    let shown: Vec<Curve> = curves.iter().zip(&chart.curves).map(shown).collect();
    let all = || shown.iter().flat_map(|curve| curve.points.iter().copied());
    if all().next().is_none() {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "point" });
    }
    let around = Window::around(all());
    let (x, y) = axes(chart, [around.low[0], around.high[0]], [around.low[1], around.high[1]]);
    let frame = Chart { window: LAYOUT.window(&shown)?, x, y };
    let mut sheet = Sheet::new(LAYOUT.size, &chart.title, subtitle);
    frame.grid(&mut sheet);
    if chart.scale == Spacing::Plain && frame.y.low < 0.0 && frame.y.high > 0.0 {
        frame.curve(&mut sheet, &[[frame.x.low, 0.0], [frame.x.high, 0.0]], Pen::new(INK, 1.2));
    }
    lay_curves(&mut sheet, &frame, &shown, LAYOUT)?;
    save(&sheet, Some(&table([&chart.x, &chart.y], &curves)), folder, name)
}

/// Colour numbers: as many curves with markers as lines, or as full lines, belong together in their
/// order and share colours. Dashed lines that are left over have colours of their own.
fn colours(curves: &[Compared]) -> Vec<usize> {
    let with_markers = |curve: &Compared| matches!(curve.look, Style::Markers | Style::Joined);
    let dashed = |curve: &Compared| curve.look == Style::Dashed;
    let count = |kind: &dyn Fn(&Compared) -> bool| curves.iter().filter(|c| kind(c)).count();
    let (markers, others) = (count(&with_markers), count(&dashed));
    let all_lines = 2 * markers == curves.len();
    let full_lines = 2 * markers == curves.len() - others;
    if markers == 0 || !(all_lines || full_lines) {
        return (0..curves.len()).collect();
    }
    let (mut lines, mut marked, mut left_over) = (0, 0, markers);
    let number = |curve: &Compared| {
        let next = match curve.look {
            _ if with_markers(curve) => &mut marked,
            Style::Dashed if !all_lines => &mut left_over,
            _ => &mut lines,
        };
        *next += 1;
        *next - 1
    };
    curves.iter().map(number).collect()
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
            // Where computed points are all there is, the first and the last keep off the frame.
            let points = chart.curves.iter().all(|curve| curve.look == Style::Joined);
            let room = if points { 0.03 * (right - left) } else { 0.0 };
            (
                Axis::exact(left - room, right + room, 10, chart.x.clone()),
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
            let name = chart.x.clone();
            let x = Axis { low: left - room, high: right + room, ticks, minor: Vec::new(), name };
            (x, Axis::powers(low - 0.05, high + 0.05, chart.y.clone()))
        }
    }
}
