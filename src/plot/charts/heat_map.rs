//! A number over two axes, as coloured cells with the number in each; several maps with one scale.

use std::fmt::Write as _;
use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::{count, label, multiples, round_step};
use crate::plot::paper::colour::{GRID, INK, MESH, Rgb, WHITE, diverging, luminance};
use crate::plot::paper::sheet::{Anchor, HEAD, Mark, Pen, Sheet, Spot, TEXT, Text};
use crate::plot::paper::window::Window;

/// One cell of a map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeatCell {
    /// A number.
    Value(f64),
    /// The case is done and has no such number.
    Nothing,
    /// The case failed.
    Failed,
    /// The case was not wanted.
    Skipped,
}

/// One map.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatPanel {
    /// Words above it; may be empty.
    pub label: String,
    /// Cells, row by row from the bottom, as many in each as there are columns.
    pub cells: Vec<Vec<HeatCell>>,
}

/// Maps before they are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatMap<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title; the line below it has the study and `stage`.
    pub title: &'a str,
    /// Property that all cells have in common.
    pub stage: &'a str,
    /// Quantity and unit to the right, and its values.
    pub x: (&'a str, &'a [String]),
    /// Quantity and unit upward, and its values from the bottom.
    pub y: (&'a str, &'a [String]),
    /// Quantity and unit of the cells.
    pub quantity: &'a str,
    /// Whether the colours go by powers of ten; a cell that is not above zero has none then.
    pub logarithmic: bool,
    /// The maps.
    pub panels: &'a [HeatPanel],
}

const LEFT: f64 = 110.0;
const BETWEEN: f64 = 34.0;
const BAR: f64 = 150.0;
const SMALL: f64 = 13.0;
/// Widest and highest cell.
const CELL: [f64; 2] = [112.0, 52.0];

/// The colours of the values from `low` to `high`: about zero when both signs occur, else from pale to dark
/// by size, in the colours of the sign.
#[derive(Clone, Copy)]
struct Scale {
    low: f64,
    high: f64,
    /// Whether `low` and `high` are exponents of ten.
    logarithmic: bool,
}

impl Scale {
    fn colour(self, value: f64) -> Rgb {
        if !self.logarithmic {
            return self.shade(value);
        }
        if value > 0.0 {
            let share = (value.log10() - self.low) / (self.high - self.low);
            diverging(0.06 + 0.90 * if share.is_finite() { share } else { 0.5 })
        } else {
            WHITE
        }
    }

    fn shade(self, value: f64) -> Rgb {
        let largest = self.low.abs().max(self.high.abs());
        if self.low < 0.0 && self.high > 0.0 {
            return diverging(value / largest);
        }
        let least = self.low.abs().min(self.high.abs());
        let share = if largest > least { (value.abs() - least) / (largest - least) } else { 0.5 };
        let sign = if self.high > 0.0 { 1.0 } else { -1.0 };
        diverging(sign * (0.06 + 0.90 * share))
    }
}

/// Draws `map` into `NAME.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a number; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn heat_map(
    map: &HeatMap<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let values: Vec<f64> =
        map.panels.iter().flat_map(|p| p.cells.iter().flatten()).filter_map(value).collect();
    if values.is_empty() {
        return Err(FigureError::Nothing { figure: map.name.to_owned(), missing: "number" });
    }
    check_finite(map.name, "value of a cell", &values)?;
    let placed = values.iter().filter(|value| !map.logarithmic || **value > 0.0);
    let placed = placed.map(|value| if map.logarithmic { value.log10() } else { *value });
    let ends = placed.map(|value| [value; 2]).reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]);
    let Some([low, high]) = ends else {
        let missing = "number above zero";
        return Err(FigureError::Nothing { figure: map.name.to_owned(), missing });
    };
    let scale = Scale { low, high, logarithmic: map.logarithmic };
    let across = map.panels.len().clamp(1, if map.x.1.len() > 5 { 2 } else { 4 });
    let down = map.panels.len().div_ceil(across);
    let room = (1240.0 / count(across) - BETWEEN) / count(map.x.1.len().max(1));
    let size = [room.clamp(58.0, CELL[0]), CELL[1]];
    let panel = [size[0] * count(map.x.1.len()), size[1] * count(map.y.1.len())];
    let width = LEFT + count(across) * (panel[0] + BETWEEN) + BAR;
    let height = HEAD + count(down) * (panel[1] + 84.0) + 30.0;
    // The quantity may be longer than the colour bar has room for.
    let stage = if map.stage.is_empty() {
        map.quantity.to_owned()
    } else {
        format!("{} · {}", map.quantity, map.stage)
    };
    let mut sheet = Sheet::new([width.max(760.0), height], map.title, &context.subtitle(&stage));
    for (index, one) in map.panels.iter().enumerate() {
        let (column, row) = (count(index % across), count(index / across));
        let corner = [LEFT + column * (panel[0] + BETWEEN), HEAD + 26.0 + row * (panel[1] + 84.0)];
        lay(&mut sheet, map, one, (corner, size), (scale, index % across == 0));
    }
    let bar = [LEFT + count(across) * (panel[0] + BETWEEN), HEAD + 26.0];
    lay_bar(&mut sheet, scale, bar, panel[1].max(160.0));
    save(&sheet, Some(&table(map)), folder, map.name)
}

