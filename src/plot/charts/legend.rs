//! The legend of a chart: keys in rows.

use crate::plot::charts::marker::Marker;
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, Rgb};
use crate::plot::paper::font::{self, FontUnusable};
use crate::plot::paper::sheet::{Anchor, Pen, Sheet, Spot, TEXT};
use crate::plot::paper::window::Window;

/// One entry of a legend.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Key {
    pub(crate) sample: Sample,
    pub(crate) label: String,
}

/// The sample before the words of a legend entry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sample {
    Line(Pen),
    Marked(Pen, Marker),
    Marker(Marker),
    Area(Rgb),
}

impl Key {
    pub(crate) fn new(sample: Sample, label: impl Into<String>) -> Self {
        Self { sample, label: label.into() }
    }
}

/// Height of a row of a legend.
pub(crate) const ROW: f64 = 25.0;
const SAMPLE: f64 = 40.0;

/// Breaks keys into rows no wider than `width`.
pub(crate) fn rows(keys: &[Key], width: f64) -> Result<Vec<Vec<(f64, Key)>>, FontUnusable> {
    let mut rows: Vec<Vec<(f64, Key)>> = Vec::new();
    let mut used = f64::INFINITY;
    for key in keys {
        let room = SAMPLE + 8.0 + font::width(&key.label, TEXT, false)? + 26.0;
        if used + room - 26.0 > width {
            rows.push(Vec::new());
            used = 0.0;
        }
        if let Some(row) = rows.last_mut() {
            row.push((used, key.clone()));
        }
        used += room;
    }
    Ok(rows)
}

/// Lays rows of keys from `corner` (left, top) down.
pub(crate) fn legend(sheet: &mut Sheet, rows: &[Vec<(f64, Key)>], corner: Spot) {
    for (k, row) in rows.iter().enumerate() {
        let middle = corner[1] + (count(k) + 0.5) * ROW;
        for (shift, key) in row {
            let left = corner[0] + shift;
            let line = [[left, middle], [left + SAMPLE, middle]];
            let centre = [left + 0.5 * SAMPLE, middle];
            match key.sample {
                Sample::Line(pen) => sheet.line(&line, pen),
                Sample::Marked(pen, marker) => {
                    sheet.line(&line, pen);
                    marker.lay(sheet, centre);
                }
                Sample::Marker(marker) => marker.lay(sheet, centre),
                Sample::Area(colour) => {
                    let window = Window {
                        low: [left + 8.0, middle - 8.0],
                        high: [left + SAMPLE, middle + 8.0],
                    };
                    sheet.rectangle(window, colour);
                    sheet.border(window, Pen::new(INK, 0.8));
                }
            }
            sheet.text([left + SAMPLE + 8.0, middle + 0.36 * TEXT], Anchor::Start, &key.label);
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    #[test]
    fn keys_flow_into_rows_that_fit() {
        let pen = Pen::new(INK, 2.0);
        let keys: Vec<Key> =
            (0..7).map(|k| Key::new(Sample::Line(pen), format!("stage number {k}"))).collect();
        let rows = rows(&keys, 500.0).unwrap();
        assert!(rows.len() > 1);
        assert_eq!(rows.iter().map(Vec::len).sum::<usize>(), 7);
    }
}
