//! Marks to pixels, and pixels to PNG.
//!
//! Everything is filled without smoothing on a canvas several times larger and averaged
//! down: neighbouring polygons then meet without the pale seams that smoothing each of
//! them alone would leave. A pixel belongs to a polygon when its centre does.
//!
//! Floor 7, `plot`.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ColorType, ImageEncoder, ImageError};

use crate::plot::colour::{Rgb, WHITE};
use crate::plot::font::{self, FontUnusable};
use crate::plot::level::count;
use crate::plot::sheet::{Anchor, Field, Mark, Pen, Sheet, Spot, Text};

/// Canvas pixels to a pixel of the PNG, each way.
const FINE: usize = 3;

/// Steps to a canvas pixel on which field corners lie. Two elements compute a common corner
/// with different rounding; where a side runs exactly through pixel centres, as diagonals
/// do, the last bit would decide and leave specks. The prime keeps ties away from the
/// halves and quarters that round dimensions fall on.
const GRAIN: f64 = 1021.0;

/// A picture of `width × height` pixels, three bytes each, row by row from the top.
pub(crate) struct Raster {
    width: usize,
    height: usize,
    bytes: Vec<u8>,
    /// Fills keep to these pixels: left, top, right, bottom.
    clip: [usize; 4],
}

/// Whole pixels in a coordinate, rounded down; negative becomes 0.
fn pixels(value: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let whole = value.clamp(0.0, 1e6) as usize;
    whole
}

impl Raster {
    pub(crate) fn new(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            bytes: vec![WHITE.0[0]; width * height * 3],
            clip: [0, 0, width, height],
        }
    }

    /// Fills a convex polygon.
    fn fill(&mut self, corners: &[Spot], colour: Rgb) {
        let [clip_left, clip_top, clip_right, clip_bottom] = self.clip;
        let (mut top, mut bottom) = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in corners {
            top = top.min(corner[1]);
            bottom = bottom.max(corner[1]);
        }
        let first = pixels(top - 0.5).max(clip_top);
        let end = pixels(bottom + 0.5).min(clip_bottom);
        for row in first..end {
            let middle = count(row) + 0.5;
            let (mut left, mut right) = (f64::INFINITY, f64::NEG_INFINITY);
            for (k, &one) in corners.iter().enumerate() {
                let other = corners[(k + 1) % corners.len()];
                if (one[1] <= middle) == (other[1] <= middle) {
                    continue;
                }
                // From the upper end, so that two polygons agree on their common side.
                let (upper, lower) = if one[1] <= other[1] { (one, other) } else { (other, one) };
                let share = (middle - upper[1]) / (lower[1] - upper[1]);
                let x = upper[0] + share * (lower[0] - upper[0]);
                left = left.min(x);
                right = right.max(x);
            }
            let from = pixels(left + 0.5).max(clip_left).min(clip_right);
            let to = pixels(right + 0.5).min(clip_right).max(from);
            let start = row * self.width;
            for pixel in self.bytes[3 * (start + from)..3 * (start + to)].chunks_exact_mut(3) {
                pixel.copy_from_slice(&colour.0);
            }
        }
    }

    /// Draws a polyline of full strokes with round joints.
    fn stroke(&mut self, spots: &[Spot], width: f64, colour: Rgb) {
        let reach = 0.5 * width.max(1.0);
        for pair in spots.windows(2) {
            let [from, to] = [pair[0], pair[1]];
            let run = [to[0] - from[0], to[1] - from[1]];
            let length = run[0].hypot(run[1]);
            if length <= 0.0 {
                continue;
            }
            let side = [-run[1] / length * reach, run[0] / length * reach];
            let quad = [
                [from[0] + side[0], from[1] + side[1]],
                [to[0] + side[0], to[1] + side[1]],
                [to[0] - side[0], to[1] - side[1]],
                [from[0] - side[0], from[1] - side[1]],
            ];
            self.fill(&quad, colour);
        }
        if reach >= 1.0 && spots.len() > 2 {
            for spot in &spots[1..spots.len() - 1] {
                self.fill(&disc(*spot, reach), colour);
            }
        }
    }

    fn line(&mut self, spots: &[Spot], pen: Pen, scale: f64) {
        if pen.dash.is_empty() {
            return self.stroke(spots, pen.width * scale, pen.colour);
        }
        for part in dashes(spots, pen.dash, scale) {
            self.stroke(&part, pen.width * scale, pen.colour);
        }
    }

    fn text(&mut self, text: &Text, scale: f64) -> Result<(), FontUnusable> {
        let back = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        let size = text.size * scale;
        let shift = back * font::width(&text.content, size, text.bold)?;
        let [x, y] = text.at.map(|c| c * scale);
        font::glyphs(&text.content, size, text.bold, |dx, dy, share| {
            let along = f64::from(dx) - shift;
            let across = f64::from(dy);
            let [x, y] =
                if text.upward { [x + across, y - along] } else { [x + along, y + across] };
            if x >= 0.0 && y >= 0.0 {
                self.blend(pixels(x.floor()), pixels(y.floor()), text.colour, share);
            }
        })
    }

    fn blend(&mut self, x: usize, y: usize, colour: Rgb, share: f32) {
        if x >= self.width || y >= self.height {
            return;
        }
        let at = 3 * (y * self.width + x);
        for (byte, ink) in self.bytes[at..at + 3].iter_mut().zip(colour.0) {
            let mixed = f32::from(*byte) + (f32::from(ink) - f32::from(*byte)) * share.min(1.0);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 255")]
            let mixed = mixed.round() as u8;
            *byte = mixed;
        }
    }

    /// The mean of every `by × by` block.
    fn shrunk(&self, by: usize) -> Self {
        let mut small = Self::new(self.width / by, self.height / by);
        let half = by * by / 2;
        let mut sums = vec![0usize; 3 * small.width];
        let blocks = self.bytes.chunks_exact(3 * self.width * by);
        for (block, out) in blocks.zip(small.bytes.chunks_exact_mut(3 * small.width)) {
            sums.fill(0);
            for row in block.chunks_exact(3 * self.width) {
                for (pixels, sum) in row.chunks_exact(3 * by).zip(sums.chunks_exact_mut(3)) {
                    for pixel in pixels.chunks_exact(3) {
                        for (total, byte) in sum.iter_mut().zip(pixel) {
                            *total += usize::from(*byte);
                        }
                    }
                }
            }
            for (byte, sum) in out.iter_mut().zip(&sums) {
                *byte = u8::try_from((sum + half) / (by * by)).unwrap_or(u8::MAX);
            }
        }
        small
    }

    /// The picture as the bytes of a PNG file.
    pub(crate) fn png(&self) -> Result<Vec<u8>, ImageError> {
        let mut file = Vec::new();
        let size = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        PngEncoder::new_with_quality(&mut file, CompressionType::Default, FilterType::Up)
            .write_image(&self.bytes, size(self.width), size(self.height), ColorType::Rgb8)?;
        Ok(file)
    }
}

