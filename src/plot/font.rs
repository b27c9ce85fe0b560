//! The embedded font: widths and glyph coverage on a machine without any font.
//!
//! Floor 7, `plot`.

use std::sync::OnceLock;

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};

/// Name under which the embedded font is registered, and what an SVG asks for: the font
/// itself, or the one without serifs that is there everywhere.
const FAMILIES: &str = "DejaVu Sans, sans-serif";
/// Line height of the font over its em (ascent 1901 + descent 483 over 2048 units); the
/// plotting library takes sizes as line heights.
pub(crate) const LINE_OVER_EM: f64 = 2384.0 / 2048.0;

/// The embedded font cannot be read: the build is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct FontUnusable;

fn register() -> Result<(), FontUnusable> {
    static DONE: OnceLock<Result<(), FontUnusable>> = OnceLock::new();
    *DONE.get_or_init(|| {
        register_font(FAMILIES, FontStyle::Normal, dejavu::sans::regular())
            .and_then(|()| register_font(FAMILIES, FontStyle::Bold, dejavu::sans::bold()))
            .map_err(|_| FontUnusable)
    })
}

/// The font at a size as the plotting library counts them.
pub(crate) fn font(size: f64, bold: bool) -> Result<FontDesc<'static>, FontUnusable> {
    register()?;
    let style = if bold { FontStyle::Bold } else { FontStyle::Normal };
    Ok(FontDesc::new(FontFamily::Name(FAMILIES), size, style))
}

/// Width of `text` at em size `size`.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> Result<f64, FontUnusable> {
    // Layout comes in whole pixels: measure large, then shrink.
    const ENLARGE: f64 = 32.0;
    let ((left, _), (right, _)) =
        font(size * LINE_OVER_EM * ENLARGE, bold)?.layout_box(text).map_err(|_| FontUnusable)?;
    Ok(f64::from(right - left) / ENLARGE)
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
    fn the_signs_we_print_have_glyphs() {
        let missing = width("\u{e123}", 16.0, false).unwrap();
        for sign in ["−", "·", "°", "⁻", "⁸", "×", "≤"] {
            let mut pixels = 0;
            let drawn = font(48.0, false).unwrap().draw(sign, (0, 0), |_, _, share| {
                pixels += i32::from(share > 0.3);
                Ok::<(), ()>(())
            });
            drawn.unwrap().unwrap();
            assert!(pixels > 0, "{sign} is empty");
            // The box of a missing glyph is as wide as a private-use character.
            let wide = width(sign, 16.0, false).unwrap();
            assert!(wide > 0.0 && (missing - wide).abs() > 1e-9 || sign == "×", "{sign}");
        }
    }
}
