//! The plate as it is drawn before any work, with dimensions: size, holes, cut-outs, regions, held edges.
//!
//! Places are measured from a datum, the lower left corner of the box round the outline or the centre of a round
//! plate. Each has one line along the foot and one along the left side, so that many holes do not cross.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::geometry::outline::Loop;
use crate::geometry::piece::Piece;
use crate::geometry::plate::{Outline, Plate};
use crate::plot::figure::{Figure, FigureContext, FigureError, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, MESH, RING_TINT, WHITE};
use crate::plot::paper::font;
use crate::plot::paper::sheet::{Anchor, HEAD, Pen, Sheet, Spot, TEXT};
use crate::plot::paper::window::Window;

/// Room for dimensions left of the plate and below it.
const LEFT: f64 = 150.0;
const FOOT: f64 = 118.0;
/// Room right of the plate and above it.
const RIGHT: f64 = 60.0;
const ABOVE: f64 = 16.0;
/// Largest picture of the plate.
const LARGEST: [f64; 2] = [620.0, 460.0];
/// Straight parts of a quarter circle.
const PARTS: u32 = 24;
/// Least distance between two numbers along a side.
const APART: f64 = 19.0;
const REGION: &[f64] = &[7.0, 4.0];
const CENTRE_LINE: &[f64] = &[10.0, 4.0, 2.0, 4.0];
/// Length of the strokes that mark a held edge, and their distance.
const HATCH: f64 = 9.0;

/// Parts of the drawing beside the plate itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct PlateMarks<'a> {
    /// Diameter of each hole after its last ream, mm.
    pub finished: &'a [Option<f64>],
    /// Names of held edges.
    pub held: &'a [&'a str],
    /// Outlines of regions of another thickness or metal.
    pub regions: &'a [&'a Loop],
}

/// The plate with its dimensions, into `plate.svg` and `.png`.
///
/// # Errors
///
/// [`FigureError`] when a file cannot be written.
pub fn plate_drawing(
    plate: &Plate,
    marks: PlateMarks,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let drawing = Drawing::new(plate, context);
    let size = drawing.size();
    let thickness = drawing.number(plate.thickness);
    let unit = context.units.length_name();
    let subtitle = context.subtitle(&format!("thickness {thickness}, dimensions in {unit}"));
    let mut sheet = Sheet::new([size[0].max(620.0), size[1]], "The plate as drawn", &subtitle);
    drawing.metal(&mut sheet);
    for region in marks.regions {
        sheet.lines(drawing.visible(region), Pen::new(INK, 1.2).dashed(REGION));
    }
    drawing.held(&mut sheet, marks.held);
    drawing.holes(&mut sheet, marks.finished)?;
    drawing.sizes(&mut sheet);
    drawing.places(&mut sheet);
    save(&sheet, None, folder, "plate")
}

struct Drawing<'a> {
    plate: &'a Plate,
    context: FigureContext<'a>,
    low: [f64; 2],
    high: [f64; 2],
    datum: [f64; 2],
    scale: f64,
}

impl<'a> Drawing<'a> {
    fn new(plate: &'a Plate, context: FigureContext<'a>) -> Self {
        let [low, high] = plate.outline.bounds();
        let [width, height] = [high[0] - low[0], high[1] - low[1]];
        let scale = (LARGEST[0] / width).min(LARGEST[1] / height);
        let datum = if matches!(plate.outline, Outline::Disc { .. }) {
            plate.outline.middle()
        } else {
            low
        };
        Self { plate, context, low, high, datum, scale }
    }

    fn size(&self) -> [f64; 2] {
        [0, 1].map(|axis| {
            let room = [LEFT + RIGHT, HEAD + ABOVE + FOOT][axis];
            (self.scale * (self.high[axis] - self.low[axis]) + room).ceil()
        })
    }

    /// Where a point in mm lies on the sheet.
    fn spot(&self, [x, y]: [f64; 2]) -> Spot {
        [LEFT + self.scale * (x - self.low[0]), HEAD + ABOVE + self.scale * (self.high[1] - y)]
    }

    /// A length as short as it is.
    fn number(&self, millimetres: f64) -> String {
        let text = format!("{:.4}", self.context.length(millimetres));
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" { "0".to_owned() } else { text.replacen('-', "−", 1) }
    }

    fn metal(&self, sheet: &mut Sheet) {
        let loops = self.plate.outline.loops();
        let mut all: Vec<Vec<Spot>> = std::iter::once(&loops.outer)
            .chain(&loops.inner)
            .map(|chain| self.chain(chain))
            .collect();
        for hole in &self.plate.holes {
            all.push(self.chain(&Loop::circle(&hole.name, hole.centre, hole.radius())));
        }
        sheet.areas(all.clone(), RING_TINT);
        let closed = all.into_iter().map(|mut line| {
            line.extend(line.first().copied());
            line
        });
        sheet.lines(closed.collect(), Pen::new(INK, 2.0));
    }

