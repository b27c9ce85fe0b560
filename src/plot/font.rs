//! The embedded font: widths and glyph coverage on a machine without any font.
//!
//! Floor 7, `plot`.

use std::sync::OnceLock;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

/// Name under which the embedded font is registered.
const EMBEDDED: &str = "hoopset embedded";
/// What an SVG asks for; the last entry is there everywhere.
pub(crate) const FAMILIES: &str = "DejaVu Sans, sans-serif";
/// Line height of the font over its em (ascent 1901 + descent 483 over 2048 units); the
/// drawing library takes sizes as line heights.
const LINE_OVER_EM: f64 = 2384.0 / 2048.0;

/// The embedded font cannot be read: the build is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct FontUnusable;

fn register() -> Result<(), FontUnusable> {
    static DONE: OnceLock<Result<(), FontUnusable>> = OnceLock::new();
    *DONE.get_or_init(|| {
        register_font(EMBEDDED, FontStyle::Normal, dejavu::sans::regular())
            .and_then(|()| register_font(EMBEDDED, FontStyle::Bold, dejavu::sans::bold()))
            .map_err(|_| FontUnusable)
    })
}

fn font(size: f64, bold: bool) -> Result<FontDesc<'static>, FontUnusable> {
    register()?;
    let style = if bold { FontStyle::Bold } else { FontStyle::Normal };
    Ok(FontDesc::new(FontFamily::Name(EMBEDDED), size * LINE_OVER_EM, style))
}

/// Width of `text` at em size `size`.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> Result<f64, FontUnusable> {
    // Layout comes in whole pixels: measure large, then shrink.
    const ENLARGE: f64 = 32.0;
    let ((left, _), (right, _)) =
        font(size * ENLARGE, bold)?.layout_box(text).map_err(|_| FontUnusable)?;
    Ok(f64::from(right - left) / ENLARGE)
}

/// Calls `cover` with the offset of each pixel from the start of the baseline (y down) and
/// the share of it the glyphs cover.
pub(crate) fn glyphs(
    text: &str,
    size: f64,
    bold: bool,
    mut cover: impl FnMut(i32, i32, f32),
) -> Result<(), FontUnusable> {
    let font = font(size, bold)?;
    // The drawing library puts the baseline half a line below the given position.
    #[expect(clippy::cast_possible_truncation, reason = "font sizes are tens of pixels")]
    let baseline = (font.get_size() as f32 / 2.0) as i32;
    font.draw(text, (0, -baseline), |x, y, share| -> Result<(), ()> {
        cover(x, y, share);
        Ok(())
    })
    .map_err(|_| FontUnusable)?
    .map_err(|()| FontUnusable)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    #[test]
    fn text_has_a_width_without_any_font_on_the_machine() {
        let (short, long) = (width("hoop", 16.0, false), width("hoop stress", 16.0, false));
        let (short, long) = (short.unwrap(), long.unwrap());
        // An em is 16; letters of this face are about 0.6 of it.
        assert!(short > 30.0 && short < 50.0, "{short}");
        assert!(long > 2.0 * short);
    }

    #[test]
    fn capitals_stand_on_the_baseline() {
        let (mut top, mut bottom) = (i32::MAX, i32::MIN);
        glyphs("H", 100.0, false, |_, y, share| {
            if share > 0.5 {
                top = top.min(y);
                bottom = bottom.max(y);
            }
        })
        .unwrap();
        // Capital height of the face: 1493 of 2048 units.
        assert!((-75..=-71).contains(&top), "{top}");
        assert!((-2..=0).contains(&bottom), "{bottom}");
    }

    #[test]
    fn the_signs_we_print_have_glyphs() {
        let missing = width("\u{e123}", 16.0, false).unwrap();
        for sign in ["−", "·", "°", "⁻", "⁸", "×", "≤"] {
            let mut pixels = 0;
            glyphs(sign, 48.0, false, |_, _, share| pixels += i32::from(share > 0.3)).unwrap();
            assert!(pixels > 0, "{sign} is empty");
            // The box of a missing glyph is as wide as a private-use character.
            let wide = width(sign, 16.0, false).unwrap();
            assert!(wide > 0.0 && (missing - wide).abs() > 1e-9 || sign == "×", "{sign}");
        }
    }
}
