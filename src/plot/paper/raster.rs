//! A sheet as pixels.
//!
//! Areas, lines and the outlines of letters are filled with smooth edges by the drawing library;
//! a picture is laid in at its window.

use tiny_skia::{
    FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};

use crate::plot::paper::Undrawn;
use crate::plot::paper::colour::{Rgb, WHITE};
use crate::plot::paper::font::{self, Outline};
use crate::plot::paper::pixels::Pixels;
use crate::plot::paper::sheet::{Anchor, Image, Mark, Pen, Sheet, Spot, Text};

/// Pixels of an [`Image`] to a pixel of the sheet, each way.
pub(crate) const FINE: usize = 4;

/// The sheet at its own size.
pub(crate) fn render(sheet: &Sheet) -> Result<Pixels, Undrawn> {
    let [width, height] = sheet.size.map(whole);
    let mut canvas = Pixmap::new(width, height).ok_or(Undrawn::Size)?;
    let Rgb([r, g, b]) = WHITE;
    canvas.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
    for mark in &sheet.marks {
        match mark {
            Mark::Area { loops, colour } => {
                let mut path = PathBuilder::new();
                for corners in loops {
                    run(&mut path, corners, true);
                }
                fill(&mut canvas, path, *colour, FillRule::EvenOdd);
            }
            Mark::Lines { lines, pen } => stroke(&mut canvas, lines, *pen),
            Mark::Text(text) => write(&mut canvas, text)?,
            Mark::Image(image) => lay(&mut canvas, image),
        }
    }
    let bytes = canvas.data().chunks_exact(4).flat_map(|pixel| [pixel[0], pixel[1], pixel[2]]);
    Ok(Pixels::from_bytes(width as usize, bytes.collect()))
}

/// A size in whole pixels, at least 1.
pub(crate) fn whole(side: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let whole = side.round().clamp(1.0, 1e5) as u32;
    whole
}

/// Adds a polyline to a path. A line that ends where it began is closed, so that its ends join.
fn run(path: &mut PathBuilder, spots: &[Spot], closed: bool) {
    for (k, spot) in spots.iter().enumerate() {
        let [x, y] = single(*spot);
        if k == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
    }
    if closed || (spots.len() > 2 && spots.first() == spots.last()) {
        path.close();
    }
}

fn single(spot: Spot) -> [f32; 2] {
    #[expect(clippy::cast_possible_truncation, reason = "a pixel needs no more digits")]
    spot.map(|c| c as f32)
}

fn ink(Rgb([r, g, b]): Rgb) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 255);
    paint
}

fn fill(canvas: &mut Pixmap, path: PathBuilder, colour: Rgb, rule: FillRule) {
    // Nothing to fill is no path.
    if let Some(path) = path.finish() {
        canvas.fill_path(&path, &ink(colour), rule, Transform::identity(), None);
    }
}

fn stroke(canvas: &mut Pixmap, lines: &[Vec<Spot>], pen: Pen) {
    let mut path = PathBuilder::new();
    for line in lines.iter().filter(|line| line.len() > 1) {
        run(&mut path, line, false);
    }
    let Some(path): Option<Path> = path.finish() else { return };
    let [width, _] = single([pen.width, 0.0]);
    let dash = pen.dash.iter().map(|length| single([*length, 0.0])[0]).collect::<Vec<f32>>();
    let stroke = Stroke {
        width,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash: StrokeDash::new(dash, 0.0),
        ..Stroke::default()
    };
    canvas.stroke_path(&path, &ink(pen.colour), &stroke, Transform::identity(), None);
}

/// The outlines of letters as a path of the drawing library.
struct Letters(PathBuilder);

impl Outline for Letters {
    fn move_to(&mut self, to: Spot) {
        let [x, y] = single(to);
        self.0.move_to(x, y);
    }

    fn line_to(&mut self, to: Spot) {
        let [x, y] = single(to);
        self.0.line_to(x, y);
    }

    fn quad_to(&mut self, control: Spot, to: Spot) {
        let ([u, v], [x, y]) = (single(control), single(to));
        self.0.quad_to(u, v, x, y);
    }

    fn cubic_to(&mut self, [one, other]: [Spot; 2], to: Spot) {
        let ([a, b], [c, d], [x, y]) = (single(one), single(other), single(to));
        self.0.cubic_to(a, b, c, d, x, y);
    }

    fn close(&mut self) {
        self.0.close();
    }
}

