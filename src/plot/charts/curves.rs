//! A chart of any curves: what lessons and library users draw beside the figures of a run.
//!
//! Values are drawn as given, so the names of the axes carry the unit.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::path::Path;

use crate::numeric::monotone::through;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, MESH, Rgb, series};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;

/// How a curve is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// A full line in colour number `0`, `1`, …, with a marker where it ends.
    Line(usize),
    /// A full line in that colour, bare.
    Bare(usize),
    /// A dashed line in that colour.
    Dashed(usize),
    /// Separate full markers in that colour.
    Markers(usize),
    /// Separate open markers in that colour, through which a line of the same colour shows.
    Open(usize),
    /// Markers in that colour, joined by a line.
    Joined(usize),
    /// Separate open markers in ink: a closed form or measured points.
    Points,
    /// A thin grey dashed line: a bound, a circle.
    Guide,
    /// A thin grey full line: an axis.
    Axis,
}

/// One curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Words in the legend, with the source; curves of equal words share an entry.
    pub label: String,
    /// Points `[x, y]`, in the units of the axes.
    pub points: Vec<[f64; 2]>,
    /// How it is drawn.
    pub look: Look,
}

/// A chart before it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveChart<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title; the line below it has the case and `stage`.
    pub title: &'a str,
    /// Stage, or what else the curves have in common.
    pub stage: &'a str,
    /// Quantity and unit of the axis to the right.
    pub x: &'a str,
    /// Quantity and unit of the axis upward.
    pub y: &'a str,
    /// Whether both axes have one scale, so that a circle is round.
    pub equal: bool,
    /// Whether lines bend smoothly from point to point; no point is added to the table.
    pub smooth: bool,
    /// The curves, later ones on top.
    pub curves: &'a [Curve],
}

impl<'a> CurveChart<'a> {
    /// A chart whose axes have scales of their own: name, title and stage, then the words of both axes.
    #[must_use]
    pub fn new(
        [name, title, stage]: [&'a str; 3],
        [x, y]: [&'a str; 2],
        curves: &'a [Curve],
    ) -> Self {
        Self { name, title, stage, x, y, equal: false, smooth: false, curves }
    }

    /// The same with lines that bend smoothly from point to point, where the curves are known at few.
    #[must_use]
    pub fn smooth(self) -> Self {
        Self { smooth: true, ..self }
    }
}

const DASH: &[f64] = &[8.0, 5.0];
const GUIDE_DASH: &[f64] = &[3.0, 4.0];
/// Least distance of two markers of one curve, pixels; more points are left out.
const APART: f64 = 14.0;
/// Frame of a chart with equal scales.
const SQUARE: f64 = 620.0;

/// Size of a sheet, and where its frame and its keys begin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layout {
    /// Width and height.
    pub(super) size: [f64; 2],
    /// Left side of the frame and of the keys.
    pub(super) left: f64,
    /// Width that rows of keys leave free.
    pub(super) margin: f64,
}

/// A sheet with axes of their own.
pub(super) const USUAL: Layout = Layout { size: [1000.0, 700.0], left: 96.0, margin: 126.0 };

impl Layout {
    /// The frame above as many rows of keys as `curves` need.
    pub(super) fn window(self, curves: &[Curve]) -> Result<Window, FigureError> {
        let [width, height] = self.size;
        let key_rows = rows(&keys(curves), width - self.margin)?;
        let bottom = height - 64.0 - count(key_rows.len()) * ROW - 14.0;
        Ok(Window { low: [self.left, HEAD], high: [width - 30.0, bottom] })
    }
}

/// Draws `chart` into `NAME.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a point; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn curve_chart(
    chart: &CurveChart<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let (sheet, _) = laid(chart, USUAL.size, context)?;
    save(&sheet, Some(&table([chart.x, chart.y], chart.curves)), folder, chart.name)
}

/// The sheet of a chart, of `size` unless its scales are equal, and its frame.
pub(crate) fn laid(
    chart: &CurveChart<'_>,
    size: [f64; 2],
    context: FigureContext,
) -> Result<(Sheet, Chart), FigureError> {
    let name = chart.name;
    let points = || chart.curves.iter().flat_map(|curve| curve.points.iter());
    if points().next().is_none() {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "point" });
    }
    check_finite(name, "value of a curve", points().flatten())?;
    let around = Window::around(points().copied());
    let (layout, window, [x, y]) = if chart.equal {
        equal_frame(chart, around)?
    } else {
        let layout = Layout { size, ..USUAL };
        let most = if size[0] < 800.0 { 5 } else { 8 };
        let axis = |k: usize, name: &str| {
            let (low, high) = (around.low[k], around.high[k]);
            if k == 0 && name.contains("degrees") && low >= 0.0 && (high - 360.0).abs() < 1e-6 {
                return Axis::whole_turn(name.to_owned());
            }
            // To the right zero is shown unless it would leave a third of the frame empty.
            let far = k == 0 && low > high / 3.0;
            let (low, high) = if far { (low, high) } else { (low.min(0.0), high.max(0.0)) };
            Axis::rounded(low, high, most, name.to_owned())
        };
        (layout, layout.window(chart.curves)?, [axis(0, chart.x), axis(1, chart.y)])
    };
    let frame = Chart { window, x, y };
    let mut sheet = Sheet::new(layout.size, chart.title, &context.subtitle(chart.stage));
    frame.grid(&mut sheet);
    for ends in
        [[[frame.x.low, 0.0], [frame.x.high, 0.0]], [[0.0, frame.y.low], [0.0, frame.y.high]]]
    {
        frame.curve(&mut sheet, &ends, Pen::new(MESH, 1.2));
    }
    lay_curves(&mut sheet, &frame, &as_drawn(chart.curves, chart.smooth), layout)?;
    Ok((sheet, frame))
}