fn disc([x, y]: Spot, radius: f64) -> [Spot; 12] {
    std::array::from_fn(|k| {
        let angle = std::f64::consts::TAU * count(k) / 12.0;
        [x + radius * angle.cos(), y + radius * angle.sin()]
    })
}

/// The strokes of a dashed polyline.
fn dashes(spots: &[Spot], dash: &[f64], scale: f64) -> Vec<Vec<Spot>> {
    let mut strokes = Vec::new();
    let (mut phase, mut left) = (0, dash[0] * scale);
    let mut stroke: Vec<Spot> = spots.first().copied().into_iter().collect();
    for pair in spots.windows(2) {
        let [mut from, to] = [pair[0], pair[1]];
        loop {
            let run = [to[0] - from[0], to[1] - from[1]];
            let length = run[0].hypot(run[1]);
            if length <= left {
                left -= length;
                stroke.push(to);
                break;
            }
            let share = left / length;
            from = [from[0] + share * run[0], from[1] + share * run[1]];
            stroke.push(from);
            if phase % 2 == 0 {
                strokes.push(std::mem::take(&mut stroke));
            }
            phase += 1;
            left = dash[phase % dash.len()] * scale;
            stroke = vec![from];
        }
    }
    if phase % 2 == 0 {
        strokes.push(stroke);
    }
    strokes
}

fn paint(canvas: &mut Raster, field: &Field, corner: Spot, scale: f64) {
    let snap = |c: f64, axis: usize| ((c - corner[axis]) * scale * GRAIN).round() / GRAIN;
    let mut moved = Vec::with_capacity(6);
    for (polygon, colour) in field.polygons() {
        moved.clear();
        moved.extend(polygon.iter().map(|p| [snap(p[0], 0), snap(p[1], 1)]));
        canvas.fill(&moved, colour);
    }
}