fn write(canvas: &mut Pixmap, text: &Text) -> Result<(), Undrawn> {
    // Control characters have no glyph.
    let content = text.content.replace(char::is_control, " ");
    let width = font::width(&content, text.size, text.bold)?;
    let back = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -0.5 * width,
        Anchor::End => -width,
    };
    let mut letters = Letters(PathBuilder::new());
    let turn = |[x, y]: Spot| if text.upward { [-y, -(x + back)] } else { [x + back, -y] };
    font::draw(&content, (text.size, text.bold), text.at, turn, &mut letters)?;
    fill(canvas, letters.0, text.colour, FillRule::Winding);
    Ok(())
}

/// Lays a picture into its window, which begins at a whole pixel.
fn lay(canvas: &mut Pixmap, image: &Image) {
    let small = image.pixels.shrunk(FINE);
    let [width, height] = small.size();
    let [left, top] = image.window.low.map(|c| whole(c) as usize);
    let stride = 4 * canvas.width() as usize;
    let rows = canvas.data_mut().chunks_exact_mut(stride).skip(top).take(height);
    for (row, line) in rows.zip(small.bytes().chunks_exact(3 * width.max(1))) {
        let spots = row.chunks_exact_mut(4).skip(left);
        for (pixel, colour) in spots.zip(line.chunks_exact(3)) {
            pixel[..3].copy_from_slice(colour);
        }
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use crate::plot::paper::colour::INK;

    fn blank(width: f64, height: f64) -> Sheet {
        let mut sheet = Sheet::new([width, height], "", "");
        sheet.marks.clear();
        sheet
    }

    /// Sum of the darkness of all pixels, one for a pixel of ink.
    fn inked(sheet: &Sheet) -> f64 {
        let full = f64::from(255 - INK.0[0]);
        let pixels = render(sheet).unwrap();
        pixels.bytes().chunks_exact(3).map(|pixel| f64::from(255 - pixel[0]) / full).sum()
    }

    #[test]
    fn an_area_covers_as_many_pixels_as_it_is_large() {
        let mut sheet = blank(40.0, 40.0);
        // A square with a hole, turned: 400 less 36 in the even–odd rule.
        let square = |half: f64| {
            [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]]
                .map(|[x, y]| [20.3 + half * x, 19.8 + half * y])
                .to_vec()
        };
        let half = |side: f64| side / 2f64.sqrt();
        sheet.areas(vec![square(half(20.0)), square(half(6.0))], INK);
        let found = inked(&sheet);
        // Cover of a border pixel is found in quarters of a pixel.
        assert!((found / 364.0 - 1.0).abs() < 0.01, "{found}");
    }

    #[test]
    fn a_line_is_as_wide_as_its_pen_and_dashes_take_their_share() {
        // On quarters of a pixel, in which the cover of a line is counted.
        let across = vec![[5.0, 10.25], [55.0, 10.25]];
        let mut sheet = blank(60.0, 20.0);
        sheet.line(&across, Pen::new(INK, 2.5));
        assert!((inked(&sheet) / (50.0 * 2.5) - 1.0).abs() < 0.02, "{}", inked(&sheet));
        let mut sheet = blank(60.0, 20.0);
        sheet.line(&across, Pen::new(INK, 2.5).dashed(&[3.0, 2.0]));
        assert!((inked(&sheet) / (30.0 * 2.5) - 1.0).abs() < 0.03, "{}", inked(&sheet));
    }

    #[test]
    fn text_stands_on_its_baseline_and_ends_at_its_anchor() {
        for (anchor, upward) in
            [(Anchor::Start, false), (Anchor::End, false), (Anchor::Start, true)]
        {
            let mut sheet = blank(120.0, 120.0);
            sheet.text([60.0, 60.0], anchor, "HEH");
            if let Some(Mark::Text(text)) = sheet.marks.last_mut() {
                text.upward = upward;
            }
            let pixels = render(&sheet).unwrap();
            let dark = |x: usize, y: usize| pixels.bytes()[3 * (120 * y + x)] < 200;
            let spots: Vec<[usize; 2]> = (0..120)
                .flat_map(|y| (0..120).map(move |x| [x, y]))
                .filter(|p| dark(p[0], p[1]))
                .collect();
            let range = |axis: usize| {
                let each = || spots.iter().map(|p| p[axis]);
                (each().min().unwrap(), each().max().unwrap())
            };
            let (xs, ys) = (range(0), range(1));
            // The pixel above the baseline is number 59; capitals are 0.73 em of 16 high.
            match (anchor, upward) {
                (Anchor::Start, false) => assert!(xs.0 >= 60 && ys.1 == 59 && ys.0 >= 47),
                (_, false) => assert!(xs.1 <= 60 && ys.1 == 59),
                (_, true) => assert!(xs.1 == 59 && xs.0 >= 47 && ys.1 <= 60, "{xs:?} {ys:?}"),
            }
        }
    }
}