fn value(cell: &HeatCell) -> Option<f64> {
    match cell {
        HeatCell::Value(value) => Some(*value),
        _ => None,
    }
}

fn words(sheet: &mut Sheet, at: Spot, anchor: Anchor, content: &str, colour: Rgb) {
    sheet.marks.push(Mark::Text(Text {
        at,
        content: content.to_owned(),
        size: SMALL,
        bold: false,
        anchor,
        upward: false,
        colour,
    }));
}

/// Lays one map with its upper left corner at `corner`, cells of `size`.
fn lay(
    sheet: &mut Sheet,
    map: &HeatMap<'_>,
    panel: &HeatPanel,
    (corner, size): (Spot, [f64; 2]),
    (scale, first): (Scale, bool),
) {
    let rows = map.y.1.len();
    let high = [corner[0] + size[0] * count(map.x.1.len()), corner[1] + size[1] * count(rows)];
    sheet.text([corner[0], corner[1] - 8.0], Anchor::Start, &panel.label);
    for (row, cells) in panel.cells.iter().enumerate() {
        let top = corner[1] + size[1] * count(rows - 1 - row);
        for (column, cell) in cells.iter().enumerate() {
            let left = corner[0] + size[0] * count(column);
            let window = Window { low: [left, top], high: [left + size[0], top + size[1]] };
            let middle = [left + 0.5 * size[0], top + 0.5 * size[1] + 0.36 * SMALL];
            lay_cell(sheet, *cell, window, middle, scale);
        }
        if first {
            let at = [corner[0] - 10.0, top + 0.5 * size[1] + 0.36 * TEXT];
            sheet.text(at, Anchor::End, &map.y.1[row]);
        }
    }
    for (column, name) in map.x.1.iter().enumerate() {
        let at = [corner[0] + size[0] * (count(column) + 0.5), high[1] + 20.0];
        words(sheet, at, Anchor::Middle, name, INK);
    }
    sheet.border(Window { low: corner, high }, Pen::new(INK, 1.2));
    sheet.text([0.5 * (corner[0] + high[0]), high[1] + 44.0], Anchor::Middle, map.x.0);
    if first {
        sheet.marks.push(Mark::Text(Text {
            at: [30.0, 0.5 * (corner[1] + high[1])],
            content: map.y.0.to_owned(),
            size: TEXT,
            bold: false,
            anchor: Anchor::Middle,
            upward: true,
            colour: INK,
        }));
    }
}

fn lay_cell(sheet: &mut Sheet, cell: HeatCell, window: Window, middle: Spot, scale: Scale) {
    let cross = |sheet: &mut Sheet| {
        let Window { low, high } = window;
        let lines = vec![vec![low, high], vec![[low[0], high[1]], [high[0], low[1]]]];
        sheet.lines(lines, Pen::new(MESH, 1.0));
    };
    let (colour, text) = match cell {
        HeatCell::Value(value) => (scale.colour(value), printed(value)),
        HeatCell::Nothing => (WHITE, "–".to_owned()),
        HeatCell::Failed => (WHITE, "failed".to_owned()),
        HeatCell::Skipped => (GRID, "skipped".to_owned()),
    };
    sheet.rectangle(window, colour);
    if cell == HeatCell::Failed {
        cross(sheet);
        let around = Window {
            low: [middle[0] - 24.0, middle[1] - 14.0],
            high: [middle[0] + 24.0, middle[1] + 5.0],
        };
        sheet.rectangle(around, WHITE);
    }
    sheet.border(window, Pen::new(WHITE, 0.8));
    let ink = if luminance(colour) > 0.22 { INK } else { WHITE };
    words(sheet, middle, Anchor::Middle, &text, ink);
}

