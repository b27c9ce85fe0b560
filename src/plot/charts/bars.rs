//! Horizontal bars, two to a row, with their numbers at the ends.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, series};
use crate::plot::paper::font;
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet, TEXT};
use crate::plot::paper::window::Window;

/// Bars before they are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bars<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title; the line below it has the case and `stage`.
    pub title: &'a str,
    /// Words under the title that hold for all bars.
    pub stage: &'a str,
    /// Quantity and unit of the axis.
    pub axis: &'a str,
    /// Words for the first and the second bar of each row.
    pub kinds: [&'a str; 2],
    /// Rows from the top: words, and its two bars from zero; `None` where there is none.
    pub rows: &'a [(String, [Option<f64>; 2])],
}

const BAR: f64 = 20.0;
const GAP: f64 = 18.0;
const WIDTH: f64 = 1000.0;

/// Draws `bars` into `NAME.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a bar; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn bar_chart(
    bars: &Bars<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = bars.name;
    let values = || bars.rows.iter().flat_map(|row| row.1.iter().flatten());
    if values().next().is_none() {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "bar" });
    }
    check_finite(name, "value of a bar", values())?;
    let mut left: f64 = 0.0;
    for (words, _) in bars.rows {
        left = left.max(font::width(words, TEXT, false)?);
    }
    let left = left + 44.0;
    let height = count(bars.rows.len()) * (2.0 * BAR + GAP) + GAP;
    let window = Window { low: [left, HEAD], high: [WIDTH - 80.0, HEAD + height] };
    let highest = values().copied().fold(0.0, f64::max);
    let mut frame = Chart {
        window,
        x: Axis::rounded(0.0, highest, 8, bars.axis.to_owned()),
        y: Axis::exact(0.0, 1.0, 2, String::new()),
    };
    frame.y.ticks.clear();
    let size = [WIDTH, HEAD + height + 64.0 + ROW + 14.0];
    let mut sheet = Sheet::new(size, bars.title, &context.subtitle(bars.stage));
    frame.grid(&mut sheet);
    for (k, (words, pair)) in bars.rows.iter().enumerate() {
        let top = HEAD + GAP + count(k) * (2.0 * BAR + GAP);
        sheet.text([left - 14.0, top + BAR + 0.36 * TEXT], Anchor::End, words);
        for (j, value) in pair.iter().enumerate() {
            let Some(value) = value else { continue };
            let y = top + count(j) * BAR;
            let end = frame.spot([*value, 0.0])[0];
            let bar = Window { low: [left, y + 1.5], high: [end, y + BAR - 1.5] };
            sheet.rectangle(bar, series(j));
            sheet.border(bar, Pen::new(INK, 0.6));
            sheet.text(
                [end + 8.0, y + 0.5 * BAR + 0.36 * TEXT],
                Anchor::Start,
                &format!("{value:.2}"),
            );
        }
    }
    frame.frame(&mut sheet)?;
    let keys: Vec<Key> = bars
        .kinds
        .iter()
        .enumerate()
        .map(|(k, words)| Key::new(Sample::Area(series(k)), *words))
        .collect();
    legend(&mut sheet, &rows(&keys, WIDTH - left)?, [left, window.high[1] + 58.0]);
    save(&sheet, Some(&table(bars)), folder, name)
}

fn table(bars: &Bars<'_>) -> String {
    let mut text = format!("row,{},{}\n", cell(bars.kinds[0]), cell(bars.kinds[1]));
    for (words, pair) in bars.rows {
        let [one, other] = pair.map(|value| value.map_or_else(String::new, |v| format!("{v}")));
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{},{one},{other}", cell(words));
    }
    text
}
