//! Hoop stress over distance and depth: the r–z field of a section, or the map of a path.

use std::path::Path;

use rayon::prelude::*;

use crate::fatigue::front::field::SectionField;
use crate::plot::band_bar::bar;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::level::{Levels, count};
use crate::plot::paper::colour::{INK, Rgb, WHITE, diverging};
use crate::plot::paper::pixels::Pixels;
use crate::plot::paper::raster::{FINE, whole};
use crate::plot::paper::sheet::{Anchor, HEAD, Image, Mark, Pen, Sheet};
use crate::plot::paper::window::Window;

/// Room for the colour bar.
const BAR_ROOM: f64 = 150.0;
/// Width and height of the sheet.
const SIZE: [f64; 2] = [1000.0, 620.0];
/// Pixels between two points of the line of zero stress.
const ZERO_STEP: usize = 2;

/// A field before it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DepthMap<'a> {
    /// Name of the files.
    pub name: &'a str,
    /// Title.
    pub title: &'a str,
    /// Words below the title, after the case.
    pub stage: &'a str,
    /// Distance from the bore up to which it is shown, mm.
    pub reach: f64,
    /// Hoop stress in MPa, depths from the entry face, mm.
    pub field: &'a SectionField,
}

/// Draws `map` into `NAME.svg` and `.png`, entry face on top and the bore on the left.
///
/// # Errors
/// [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn depth_map(
    map: &DepthMap<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let depths = map.field.depths();
    let ends = [depths[0], depths[depths.len() - 1]];
    let frame = Window { low: [110.0, HEAD], high: [SIZE[0] - BAR_ROOM, SIZE[1] - 70.0] };
    let size = frame.size().map(|side| whole(side) as usize * FINE);
    let stress = |column: usize, row: usize| {
        let [x, z] = [
            map.reach * (count(column) + 0.5) / count(size[0]),
            ends[0] + (ends[1] - ends[0]) * (count(row) + 0.5) / count(size[1]),
        ];
        context.stress(map.field.at(x, z))
    };
    let stress = &stress;
    let line = |row: usize| (0..size[0]).map(move |column| stress(column, row));
    let values: Vec<f64> = (0..size[1]).into_par_iter().flat_map_iter(line).collect();
    check_finite(map.name, "hoop stress", &values)?;
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let levels = Levels::covering(low, high);

    let mut sheet = Sheet::new(SIZE, map.title, &context.subtitle(map.stage));
    let mut pixels = Pixels::new(size, WHITE);
    // There are a dozen colours, and a million pixels.
    let colours: Vec<Rgb> =
        (levels.first..=levels.last).map(|band| diverging(levels.share(band))).collect();
    for (row, line) in values.chunks_exact(size[0]).enumerate() {
        let row = pixels.row_mut(row, 0, size[0]).as_chunks_mut::<3>().0;
        for (pixel, value) in row.iter_mut().zip(line) {
            *pixel = colours[band(&levels, *value)].0;
        }
    }
    sheet.marks.push(Mark::Image(Image { window: frame, pixels }));
    // Depth rises downwards: the axis is turned round.
    let mut y = Axis::exact(
        context.length(ends[0]),
        context.length(ends[1]),
        6,
        context.length_axis("Depth below the entry face"),
    );
    std::mem::swap(&mut y.low, &mut y.high);
    let x = Axis::exact(
        0.0,
        context.length(map.reach),
        8,
        context.length_axis("Distance from the bore"),
    );
    let chart = Chart { window: frame, x, y };
    zero_line(&mut sheet, frame, size, &values);
    chart.frame(&mut sheet)?;
    for (y, words) in [(frame.low[1] + 22.0, "entry face"), (frame.high[1] - 10.0, "exit face")] {
        sheet.text([frame.high[0] - 12.0, y], Anchor::End, words);
    }
    bar(&mut sheet, &levels, frame, &context.stress_axis("Hoop stress"));
    save(&sheet, None, folder, map.name)
}

/// The band that holds a value, from the lowest one that is in use.
fn band(levels: &Levels, value: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, reason = "clamped to a dozen bands")]
    let band = (value / levels.step).floor().clamp(-1e6, 1e6) as i32;
    usize::try_from(band.clamp(levels.first, levels.last) - levels.first).unwrap_or(0)
}

/// The line where the stress changes its sign, followed from row to row of the pixels.
fn zero_line(sheet: &mut Sheet, frame: Window, size: [usize; 2], values: &[f64]) {
    let at = |column: f64, row: usize| {
        let share = [column / count(size[0]), (count(row) + 0.5) / count(size[1])];
        [0, 1].map(|axis| frame.low[axis] + share[axis] * (frame.high[axis] - frame.low[axis]))
    };
    let mut line = Vec::new();
    let mut lines = Vec::new();
    for row in (0..size[1]).step_by(ZERO_STEP) {
        let stress = &values[row * size[0]..(row + 1) * size[0]];
        match stress.windows(2).position(|two| two[0] < 0.0 && two[1] >= 0.0) {
            Some(column) => line.push(at(count(column + 1), row)),
            None => lines.push(std::mem::take(&mut line)),
        }
    }
    lines.push(line);
    lines.retain(|line| line.len() > 1);
    sheet.lines(lines, Pen::new(INK, 1.0));
}