/// A number to three or four digits.
fn printed(value: f64) -> String {
    let size = value.abs();
    let text = if size >= 100.0 {
        format!("{value:.0}")
    } else if size >= 10.0 {
        format!("{value:.1}")
    } else if size >= 0.1 || size == 0.0 {
        format!("{value:.2}")
    } else {
        format!("{value:.4}")
    };
    text.replace('-', "−")
}

fn lay_bar(sheet: &mut Sheet, scale: Scale, corner: Spot, height: f64) {
    const STEPS: usize = 40;
    const WIDE: f64 = 22.0;
    let Scale { low, high, logarithmic } = scale;
    let at = |value: f64| {
        let share = if high > low { (value - low) / (high - low) } else { 0.5 };
        corner[1] + height * (1.0 - share)
    };
    // From the top, each down to the foot, so that no seam shows between two.
    for step in (0..STEPS).rev() {
        let ends = [step, step + 1].map(|k| low + (high - low) * count(k) / count(STEPS));
        let window =
            Window { low: [corner[0], at(ends[1])], high: [corner[0] + WIDE, corner[1] + height] };
        let middle = 0.5 * (ends[0] + ends[1]);
        sheet
            .rectangle(window, scale.colour(if logarithmic { 10f64.powf(middle) } else { middle }));
    }
    let whole = Window { low: corner, high: [corner[0] + WIDE, corner[1] + height] };
    sheet.border(whole, Pen::new(INK, 1.0));
    if logarithmic {
        let axis = Axis::powers(low, high, String::new());
        for (tick, text) in axis.ticks.iter().filter(|(at, _)| (low..=high).contains(at)) {
            let spot = [corner[0] + WIDE + 8.0, at(*tick) + 0.36 * SMALL];
            words(sheet, spot, Anchor::Start, text, INK);
        }
    } else if high > low {
        let step = round_step(high - low, 6);
        for tick in multiples(low, high, step) {
            let spot = [corner[0] + WIDE + 8.0, at(tick) + 0.36 * SMALL];
            words(sheet, spot, Anchor::Start, &label(tick, step), INK);
        }
    }
}

fn table(map: &HeatMap<'_>) -> String {
    let mut text = format!("panel,{},{},{}\n", cell(map.x.0), cell(map.y.0), cell(map.quantity));
    for panel in map.panels {
        for (row, cells) in panel.cells.iter().enumerate() {
            for (column, one) in cells.iter().enumerate() {
                let value = match one {
                    HeatCell::Value(value) => format!("{value}"),
                    HeatCell::Nothing => String::new(),
                    HeatCell::Failed => "failed".to_owned(),
                    HeatCell::Skipped => "skipped".to_owned(),
                };
                let (x, y) = (cell(&map.x.1[column]), cell(&map.y.1[row]));
                // Writing to a string cannot fail.
                let _ = writeln!(text, "{},{x},{y},{value}", cell(&panel.label));
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    #[test]
    fn a_logarithmic_map_without_a_number_above_zero_has_nothing_to_show() {
        let names = ["one".to_owned(), "two".to_owned()];
        let cells = vec![vec![HeatCell::Value(-1.0), HeatCell::Value(0.0)]];
        let map = HeatMap {
            name: "factor",
            title: "",
            stage: "",
            x: ("x", &names),
            y: ("y", &names[..1]),
            quantity: "factor",
            logarithmic: true,
            panels: &[HeatPanel { label: String::new(), cells }],
        };
        let context = FigureContext { case_title: "", units: Units::MmMpa };
        let drawn = heat_map(&map, context, Path::new("nowhere"));
        assert!(matches!(drawn, Err(FigureError::Nothing { .. })), "{drawn:?}");
    }
}
