//! The sheet as a backend of the plotting library: everything that library draws becomes a mark.
//!
//! Its whole-number coordinates count [`UNITS`] to a pixel of the sheet, fine enough that no place
//! is seen to be rounded. Text hangs with its baseline where the library asks for its bottom.

use std::convert::Infallible;
use std::ops::Range;

use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, IntoDrawingArea};
use plotters::element::{self, PathElement, Polygon, Rectangle};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{
    Color, FontDesc, FontFamily, FontStyle, FontTransform, RGBAColor, RGBColor, ShapeStyle,
    TextStyle,
};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use crate::plot::level::count;
use crate::plot::paper::colour::{INK, Rgb};
use crate::plot::paper::font;
use crate::plot::paper::sheet::{Anchor, Mark, Pen, Sheet, Spot, TEXT, Text};
use crate::plot::paper::window::Window;

/// Units of the library to a pixel of the sheet.
pub(crate) const UNITS: f64 = 64.0;

/// A sheet that the plotting library draws on.
pub(crate) struct Canvas<'a> {
    sheet: &'a mut Sheet,
    /// Dashes of the lines drawn next; styles of the library have none.
    dash: &'static [f64],
}

/// A drawing area of the library over a whole sheet.
pub(crate) type Area<'a> = DrawingArea<Canvas<'a>, Shift>;

/// The library fails only when a backend does, or when two draw at once; neither can happen here.
pub(crate) const NEVER_FAILS: &str = "marks can always be added, one after another";

impl<'a> Canvas<'a> {
    /// A drawing area over the sheet whose lines have the dashes of `pen`.
    pub(crate) fn area(sheet: &'a mut Sheet, pen: Pen) -> Area<'a> {
        Self { sheet, dash: pen.dash }.into_drawing_area()
    }

    fn pen(&self, style: &impl BackendStyle) -> Pen {
        Pen {
            colour: colour(style.color()),
            width: f64::from(style.stroke_width()) / UNITS,
            dash: self.dash,
        }
    }
}

/// A coordinate of the sheet in units of the library.
pub(crate) fn unit(value: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    let unit = (UNITS * value).round().clamp(-1e9, 1e9) as i32;
    unit
}

/// A point of the sheet in units of the library.
pub(crate) fn place(spot: Spot) -> BackendCoord {
    (unit(spot[0]), unit(spot[1]))
}

fn spot((x, y): BackendCoord) -> Spot {
    [f64::from(x) / UNITS, f64::from(y) / UNITS]
}

/// A pen as the library knows it.
pub(crate) fn style(pen: Pen) -> ShapeStyle {
    let stroke_width = u32::try_from(unit(pen.width)).unwrap_or(0).max(1);
    ShapeStyle { color: ink(pen.colour), filled: true, stroke_width }
}

/// A colour as the library knows it.
pub(crate) fn ink(Rgb([r, g, b]): Rgb) -> RGBAColor {
    RGBColor(r, g, b).to_rgba()
}

fn colour(BackendColor { rgb: (r, g, b), .. }: BackendColor) -> Rgb {
    Rgb([r, g, b])
}

/// The style of a text, its font as large as the library counts.
pub(crate) fn text_style(text: &Text) -> TextStyle<'static> {
    let weight = if text.bold { FontStyle::Bold } else { FontStyle::Normal };
    let turn = if text.upward { FontTransform::Rotate270 } else { FontTransform::None };
    let font = FontDesc::new(FontFamily::SansSerif, UNITS * text.size, weight).transform(turn);
    let side = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let pos = Pos::new(side, VPos::Bottom);
    TextStyle { font, color: ink(text.colour).to_backend_color(), pos }
}

/// Marks laid by way of the library.
impl Sheet {
    /// Text of the usual size, with its baseline at `at`.
    pub(crate) fn text(&mut self, at: Spot, anchor: Anchor, content: &str) {
        self.put_text(at, (anchor, false), content);
    }

    /// Text of the usual size that reads upward, about the middle.
    pub(crate) fn upward_text(&mut self, at: Spot, content: &str) {
        self.put_text(at, (Anchor::Middle, true), content);
    }

    fn put_text(&mut self, at: Spot, (anchor, upward): (Anchor, bool), content: &str) {
        let content = content.to_owned();
        let text = Text { at, content, size: TEXT, bold: false, anchor, upward, colour: INK };
        let element = element::Text::new(text.content.clone(), place(at), text_style(&text));
        Canvas::area(self, Pen::new(INK, 1.0)).draw(&element).expect(NEVER_FAILS);
    }

    /// A polyline.
    pub(crate) fn line(&mut self, spots: &[Spot], pen: Pen) {
        let points: Vec<BackendCoord> = spots.iter().copied().map(place).collect();
        Canvas::area(self, pen).draw(&PathElement::new(points, style(pen))).expect(NEVER_FAILS);
    }

    /// A polygon.
    pub(crate) fn area(&mut self, corners: &[Spot], colour: Rgb) {
        let points: Vec<BackendCoord> = corners.iter().copied().map(place).collect();
        let element = Polygon::new(points, ink(colour).filled());
        Canvas::area(self, Pen::new(colour, 1.0)).draw(&element).expect(NEVER_FAILS);
    }

    /// A filled rectangle.
    pub(crate) fn rectangle(&mut self, Window { low, high }: Window, colour: Rgb) {
        let element = Rectangle::new([place(low), place(high)], ink(colour).filled());
        Canvas::area(self, Pen::new(colour, 1.0)).draw(&element).expect(NEVER_FAILS);
    }