    /// The lines of a closed chain, as far as they lie in the box round the plate.
    fn visible(&self, chain: &Loop) -> Vec<Vec<Spot>> {
        let ([left, foot], [right, top]) = (self.spot(self.low), self.spot(self.high));
        let mut line = self.chain(chain);
        line.extend(line.first().copied());
        Window { low: [left, top], high: [right, foot] }.polyline(&line)
    }

    fn chain(&self, chain: &Loop) -> Vec<Spot> {
        chain.pieces.iter().flat_map(|piece| self.piece(piece)).collect()
    }

    /// Points of a piece but its last.
    fn piece(&self, piece: &Piece) -> Vec<Spot> {
        let parts = if piece.arc.is_some() { PARTS } else { 1 };
        let share = |k: u32| f64::from(k) / f64::from(parts);
        (0..parts).map(|k| self.spot(piece.point(share(k)))).collect()
    }

    /// Strokes outside of the edges that are held.
    fn held(&self, sheet: &mut Sheet, names: &[&str]) {
        let loops = self.plate.outline.loops();
        let chains = std::iter::once(&loops.outer).chain(&loops.inner);
        let pieces =
            chains.flat_map(|chain| &chain.pieces).filter(|p| names.contains(&p.name.as_str()));
        let mut strokes = Vec::new();
        for piece in pieces {
            let long = self.scale * piece.length();
            // As many as fit; a plate is no longer than the sheet.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "1 to some hundreds"
            )]
            let number = (long / HATCH).clamp(1.0, 500.0) as u32;
            for k in 0..=number {
                let share = f64::from(k) / f64::from(number);
                let [x, y] = self.spot(piece.point(share));
                // Metal lies on the left of a piece; on the sheet y runs down.
                let [along, up] = piece.tangent(share);
                let (out, back) = ([up, along], [-along, up]);
                let end =
                    [x + HATCH * (out[0] + 0.6 * back[0]), y + HATCH * (out[1] + 0.6 * back[1])];
                strokes.push(vec![[x, y], end]);
            }
        }
        if !strokes.is_empty() {
            sheet.lines(strokes, Pen::new(INK, 1.0));
        }
    }

    /// Centre lines, names and diameters.
    fn holes(&self, sheet: &mut Sheet, finished: &[Option<f64>]) -> Result<(), FigureError> {
        for (index, hole) in self.plate.holes.iter().enumerate() {
            let [x, y] = self.spot(hole.centre);
            let reach = self.scale * hole.radius() + 8.0;
            let cross =
                vec![vec![[x - reach, y], [x + reach, y]], vec![[x, y - reach], [x, y + reach]]];
            sheet.lines(cross, Pen::new(INK, 0.9).dashed(CENTRE_LINE));
            let last = finished.get(index).copied().flatten();
            self.label(sheet, hole, last)?;
        }
        Ok(())
    }

    /// Name and diameters beside a hole, on the side where there is room.
    fn label(
        &self,
        sheet: &mut Sheet,
        hole: &Hole,
        finished: Option<f64>,
    ) -> Result<(), FigureError> {
        let then = finished.map(|diameter| format!(", then {}", self.number(diameter)));
        let words = format!(
            "{}: ⌀ {}{}",
            hole.name,
            self.number(hole.starting_diameter),
            then.unwrap_or_default()
        );
        let [x, y] = self.spot(hole.centre);
        let radius = self.scale * hole.radius();
        let wide = font::width(&words, TEXT, false)?;
        let right = x + radius + 14.0 + wide < self.size()[0] - 8.0;
        let side = if right { 1.0 } else { -1.0 };
        let corner = [x + side * (0.7 * radius + 10.0), y - 0.7 * radius - 12.0];
        let rim = [x + side * 0.707 * radius, y - 0.707 * radius];
        sheet.line(&[rim, corner], Pen::new(INK, 0.9));
        let start = [corner[0] + side * 4.0, corner[1] + 2.0];
        // The metal behind the words must not cross them.
        let left = if right { start[0] } else { start[0] - wide };
        let back = [
            [left - 2.0, start[1] - 14.0],
            [left + wide + 2.0, start[1] - 14.0],
            [left + wide + 2.0, start[1] + 4.0],
            [left - 2.0, start[1] + 4.0],
        ];
        sheet.area(&back, WHITE);
        sheet.text(start, if right { Anchor::Start } else { Anchor::End }, &words);
        Ok(())
    }

    /// Width and height over all.
    fn sizes(&self, sheet: &mut Sheet) {
        let ([left, foot], [right, top]) = (self.spot(self.low), self.spot(self.high));
        let round = matches!(self.plate.outline, Outline::Disc { .. });
        let sign = if round { "⌀ " } else { "" };
        let [width, height] = [0, 1].map(|axis| self.number(self.high[axis] - self.low[axis]));
        let y = foot + FOOT - 34.0;
        arrow(sheet, [[left, y], [right, y]]);
        for x in [left, right] {
            sheet.line(&[[x, foot + 52.0], [x, y + 6.0]], Pen::new(MESH, 0.9));
        }
        sheet.text([0.5 * (left + right), y + 20.0], Anchor::Middle, &format!("{sign}{width}"));
        if round {
            return;
        }
        let x = left - LEFT + 54.0;
        arrow(sheet, [[x, foot], [x, top]]);
        for y in [foot, top] {
            sheet.line(&[[left - 84.0, y], [x - 6.0, y]], Pen::new(MESH, 0.9));
        }
        sheet.upward_text([x - 8.0, 0.5 * (foot + top)], &height);
    }

    /// Distances of the centres of the holes from the datum.
    fn places(&self, sheet: &mut Sheet) {
        let centres: Vec<[f64; 2]> = self.plate.holes.iter().map(|hole| hole.centre).collect();
        let alone = matches!(&self.plate.outline, Outline::Disc { .. })
            && centres
                .iter()
                .all(|centre| (0..2).all(|k| (centre[k] - self.datum[k]).abs() < 1e-9));
        if alone {
            return;
        }
        let [left, foot] = self.spot(self.low);
        for axis in 0..2 {
            let mut all: Vec<f64> = centres.iter().map(|centre| centre[axis]).collect();
            all.push(self.datum[axis]);
            all.sort_by(f64::total_cmp);
            all.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
            let at: Vec<f64> = all
                .iter()
                .map(|&value| {
                    self.spot(std::array::from_fn(|k| if k == axis { value } else { 0.0 }))[axis]
                })
                .collect();
            let shown = spread(&at, if axis == 0 { 44.0 } else { APART });
            for ((value, from), to) in all.iter().zip(&at).zip(&shown) {
                let words = self.number(value - self.datum[axis]);
                let pen = Pen::new(MESH, 0.9);
                if axis == 0 {
                    sheet.line(
                        &[[*from, foot + 4.0], [*from, foot + 18.0], [*to, foot + 28.0]],
                        pen,
                    );
                    sheet.text([*to, foot + 44.0], Anchor::Middle, &words);
                } else {
                    sheet.line(
                        &[[left - 4.0, *from], [left - 18.0, *from], [left - 28.0, *to]],
                        pen,
                    );
                    sheet.text([left - 32.0, *to + 5.0], Anchor::End, &words);
                }
            }
        }
    }
}

