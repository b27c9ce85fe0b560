//! Marks of a sheet laid on any backend of the plotting library.
//!
//! Both files of a figure come from here, so both show the same. The backends differ in
//! how fine their whole-number coordinates are, how they place text and how they join the
//! parts of a line; a [`Medium`] says how.
//!
//! Floor 7, `plot`.

use std::fmt;

use image::ImageError;
use plotters::backend::DrawingBackend;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{FontTransform, RGBColor, ShapeStyle, TextStyle};

use crate::plot::colour::{Rgb, WHITE};
use crate::plot::font::{self, FontUnusable};
use crate::plot::sheet::{Anchor, Mark, Pen, Sheet, Spot, Text};
use crate::plot::stroke::{dashes, simplified};

/// Farthest a line may pass from its points, logical pixels: too little to be seen, enough
/// to spare most of the points.
const STRAIGHT: f64 = 0.04;

/// What a backend is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Medium {
    /// Units of the backend to a logical pixel.
    pub(crate) scale: f64,
    /// How much wider than asked for the backend draws a line, units.
    pub(crate) excess: f64,
    /// Whether the backend joins the parts of a line itself.
    pub(crate) joins: bool,
    /// Font size of the library over the em that comes out.
    pub(crate) size_over_em: f64,
    /// Depth of the baseline below the top at which text is placed, em.
    pub(crate) drop: f64,
}

/// Why a sheet could not be drawn.
#[derive(Debug)]
pub(crate) enum Undrawn {
    Font,
    Encode(ImageError),
    /// In the words of the plotting library.
    Library(String),
}

impl From<FontUnusable> for Undrawn {
    fn from(_: FontUnusable) -> Self {
        Self::Font
    }
}

impl From<ImageError> for Undrawn {
    fn from(source: ImageError) -> Self {
        Self::Encode(source)
    }
}

/// The library's error in its own words.
pub(crate) fn library(error: impl fmt::Display) -> Undrawn {
    Undrawn::Library(error.to_string())
}

/// A coordinate or length in whole units of a backend.
pub(crate) fn whole(value: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    let whole = value.round().clamp(-1e8, 1e8) as i32;
    whole
}

/// A positive length in whole units of a backend, at least 1.
pub(crate) fn length(value: f64) -> u32 {
    u32::try_from(whole(value).max(1)).unwrap_or(1)
}

/// A colour of the library.
pub(crate) fn ink(Rgb([r, g, b]): Rgb) -> RGBColor {
    RGBColor(r, g, b)
}

/// Lays white paper and every mark of `sheet`. `place` puts filled field number `k`.
pub(crate) fn lay<B: DrawingBackend>(
    sheet: &Sheet,
    backend: &mut B,
    medium: &Medium,
    mut place: impl FnMut(&mut B, usize) -> Result<(), Undrawn>,
) -> Result<(), Undrawn> {
    let corner = medium.point(sheet.size);
    backend.draw_rect((0, 0), corner, &ink(WHITE), true).map_err(library)?;
    let mut fields = 0;
    for mark in &sheet.marks {
        match mark {
            Mark::Area { corners, colour } => {
                let corners: Vec<_> = corners.iter().map(|c| medium.point(*c)).collect();
                backend.fill_polygon(corners, &ink(*colour)).map_err(library)?;
            }
            Mark::Line { spots, pen } => line(backend, medium, spots, *pen)?,
            Mark::Text(text) => words(backend, medium, text)?,
            Mark::Field(_) => {
                place(backend, fields)?;
                fields += 1;
            }
        }
    }
    Ok(())
}

impl Medium {
    fn point(&self, spot: Spot) -> (i32, i32) {
        (whole(spot[0] * self.scale), whole(spot[1] * self.scale))
    }
}

fn line<B: DrawingBackend>(
    backend: &mut B,
    medium: &Medium,
    spots: &[Spot],
    pen: Pen,
) -> Result<(), Undrawn> {
    let spots = simplified(spots, STRAIGHT);
    if pen.dash.is_empty() {
        return stroke(backend, medium, &spots, pen);
    }
    dashes(&spots, pen.dash).iter().try_for_each(|part| stroke(backend, medium, part, pen))
}

fn stroke<B: DrawingBackend>(
    backend: &mut B,
    medium: &Medium,
    spots: &[Spot],
    pen: Pen,
) -> Result<(), Undrawn> {
    let mut points: Vec<_> = spots.iter().map(|spot| medium.point(*spot)).collect();
    points.dedup();
    if points.len() < 2 {
        return Ok(());
    }
    let width = length(pen.width * medium.scale - medium.excess);
    let style = ShapeStyle { color: ink(pen.colour).into(), filled: true, stroke_width: width };
    if medium.joins {
        return backend.draw_path(points, &style).map_err(library);
    }
    for pair in points.windows(2) {
        backend.draw_path(pair.iter().copied(), &style).map_err(library)?;
    }
    // A ring closes with a joint as well.
    let ring = points.first() == points.last();
    let joints = &points[usize::from(!ring)..points.len() - 1];
    if width > 2 {
        for joint in joints {
            backend.draw_circle(*joint, width / 2, &style, true).map_err(library)?;
        }
    }
    Ok(())
}

fn words<B: DrawingBackend>(backend: &mut B, medium: &Medium, text: &Text) -> Result<(), Undrawn> {
    let horizontal = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let em = text.size * medium.scale;
    let drop = medium.drop * text.size;
    let [x, y] = text.at;
    let (top, turn) = if text.upward {
        ([x - drop, y], FontTransform::Rotate270)
    } else {
        ([x, y - drop], FontTransform::None)
    };
    let font = font::font(em * medium.size_over_em, text.bold)?.transform(turn);
    let colour = ink(text.colour);
    let style = TextStyle::from(font).color(&colour).pos(Pos::new(horizontal, VPos::Top));
    // Control characters have no glyph, and XML cannot hold them.
    let content = text.content.replace(char::is_control, " ");
    backend.draw_text(&content, &style, medium.point(top)).map_err(library)
}
