//! A frame with two axes and the lines, markers and keys of a chart.
//!
//! Floor 7, `plot`.

use crate::plot::clip::Window;
use crate::plot::colour::{GRID, INK, Rgb, WHITE};
use crate::plot::font::{self, FontUnusable};
use crate::plot::level::{count, label, multiples, round_step};
use crate::plot::sheet::{Anchor, Pen, Sheet, Spot, TEXT};

/// One axis: its range, its ticks, its name with the unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Axis {
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) ticks: Vec<(f64, String)>,
    pub(crate) name: String,
}

impl Axis {
    /// Exactly `low..=high`, with at most about `most` round ticks.
    pub(crate) fn exact(low: f64, high: f64, most: usize, name: String) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        let step = round_step(high - low, most);
        let ticks = multiples(low, high, step).into_iter().map(|value| (value, label(value, step)));
        Self { low, high, ticks: ticks.collect(), name }
    }

    /// Widened to the round ticks outside `low..=high`.
    pub(crate) fn rounded(low: f64, high: f64, most: usize, name: String) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        let step = round_step(high - low, most);
        let (low, high) = ((low / step + 1e-9).floor() * step, (high / step - 1e-9).ceil() * step);
        Self::exact(low, high, most + 2, name)
    }

    /// Whole powers of ten; positions on this axis are exponents.
    pub(crate) fn powers(low: f64, high: f64, name: String) -> Self {
        let (low, high) = (low.floor(), high.ceil().max(low.floor() + 1.0));
        let step = round_step(high - low, 8).max(1.0);
        let ticks = multiples(low, high, step).into_iter().map(|value| (value, power(value)));
        Self { low, high, ticks: ticks.collect(), name }
    }
}

/// `10` with a raised exponent.
fn power(exponent: f64) -> String {
    let digits = format!("{exponent:.0}");
    let raised = digits.chars().map(|sign| match sign {
        '-' => '⁻',
        '1' => '¹',
        '2' => '²',
        '3' => '³',
        digit => char::from_u32(0x2070 + digit.to_digit(10).unwrap_or(0)).unwrap_or(digit),
    });
    "10".chars().chain(raised).collect()
}

/// A window of the sheet with axes.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chart {
    pub(crate) window: Window,
    pub(crate) x: Axis,
    pub(crate) y: Axis,
}

impl Chart {
    /// Where a point of the chart lies on the sheet.
    pub(crate) fn spot(&self, [x, y]: [f64; 2]) -> Spot {
        let [width, height] = self.window.size();
        [
            self.window.low[0] + (x - self.x.low) / (self.x.high - self.x.low) * width,
            self.window.high[1] - (y - self.y.low) / (self.y.high - self.y.low) * height,
        ]
    }

    /// Grid lines; to be laid before the curves.
    pub(crate) fn grid(&self, sheet: &mut Sheet) {
        for (value, _) in &self.x.ticks {
            let x = self.spot([*value, self.y.low])[0];
            sheet
                .line(vec![[x, self.window.low[1]], [x, self.window.high[1]]], Pen::new(GRID, 1.0));
        }
        for (value, _) in &self.y.ticks {
            let y = self.spot([self.x.low, *value])[1];
            sheet
                .line(vec![[self.window.low[0], y], [self.window.high[0], y]], Pen::new(GRID, 1.0));
        }
    }

    /// Frame, ticks, numbers and names; to be laid after the curves.
    pub(crate) fn frame(&self, sheet: &mut Sheet) -> Result<(), FontUnusable> {
        const TICK: f64 = 6.0;
        let Window { low, high } = self.window;
        let pen = Pen::new(INK, 1.2);
        sheet.border(self.window, pen);
        let mut widest: f64 = 0.0;
        for (value, text) in &self.x.ticks {
            let x = self.spot([*value, self.y.low])[0];
            sheet.line(vec![[x, high[1]], [x, high[1] + TICK]], pen);
            sheet.text([x, high[1] + TICK + 17.0], Anchor::Middle, text);
        }
        for (value, text) in &self.y.ticks {
            let y = self.spot([self.x.low, *value])[1];
            sheet.line(vec![[low[0] - TICK, y], [low[0], y]], pen);
            sheet.text([low[0] - TICK - 4.0, y + 0.36 * TEXT], Anchor::End, text);
            widest = widest.max(font::width(text, TEXT, false)?);
        }
        sheet.text([0.5 * (low[0] + high[0]), high[1] + 46.0], Anchor::Middle, &self.x.name);
        sheet.upward_text([low[0] - widest - 24.0, 0.5 * (low[1] + high[1])], &self.y.name);
        Ok(())
    }

