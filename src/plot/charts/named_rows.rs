//! Small charts whose places have names too long to stand side by side: a row for each name, the quantity to the
//! right, markers that no line joins.

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::curves::{Curve, Look, keys, lay_lines};
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::panels::{Multiples, Panel};
use crate::plot::figure::{FigureContext, FigureError};
use crate::plot::level::count;
use crate::plot::paper::colour::{MESH, series};
use crate::plot::paper::font;
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet, TEXT};
use crate::plot::paper::window::Window;

/// Height of a row.
const STEP: f64 = 30.0;
const WIDTH: f64 = 620.0;
const ABOVE: f64 = 26.0;
const BELOW: f64 = 72.0;
const RIGHT: f64 = 40.0;

/// Whether the names of a chart overlap in slots of this width.
pub(super) fn are_long(names: &[String], slot: f64) -> Result<bool, FigureError> {
    for name in names {
        if font::width(name, TEXT, false)? > 0.95 * slot {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The sheet of `chart`, whose points `placed` are where they are drawn and span `around` on the axis of the quantity.
pub(super) fn named_rows(
    chart: &Multiples<'_>,
    placed: &[Panel],
    around: [f64; 2],
    context: FigureContext,
) -> Result<Sheet, FigureError> {
    let mut left: f64 = 0.0;
    for name in chart.names {
        left = left.max(font::width(name, TEXT, false)?);
    }
    let left = left + 40.0;
    let tall = count(chart.names.len()) * STEP;
    let turned: Vec<Vec<Curve>> = placed
        .iter()
        .map(|panel| panel.curves.iter().map(|curve| turn(curve, chart.names.len())).collect())
        .collect();
    let all: Vec<Curve> = turned.iter().flatten().cloned().collect();
    let mut all_keys = keys(&all);
    if placed.iter().any(|panel| !panel.failed.is_empty()) {
        all_keys.push(Key::new(Sample::Line(Pen::new(MESH, 1.6).dashed(&[2.0, 3.0])), "failed"));
    }
    let width = left + WIDTH + RIGHT;
    let key_rows = rows(&all_keys, width - 60.0)?;
    let body = count(placed.len()) * (ABOVE + tall + BELOW);
    let height = HEAD + body + count(key_rows.len()) * ROW + 14.0;
    let mut sheet = Sheet::new([width, height], chart.title, &context.subtitle(chart.stage));
    for (index, (panel, curves)) in placed.iter().zip(&turned).enumerate() {
        let top = HEAD + ABOVE + count(index) * (ABOVE + tall + BELOW);
        let window = Window { low: [left, top], high: [left + WIDTH, top + tall] };
        let mut y = Axis::exact(-0.5, count(chart.names.len()) - 0.5, 4, String::new());
        let up = |k: usize| row(count(k), chart.names.len());
        y.ticks = chart.names.iter().enumerate().map(|(k, name)| (up(k), name.clone())).collect();
        y.minor.clear();
        let frame = Chart { window, x: chart.upward(around, 6), y };
        frame.grid(&mut sheet);
        if !chart.logarithmic {
            frame.curve(
                &mut sheet,
                &[[0.0, frame.y.low], [0.0, frame.y.high]],
                Pen::new(MESH, 1.2),
            );
        }
        for at in &panel.failed {
            let level = row(*at, chart.names.len());
            let ends = [[frame.x.low, level], [frame.x.high, level]];
            frame.curve(&mut sheet, &ends, Pen::new(MESH, 1.6).dashed(&[2.0, 3.0]));
        }
        for bar in &panel.intervals {
            let ends = bar.ends.map(|end| [end, row(bar.x, chart.names.len())]);
            frame.error_bar(&mut sheet, ends, Pen::new(series(bar.colour), 1.4));
        }
        lay_lines(&mut sheet, &frame, curves);
        frame.frame(&mut sheet)?;
        sheet.text([left, top - 8.0], Anchor::Start, &panel.label);
    }
    legend(&mut sheet, &key_rows, [30.0, HEAD + body - 8.0]);
    Ok(sheet)
}

/// Place of a row, the first at the top.
fn row(at: f64, names: usize) -> f64 {
    count(names) - 1.0 - at
}

/// A curve with its axes exchanged and its line taken away: names have no order to join.
fn turn(curve: &Curve, names: usize) -> Curve {
    let look = match curve.look {
        Look::Joined(k) | Look::Line(k) => Look::Markers(k),
        other => other,
    };
    let points = curve.points.iter().map(|[x, y]| [*y, row(*x, names)]).collect();
    Curve { label: curve.label.clone(), points, look }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_name_stands_at_the_top_and_nothing_joins_them() {
        let points = vec![[0.0, -400.0], [1.0, -300.0], [2.0, -200.0]];
        let turned = turn(&Curve { label: String::new(), points, look: Look::Joined(1) }, 3);
        assert_eq!(turned.points, [[-400.0, 2.0], [-300.0, 1.0], [-200.0, 0.0]]);
        assert_eq!(turned.look, Look::Markers(1));
    }
}