/// Lays curves, frame and legend on a sheet that has its grid.
pub(super) fn lay_curves(
    sheet: &mut Sheet,
    frame: &Chart,
    curves: &[Curve],
    layout: Layout,
) -> Result<(), FigureError> {
    lay_lines(sheet, frame, curves);
    frame.frame(sheet)?;
    let key_rows = rows(&keys(curves), sheet.size[0] - layout.margin)?;
    legend(sheet, &key_rows, [layout.left, frame.window.high[1] + 58.0]);
    Ok(())
}

/// The curves, lines with the points of a smooth bend between theirs when they are `smooth`.
pub(super) fn as_drawn(curves: &[Curve], smooth: bool) -> Cow<'_, [Curve]> {
    if !smooth {
        return Cow::Borrowed(curves);
    }
    let drawn = curves.iter().map(|curve| match curve.look {
        Look::Line(_) | Look::Bare(_) | Look::Dashed(_) => {
            Curve { points: through(&curve.points), ..curve.clone() }
        }
        _ => curve.clone(),
    });
    Cow::Owned(drawn.collect())
}

/// Lays curves and their markers alone.
pub(super) fn lay_lines(sheet: &mut Sheet, frame: &Chart, curves: &[Curve]) {
    for curve in curves {
        let points = &curve.points;
        if !matches!(curve.look, Look::Points | Look::Markers(_) | Look::Open(_)) {
            frame.curve(sheet, points, pen(curve.look));
        }
    }
    // Markers last: no line may cross one out.
    for curve in curves {
        let points = &curve.points;
        let end = points.len().saturating_sub(1);
        match curve.look {
            Look::Points => frame.sparse_markers(sheet, points, points_marker(), APART),
            Look::Line(k) => frame.markers(sheet, &points[end..], marker(k)),
            Look::Open(k) => frame.sparse_markers(sheet, points, open_marker(k), APART),
            Look::Markers(k) | Look::Joined(k) => {
                frame.sparse_markers(sheet, points, marker(k), APART);
            }
            Look::Bare(_) | Look::Dashed(_) | Look::Guide | Look::Axis => {}
        }
    }
}

/// Layout, frame and axes when both axes have one scale.
fn equal_frame(
    chart: &CurveChart<'_>,
    around: Window,
) -> Result<(Layout, Window, [Axis; 2]), FigureError> {
    let [wide, high] = around.size();
    let side = 1.08 * wide.max(high);
    let axis = |k: usize, name: &str| {
        let middle = 0.5 * (around.low[k] + around.high[k]);
        Axis::exact(middle - 0.5 * side, middle + 0.5 * side, 8, name.to_owned())
    };
    let width = SQUARE + 126.0 + 60.0;
    let key_rows = rows(&keys(chart.curves), width - USUAL.margin)?;
    let height = HEAD + SQUARE + 64.0 + 14.0 + count(key_rows.len()) * ROW;
    let window = Window { low: [126.0, HEAD], high: [126.0 + SQUARE, HEAD + SQUARE] };
    let layout = Layout { size: [width, height], ..USUAL };
    Ok((layout, window, [axis(0, chart.x), axis(1, chart.y)]))
}

fn pen(look: Look) -> Pen {
    let colour = |k: usize| -> Rgb { series(k) };
    match look {
        Look::Line(k) => Pen::new(colour(k), 2.6),
        Look::Bare(k) | Look::Markers(k) | Look::Open(k) | Look::Joined(k) => {
            Pen::new(colour(k), 2.2)
        }
        Look::Dashed(k) => Pen::new(colour(k), 2.2).dashed(DASH),
        Look::Points => Pen::new(INK, 1.0),
        Look::Guide => Pen::new(MESH, 1.6).dashed(GUIDE_DASH),
        Look::Axis => Pen::new(MESH, 1.0),
    }
}

fn points_marker() -> Marker {
    Marker { shape: Shape::Round, colour: INK, open: true }
}

fn open_marker(k: usize) -> Marker {
    Marker { open: true, ..marker(k) }
}

fn marker(k: usize) -> Marker {
    Marker::full(Shape::number(k), series(k))
}

/// Keys of curves; equal words share one.
pub(super) fn keys(curves: &[Curve]) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    for curve in curves {
        if curve.label.is_empty() || keys.iter().any(|key| key.label == curve.label) {
            continue;
        }
        let sample = match curve.look {
            Look::Points => Sample::Marker(points_marker()),
            Look::Markers(k) => Sample::Marker(marker(k)),
            Look::Open(k) => Sample::Marker(open_marker(k)),
            Look::Line(k) | Look::Joined(k) => Sample::Marked(pen(curve.look), marker(k)),
            Look::Bare(_) | Look::Dashed(_) | Look::Guide | Look::Axis => {
                Sample::Line(pen(curve.look))
            }
        };
        keys.push(Key::new(sample, curve.label.clone()));
    }
    keys
}

/// All points, curve by curve, under the names of the axes.
pub(super) fn table([x, y]: [&str; 2], curves: &[Curve]) -> String {
    let mut text = format!("curve,{},{}\n", cell(x), cell(y));
    for curve in curves {
        for [x, y] in &curve.points {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{x},{y}", cell(&curve.label));
        }
    }
    text
}