/// The window of a field alone, `detail` pixels to a logical pixel, smoothed.
pub(crate) fn field_image(field: &Field, detail: usize) -> Raster {
    const SMOOTH: usize = 2;
    let [width, height] = field.window.size().map(|side| pixels(side.round()).max(1));
    let fine = detail * SMOOTH;
    let mut canvas = Raster::new(width * fine, height * fine);
    paint(&mut canvas, field, field.window.low, count(fine));
    canvas.shrunk(SMOOTH)
}

/// The whole sheet at its logical size.
pub(crate) fn render(sheet: &Sheet) -> Result<Raster, FontUnusable> {
    let scale = count(FINE);
    let [width, height] = sheet.size.map(|side| pixels(side.round()).max(1));
    let mut canvas = Raster::new(width * FINE, height * FINE);
    let moved = |spots: &[Spot]| spots.iter().map(|p| p.map(|c| c * scale)).collect::<Vec<_>>();
    for mark in &sheet.marks {
        match mark {
            Mark::Area { corners, colour } => canvas.fill(&moved(corners), *colour),
            Mark::Line { spots, pen } => canvas.line(&moved(spots), *pen, scale),
            Mark::Curves { curves, pen } => {
                for curve in curves {
                    canvas.line(&moved(&bend(curve)), *pen, scale);
                }
            }
            Mark::Text(text) => canvas.text(text, scale)?,
            Mark::Field(field) => {
                let whole = canvas.clip;
                let [left, top] = field.window.low.map(|c| pixels((c * scale).round()));
                let [right, bottom] = field.window.high.map(|c| pixels((c * scale).round()));
                canvas.clip = [left, top, right.min(whole[2]), bottom.min(whole[3])];
                paint(&mut canvas, field, [0.0, 0.0], scale);
                canvas.clip = whole;
            }
        }
    }
    Ok(canvas.shrunk(FINE))
}

/// A quadratic Bézier curve as a polyline.
pub(crate) fn bend([start, control, end]: &[Spot; 3]) -> Vec<Spot> {
    const PARTS: usize = 6;
    (0..=PARTS)
        .map(|k| {
            let t = count(k) / count(PARTS);
            let (a, b, c) = ((1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t);
            std::array::from_fn(|axis| a * start[axis] + b * control[axis] + c * end[axis])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::colour::INK;

    fn inked(raster: &Raster) -> usize {
        raster.bytes.chunks(3).filter(|pixel| *pixel != WHITE.0).count()
    }

    #[test]
    fn two_triangles_fill_their_square_once() {
        let corners = [[1.3, 2.1], [17.7, 3.9], [15.2, 18.4], [2.6, 14.8]];
        let mut whole = Raster::new(20, 20);
        whole.fill(&corners, INK);
        let (mut one, mut other) = (Raster::new(20, 20), Raster::new(20, 20));
        one.fill(&[corners[0], corners[1], corners[2]], INK);
        other.fill(&[corners[0], corners[2], corners[3]], INK);
        assert_eq!(inked(&one) + inked(&other), inked(&whole));
        assert!(inked(&whole) > 150);
    }

    #[test]
    fn a_side_through_pixel_centres_leaves_no_specks() {
        use crate::plot::clip::Window;
        let mut field = Field::new(Window { low: [0.0, 0.0], high: [20.0, 20.0] });
        // The last bit of a corner computed twice, pulling the two sides apart.
        let bit = 1e-13;
        let below = [[0.0, bit], [20.0, 20.0 + bit], [0.0, 20.0]];
        let above = [[0.0, 0.0], [20.0, 20.0 - bit], [20.0, 0.0]];
        field.push(below.into_iter(), INK);
        field.push(above.into_iter(), INK);
        let image = field_image(&field, 1);
        assert!(image.bytes.chunks(3).all(|pixel| *pixel == INK.0));
    }

    #[test]
    fn shrinking_keeps_the_mean() {
        let mut raster = Raster::new(4, 2);
        raster.fill(&[[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]], Rgb([55, 55, 55]));
        let small = raster.shrunk(2);
        // Two of four pixels at 55, two at 255.
        assert_eq!(small.bytes, vec![155, 155, 155, 255, 255, 255]);
    }

    #[test]
    fn dashes_cover_their_share_of_the_line() {
        let strokes = dashes(&[[0.0, 0.0], [7.0, 0.0], [7.0, 13.0]], &[3.0, 1.0], 1.0);
        let length: f64 = strokes
            .iter()
            .flat_map(|s| s.windows(2).map(|p| (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])))
            .sum();
        assert!((length - 15.0).abs() < 1e-12, "{length}");
    }
}
