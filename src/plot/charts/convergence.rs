//! How the run converged: out-of-balance force after every Newton iteration, iterations
//! and halvings of every increment.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, Rgb, series};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::process::history::HistoryRecord;

const TOLERANCE_DASH: &[f64] = &[8.0, 5.0];

/// Relative residual of every iteration against the `tolerance`, and iterations of every
/// increment, into `convergence.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] when there is no iteration at all; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn convergence_history(
    records: &[HistoryRecord],
    tolerance: f64,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = "convergence";
    let total: usize = records.iter().map(|record| record.residuals.len()).sum();
    if total == 0 {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "iteration" });
    }
    check_finite(name, "residual", records.iter().flat_map(|record| &record.residuals))?;
    check_finite(name, "tolerance", [&tolerance])?;
    let stages = stages(records);
    let mut keys: Vec<Key> = stages
        .iter()
        .enumerate()
        .map(|(k, stage)| Key::new(Sample::Marked(pen(k), dot(series(k))), *stage))
        .collect();
    keys.push(Key::new(Sample::Line(tolerance_pen()), format!("tolerance {tolerance:e}")));
    if records.iter().any(|record| record.halvings > 0) {
        keys.push(Key::new(Sample::Marker(cut()), "increment was halved"));
    }

    let (width, height) = (1000.0, 800.0);
    let key_rows = rows(&keys, width - 126.0)?;
    let subtitle = format!("{} increments, {total} iterations", records.len());
    let mut sheet =
        Sheet::new([width, height], "Convergence of the run", &context.subtitle(&subtitle));
    let foot = height - count(key_rows.len()) * ROW - 14.0;
    legend(&mut sheet, &key_rows, [96.0, foot]);
    let lower = Window { low: [96.0, foot - 58.0 - 140.0], high: [width - 30.0, foot - 58.0] };
    let upper = Window { low: [96.0, HEAD], high: [width - 30.0, lower.low[1] - 74.0] };

    residuals(&mut sheet, upper, records, &stages, tolerance)?;
    iterations(&mut sheet, lower, records, &stages)?;
    save(&sheet, Some(&table(records)), folder, name)
}

/// Labels of the stages, in order.
fn stages(records: &[HistoryRecord]) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for record in records {
        if !names.contains(&record.stage.as_str()) {
            names.push(&record.stage);
        }
    }
    names
}

fn number(stages: &[&str], record: &HistoryRecord) -> usize {
    stages.iter().position(|stage| *stage == record.stage).unwrap_or(0)
}

fn pen(stage: usize) -> Pen {
    Pen::new(series(stage), 1.6)
}

fn tolerance_pen() -> Pen {
    Pen::new(INK, 1.6).dashed(TOLERANCE_DASH)
}

fn dot(colour: Rgb) -> Marker {
    Marker::full(Shape::Round, colour)
}

fn cut() -> Marker {
    Marker::full(Shape::Triangle, INK)
}

fn residuals(
    sheet: &mut Sheet,
    window: Window,
    records: &[HistoryRecord],
    stages: &[&str],
    tolerance: f64,
) -> Result<(), FigureError> {
    let exponent = |value: f64| value.abs().log10();
    // An exact zero has no logarithm; the table still holds it.
    let finite = |value: &f64| exponent(*value).is_finite();
    let every = || records.iter().flat_map(|record| &record.residuals);
    let all = || every().filter(|value| finite(value)).map(|value| exponent(*value));
    let low = all().fold(exponent(tolerance), f64::min);
    let high = all().fold(exponent(tolerance), f64::max);
    let total = every().count();
    let chart = Chart {
        window,
        x: Axis::exact(0.0, count(total + 1), 10, "Newton iteration, whole run".to_owned()),
        y: Axis::powers(low - 0.2, high + 0.2, "Relative residual".to_owned()),
    };
    chart.grid(sheet);
    let limit = exponent(tolerance);
    chart.curve(sheet, &[[0.0, limit], [chart.x.high, limit]], tolerance_pen());
    let mut before = 0;
    for record in records {
        let stage = number(stages, record);
        let points: Vec<[f64; 2]> = record
            .residuals
            .iter()
            .enumerate()
            .filter(|(_, value)| finite(value))
            .map(|(k, value)| [count(before + k + 1), exponent(*value)])
            .collect();
        chart.curve(sheet, &points, pen(stage));
        // Beyond a few hundred the dots would run into a band.
        if total <= 250 {
            chart.markers(sheet, &points, dot(series(stage)));
        }
        before += record.residuals.len();
    }
    chart.frame(sheet)?;
    Ok(())
}

fn iterations(
    sheet: &mut Sheet,
    window: Window,
    records: &[HistoryRecord],
    stages: &[&str],
) -> Result<(), FigureError> {
    let most = records.iter().map(|record| record.iterations).max().unwrap_or(1);
    // Headroom for the sign of a halving above the tallest bar.
    let mut y = Axis::rounded(0.0, count(most) * 1.15, 4, "Iterations".to_owned());
    y.ticks.retain(|(value, _)| value.fract() == 0.0);
    for (value, text) in &mut y.ticks {
        *text = format!("{value:.0}");
    }
    let last = count(records.len()) + 0.5;
    let mut x = Axis::exact(0.5, last.max(1.5), 10, "Increment, whole run".to_owned());
    x.ticks.retain(|(value, _)| value.fract() == 0.0);
    for (value, text) in &mut x.ticks {
        *text = format!("{value:.0}");
    }
    let chart = Chart { window, x, y };
    chart.grid(sheet);
    for (k, record) in records.iter().enumerate() {
        let (middle, tall) = (count(k + 1), count(record.iterations));
        let low = chart.spot([middle - 0.4, tall]);
        let high = chart.spot([middle + 0.4, 0.0]);
        sheet.rectangle(Window { low, high }, series(number(stages, record)));
        if record.halvings > 0 {
            let [x, y] = chart.spot([middle, tall]);
            cut().lay(sheet, [x, y - 9.0]);
        }
    }
    chart.frame(sheet)?;
    Ok(())
}

fn table(records: &[HistoryRecord]) -> String {
    let mut text = "stage,phase,increment,halvings,iteration,residual\n".to_owned();
    for record in records {
        for (k, residual) in record.residuals.iter().enumerate() {
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "{},{},{},{},{},{residual:e}",
                cell(&record.stage),
                record.phase.name(),
                record.increment,
                record.halvings,
                k + 1
            );
        }
    }
    text
}
