//! A frame with two axes and the lines, markers and areas of a chart.

use plotters::coord::cartesian::Cartesian2d;
use plotters::coord::ranged1d::{Ranged as _, ValueFormatter as _};
use plotters::drawing::DrawingArea;
use plotters::element::PathElement;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::marker::Marker;
use crate::plot::paper::canvas::{Canvas, NEVER_FAILS, ranges, style};
use crate::plot::paper::colour::{GRID, INK, Rgb};
use crate::plot::paper::font::{self, FontUnusable};
use crate::plot::paper::sheet::{Anchor, Pen, Sheet, Spot, TEXT};
use crate::plot::paper::window::Window;

/// A frame as the plotting library knows it.
type Framed<'a> = DrawingArea<Canvas<'a>, Cartesian2d<Axis, Axis>>;

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

    /// The frame as a drawing area of the plotting library, in the units of the axes.
    fn area<'b>(&self, sheet: &'b mut Sheet, pen: Pen) -> Framed<'b> {
        let Window { low, high } = self.window;
        let axes = Cartesian2d::new(self.x.clone(), self.y.clone(), ranges(low, high));
        Canvas::area(sheet, pen).apply_coord_spec(axes)
    }

    /// Grid lines; to be laid before the curves.
    pub(crate) fn grid(&self, sheet: &mut Sheet) {
        let pen = Pen::new(GRID, 1.0);
        let area = self.area(sheet, pen);
        // The axes have their ticks; no number of them is asked for.
        area.draw_mesh(|canvas, line| line.draw(canvas, &style(pen)), 0, 0).expect(NEVER_FAILS);
    }

    /// Frame, ticks, numbers and names; to be laid after the curves.
    pub(crate) fn frame(&self, sheet: &mut Sheet) -> Result<(), FontUnusable> {
        const TICK: f64 = 6.0;
        const SMALL: f64 = 3.0;
        let Window { low, high } = self.window;
        let pen = Pen::new(INK, 1.2);
        sheet.border(self.window, pen);
        let across = |value: f64| self.spot([value, self.y.low])[0];
        let up = |value: f64| self.spot([self.x.low, value])[1];
        let numbered =
            |axis: &Axis| axis.key_points(axis.ticks.len()).into_iter().map(|at| (at, TICK));
        let small = |axis: &Axis| axis.minor.clone().into_iter().map(|at| (at, SMALL));
        for (at, long) in numbered(&self.x).chain(small(&self.x)) {
            sheet.line(&[[across(at), high[1]], [across(at), high[1] + long]], pen);
        }
        for (at, long) in numbered(&self.y).chain(small(&self.y)) {
            sheet.line(&[[low[0] - long, up(at)], [low[0], up(at)]], pen);
        }
        for at in self.x.key_points(self.x.ticks.len()) {
            let spot = [across(at), high[1] + TICK + 17.0];
            sheet.text(spot, Anchor::Middle, &self.x.format_ext(&at));
        }
        let mut widest: f64 = 0.0;
        for at in self.y.key_points(self.y.ticks.len()) {
            let words = self.y.format_ext(&at);
            sheet.text([low[0] - TICK - 4.0, up(at) + 0.36 * TEXT], Anchor::End, &words);
            widest = widest.max(font::width(&words, TEXT, false)?);
        }
        sheet.text([0.5 * (low[0] + high[0]), high[1] + 46.0], Anchor::Middle, &self.x.name);
        let lines = in_lines(&self.y.name, high[1] - low[1])?;
        for (line, words) in lines.iter().rev().enumerate() {
            let beside = low[0] - widest - 24.0 - 18.0 * f64::from(u8::from(line > 0));
            sheet.upward_text([beside, 0.5 * (low[1] + high[1])], words);
        }
        Ok(())
    }

    /// A curve, cut at the frame.
    pub(crate) fn curve(&self, sheet: &mut Sheet, points: &[[f64; 2]], pen: Pen) {
        let (x, y) = (&self.x, &self.y);
        let inside = Window { low: [x.low, y.low], high: [x.high, y.high] };
        let area = self.area(sheet, pen);
        for part in inside.polyline(points) {
            let points: Vec<(f64, f64)> = part.into_iter().map(|[x, y]| (x, y)).collect();
            area.draw(&PathElement::new(points, style(pen))).expect(NEVER_FAILS);
        }
    }

    /// The area between two curves over the same places, cut at the frame.
    pub(crate) fn between(&self, sheet: &mut Sheet, [one, other]: [&[[f64; 2]]; 2], colour: Rgb) {
        let rim = one.iter().chain(other.iter().rev()).map(|point| self.spot(*point));
        let inside = self.window.part_of_loop(&rim.collect::<Vec<Spot>>());
        if inside.len() > 2 {
            sheet.area(&inside, colour);
        }
    }

    /// A bar from `low` to `high` with short ends across, cut at the frame.
    pub(crate) fn error_bar(&self, sheet: &mut Sheet, [low, high]: [[f64; 2]; 2], pen: Pen) {
        const HALF: f64 = 4.0;
        let ends = [self.spot(low), self.spot(high)];
        let run = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
        let length = run[0].hypot(run[1]).max(f64::MIN_POSITIVE);
        let across = [-HALF * run[1] / length, HALF * run[0] / length];
        let cap = |[x, y]: Spot| [[x - across[0], y - across[1]], [x + across[0], y + across[1]]];
        let lines = [ends, cap(ends[0]), cap(ends[1])];
        let parts = lines.iter().flat_map(|line| self.window.polyline(line)).collect();
        sheet.lines(parts, pen);
    }

    /// Markers at points inside the frame.
    pub(crate) fn markers(&self, sheet: &mut Sheet, points: &[[f64; 2]], marker: Marker) {
        for spot in points.iter().map(|point| self.spot(*point)) {
            if self.window.contains(spot) {
                marker.lay(sheet, spot);
            }
        }
    }

    /// Markers at points inside the frame that lie at least `apart` pixels from the one marked
    /// before; the first and the last are always marked.
    pub(crate) fn sparse_markers(
        &self,
        sheet: &mut Sheet,
        points: &[[f64; 2]],
        marker: Marker,
        apart: f64,
    ) {
        let mut before: Option<Spot> = None;
        let far = |spot: Spot, other: Spot| (spot[0] - other[0]).hypot(spot[1] - other[1]);
        let spots: Vec<Spot> = points.iter().map(|point| self.spot(*point)).collect();
        let inside: Vec<Spot> =
            spots.into_iter().filter(|spot| self.window.contains(*spot)).collect();
        let Some(&last) = inside.last() else { return };
        for (k, &spot) in inside.iter().enumerate() {
            let end = k + 1 == inside.len();
            let clear = before.is_none_or(|before| far(spot, before) >= apart);
            if end || (clear && far(spot, last) >= apart) {
                marker.lay(sheet, spot);
                before = Some(spot);
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

/// The name of an axis in one line, or in two where it is longer than the axis.
fn in_lines(name: &str, length: f64) -> Result<Vec<&str>, FontUnusable> {
    if font::width(name, TEXT, false)? <= length {
        return Ok(vec![name]);
    }
    // Parted at the space nearest to the middle.
    let from_middle = |place: &usize| (2 * place).abs_diff(name.len());
    let space = name.match_indices(' ').map(|(place, _)| place).min_by_key(from_middle);
    Ok(space.map_or_else(|| vec![name], |place| vec![&name[..place], &name[place + 1..]]))
}