    /// The rim of a rectangle.
    pub(crate) fn border(&mut self, Window { low, high }: Window, pen: Pen) {
        self.line(&[low, [high[0], low[1]], high, [low[0], high[1]], low], pen);
    }
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Canvas<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        let [width, height] = self.sheet.size.map(|side| unit(side).unsigned_abs());
        (width, height)
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, color: BackendColor) -> Drawn {
        let (x, y) = point;
        self.fill_polygon([(x, y), (x + 1, y), (x + 1, y + 1), (x, y + 1)], &Plain(color))
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        (left, top): BackendCoord,
        (right, bottom): BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        if fill {
            return self.fill_polygon(corners, style);
        }
        self.draw_path(corners.into_iter().chain([corners[0]]), style)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        let pen = self.pen(style);
        let line = path.into_iter().map(spot).collect();
        // What follows with the same pen goes into the same path.
        match self.sheet.marks.last_mut() {
            Some(Mark::Lines { lines, pen: before }) if *before == pen => lines.push(line),
            _ => self.sheet.marks.push(Mark::Lines { lines: vec![line], pen }),
        }
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let radius = f64::from(radius);
        let around = (0..32usize).map(|k| {
            let (sin, cos) = (std::f64::consts::TAU * count(k) / 32.0).sin_cos();
            let off = [cos, sin].map(|part| unit(radius * part / UNITS));
            (center.0 + off[0], center.1 + off[1])
        });
        if fill {
            return self.fill_polygon(around, style);
        }
        let around: Vec<BackendCoord> = around.collect();
        self.draw_path(around.iter().copied().chain(around.first().copied()), style)
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        style: &S,
    ) -> Drawn {
        let colour = colour(style.color());
        let corners = vert.into_iter().map(spot).collect();
        self.sheet.marks.push(Mark::Area { loops: vec![corners], colour });
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &S,
        pos: BackendCoord,
    ) -> Drawn {
        let size = style.size() / UNITS;
        let Pos { h_pos, v_pos } = style.anchor();
        let upward = matches!(style.transform(), FontTransform::Rotate270);
        // Height of capitals over the size of the font is 0.73.
        let drop = match v_pos {
            VPos::Top => 0.73 * size,
            VPos::Center => 0.365 * size,
            VPos::Bottom => 0.0,
        };
        let [x, y] = spot(pos);
        self.sheet.marks.push(Mark::Text(Text {
            at: if upward { [x + drop, y] } else { [x, y + drop] },
            content: text.to_owned(),
            size,
            bold: matches!(style.style(), FontStyle::Bold),
            anchor: match h_pos {
                HPos::Left => Anchor::Start,
                HPos::Center => Anchor::Middle,
                HPos::Right => Anchor::End,
            },
            upward,
            colour: colour(style.color()),
        }));
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        style: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let bold = matches!(style.style(), FontStyle::Bold);
        // A font that cannot be read is reported where text is drawn.
        let wide = font::width(text, style.size() / UNITS, bold).unwrap_or(0.0);
        let high = 0.73 * style.size() / UNITS;
        Ok((unit(wide).unsigned_abs(), unit(high).unsigned_abs()))
    }
}

/// A colour as a style.
struct Plain(BackendColor);

impl BackendStyle for Plain {
    fn color(&self) -> BackendColor {
        self.0
    }
}

/// A window of the sheet in units of the library: left to right, and bottom to top.
pub(crate) fn ranges(low: Spot, high: Spot) -> (Range<i32>, Range<i32>) {
    (unit(low[0])..unit(high[0]), unit(high[1])..unit(low[1]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use plotters::element::Circle;

    #[test]
    fn elements_of_the_library_become_marks_at_their_places() {
        let mut sheet = Sheet::new([300.0, 200.0], "", "");
        sheet.marks.clear();
        let pen = Pen::new(INK, 1.5).dashed(&[4.0, 2.0]);
        {
            let area = Canvas::area(&mut sheet, pen);
            assert_eq!(area.dim_in_pixel(), (19_200, 12_800));
            let ends = [place([10.25, 20.5]), place([30.0, 40.0])];
            area.draw(&PathElement::new(ends.to_vec(), style(pen))).expect(NEVER_FAILS);
            let corners = [place([1.0, 2.0]), place([5.0, 8.0])];
            area.draw(&Rectangle::new(corners, ink(INK).filled())).expect(NEVER_FAILS);
            area.draw(&Circle::new(place([50.0, 50.0]), 640, ink(INK).filled()))
                .expect(NEVER_FAILS);
        }
        let line = vec![[10.25, 20.5], [30.0, 40.0]];
        assert_eq!(sheet.marks[0], Mark::Lines { lines: vec![line], pen });
        let corners = vec![[1.0, 2.0], [5.0, 2.0], [5.0, 8.0], [1.0, 8.0]];
        assert_eq!(sheet.marks[1], Mark::Area { loops: vec![corners], colour: INK });
        let Mark::Area { loops, .. } = &sheet.marks[2] else { panic!("{:?}", sheet.marks[2]) };
        assert!(loops[0].iter().all(|[x, y]| ((x - 50.0).hypot(y - 50.0) - 10.0).abs() < 0.02));
    }

    #[test]
    fn text_of_the_library_keeps_size_turn_and_anchor() {
        let mut sheet = Sheet::new([300.0, 200.0], "", "");
        for (anchor, upward, bold) in [
            (Anchor::Start, false, true),
            (Anchor::Middle, true, false),
            (Anchor::End, false, false),
        ] {
            let text = Text {
                at: [40.0, 60.5],
                content: "hoop".to_owned(),
                size: 16.0,
                bold,
                anchor,
                upward,
                colour: INK,
            };
            let drawn = Canvas { sheet: &mut sheet, dash: &[] }.draw_text(
                "hoop",
                &text_style(&text),
                place(text.at),
            );
            assert!(drawn.is_ok());
            assert_eq!(sheet.marks.last(), Some(&Mark::Text(text)));
        }
    }
}
