//! Small charts side by side with the same axes: one number over one axis, a panel for every value of
//! another.

use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::curves::{Curve, keys, lay_lines};
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::named_rows::{are_long, named_rows};
use crate::plot::charts::panels::{Multiples, Panel, table};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{MESH, series};
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet, Spot};
use crate::plot::paper::window::Window;

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
    if are_long(chart.names, size[0] / count(chart.names.len().max(1)))? {
        let quantity = [around.low[1], around.high[1]];
        let sheet = named_rows(chart, &placed, quantity, context)?;
        return save(&sheet, Some(&table(chart)), folder, chart.name);
    }
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