/// Places in the order of `at` moved as little as keeps them `apart`, about their middle.
fn spread(at: &[f64], apart: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..at.len()).collect();
    order.sort_by(|&a, &b| at[a].total_cmp(&at[b]));
    // Groups of touching neighbours, each about the mean of its places.
    let mut groups: Vec<(f64, Vec<usize>)> = Vec::new();
    for index in order {
        groups.push((at[index], vec![index]));
        while let [.., (before, first), (after, second)] = &groups[..] {
            let needed = 0.5 * apart * count(first.len() + second.len());
            if after - before >= needed {
                break;
            }
            let members = [first.clone(), second.clone()].concat();
            let mean = members.iter().map(|&k| at[k]).sum::<f64>() / count(members.len());
            groups.truncate(groups.len() - 2);
            groups.push((mean, members));
        }
    }
    let mut placed = vec![0.0; at.len()];
    for (mean, members) in &groups {
        for (k, &index) in members.iter().enumerate() {
            placed[index] = mean + apart * (count(k) - 0.5 * (count(members.len()) - 1.0));
        }
    }
    placed
}

/// A line with an arrow head at both ends.
fn arrow(sheet: &mut Sheet, [from, to]: [Spot; 2]) {
    sheet.line(&[from, to], Pen::new(INK, 0.9));
    let [x, y] = [to[0] - from[0], to[1] - from[1]];
    let length = x.hypot(y).max(1e-9);
    let unit = [x / length, y / length];
    for (tip, sign) in [(from, 1.0), (to, -1.0)] {
        let base = [tip[0] + 10.0 * sign * unit[0], tip[1] + 10.0 * sign * unit[1]];
        let side = [-3.0 * unit[1], 3.0 * unit[0]];
        let corners =
            [tip, [base[0] + side[0], base[1] + side[1]], [base[0] - side[0], base[1] - side[1]]];
        sheet.area(&corners, INK);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_along_a_side_keep_apart_and_in_order() {
        let placed = spread(&[10.0, 12.0, 14.0, 200.0], 20.0);
        // Three about their mean of 12; the fourth has room where it is.
        for (value, expected) in placed.iter().zip([-8.0, 12.0, 32.0, 200.0]) {
            assert!((value - expected).abs() < 1e-12, "{placed:?}");
        }
    }
}