    /// A curve, cut at the frame.
    pub(crate) fn curve(&self, sheet: &mut Sheet, points: &[[f64; 2]], pen: Pen) {
        let spots: Vec<Spot> = points.iter().map(|point| self.spot(*point)).collect();
        for part in self.window.polyline(&spots) {
            sheet.line(part, pen);
        }
    }

    /// Markers at points inside the frame.
    pub(crate) fn markers(&self, sheet: &mut Sheet, points: &[[f64; 2]], marker: Marker) {
        for spot in points.iter().map(|point| self.spot(*point)) {
            if self.window.contains(spot) {
                marker.lay(sheet, spot);
            }
        }
    }

    /// Markers along a curve, one about every `spacing` pixels from `start` on.
    pub(crate) fn spaced_markers(
        &self,
        sheet: &mut Sheet,
        points: &[[f64; 2]],
        marker: Marker,
        [start, spacing]: [f64; 2],
    ) {
        let spots: Vec<Spot> = points.iter().map(|point| self.spot(*point)).collect();
        let mut left = start;
        for pair in spots.windows(2) {
            let run = [pair[1][0] - pair[0][0], pair[1][1] - pair[0][1]];
            let length = run[0].hypot(run[1]);
            let mut done = 0.0;
            while left <= length - done && length > 0.0 {
                done += left;
                left = spacing;
                let share = done / length;
                let spot = [pair[0][0] + share * run[0], pair[0][1] + share * run[1]];
                if self.window.contains(spot) {
                    marker.lay(sheet, spot);
                }
            }
            left -= length - done;
        }
    }
}

/// Shape of a marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shape {
    Round,
    Square,
    Triangle,
    Diamond,
}

impl Shape {
    /// Shape number `index`, starting over after the last.
    pub(crate) fn number(index: usize) -> Self {
        [Self::Round, Self::Square, Self::Triangle, Self::Diamond][index % 4]
    }
}

/// A marker: full, or open with a white middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Marker {
    pub(crate) shape: Shape,
    pub(crate) colour: Rgb,
    pub(crate) open: bool,
}

impl Marker {
    pub(crate) fn full(shape: Shape, colour: Rgb) -> Self {
        Self { shape, colour, open: false }
    }

    pub(crate) fn lay(self, sheet: &mut Sheet, at: Spot) {
        sheet.area(self.outline(at, 4.6), self.colour);
        if self.open {
            sheet.area(self.outline(at, 2.8), WHITE);
        }
    }

    fn outline(self, [x, y]: Spot, size: f64) -> Vec<Spot> {
        let (corners, turn, size) = match self.shape {
            Shape::Round => (16, 0.0, size),
            Shape::Square => (4, 0.125, size * 1.25),
            Shape::Triangle => (3, 0.75, size * 1.35),
            Shape::Diamond => (4, 0.0, size * 1.3),
        };
        (0..corners)
            .map(|k| {
                let angle = std::f64::consts::TAU * (count(k) / count(corners) + turn);
                [x + size * angle.cos(), y + size * angle.sin()]
            })
            .collect()
    }
}

/// One entry of a legend.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Key {
    pub(crate) sample: Sample,
    pub(crate) label: String,
}

/// What stands before the words of a legend entry.
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
            let line = vec![[left, middle], [left + SAMPLE, middle]];
            let centre = [left + 0.5 * SAMPLE, middle];
            match key.sample {
                Sample::Line(pen) => sheet.line(line, pen),
                Sample::Marked(pen, marker) => {
                    sheet.line(line, pen);
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
    fn powers_of_ten_have_raised_exponents() {
        assert_eq!(power(-8.0), "10⁻⁸");
        assert_eq!(power(12.0), "10¹²");
        assert_eq!(power(0.0), "10⁰");
    }

    #[test]
    fn a_rounded_axis_covers_its_values_and_ends_on_ticks() {
        let axis = Axis::rounded(-412.0, 133.0, 8, String::new());
        assert!(axis.low <= -412.0 && axis.high >= 133.0);
        let (first, last) = (axis.ticks.first().unwrap(), axis.ticks.last().unwrap());
        assert!((first.0 - axis.low).abs() < 1e-9 && (last.0 - axis.high).abs() < 1e-9);
    }

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
