//! The embedded font: widths and outlines of texts, on a machine without any font.

use std::sync::OnceLock;

use ttf_parser::{Face, OutlineBuilder};

use crate::packed::inflated;

/// Font families named in an SVG: the font itself, or the sans-serif font that every viewer has.
pub(crate) const FAMILIES: &str = "DejaVu Sans, sans-serif";

/// The embedded font cannot be read: the build is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct FontUnusable;

/// Where the pen of an outline goes next; coordinates on the sheet, y down.
pub(crate) trait Outline {
    fn move_to(&mut self, to: [f64; 2]);
    fn line_to(&mut self, to: [f64; 2]);
    fn quad_to(&mut self, control: [f64; 2], to: [f64; 2]);
    fn cubic_to(&mut self, controls: [[f64; 2]; 2], to: [f64; 2]);
    fn close(&mut self);
}

fn face(bold: bool) -> Result<&'static Face<'static>, FontUnusable> {
    static FACES: [OnceLock<Option<Face<'static>>>; 2] = [OnceLock::new(), OnceLock::new()];
    let face = FACES[usize::from(bold)].get_or_init(|| Face::parse(unpacked(bold), 0).ok());
    face.as_ref().ok_or(FontUnusable)
}

/// The font as `build.rs` has packed it. It is unpacked once, and stays.
fn unpacked(bold: bool) -> &'static [u8] {
    const PACKED: [&[u8]; 2] = [
        include_bytes!(concat!(env!("OUT_DIR"), "/sans.z")),
        include_bytes!(concat!(env!("OUT_DIR"), "/sans-bold.z")),
    ];
    Vec::leak(inflated(PACKED[usize::from(bold)]))
}

/// Width of `text` at em size `size`, in the unit of the size.
pub(crate) fn width(text: &str, size: f64, bold: bool) -> Result<f64, FontUnusable> {
    let face = face(bold)?;
    let advance = |sign: char| -> f64 {
        let glyph = face.glyph_index(sign).unwrap_or_default();
        f64::from(face.glyph_hor_advance(glyph).unwrap_or(0))
    };
    Ok(size * text.chars().map(advance).sum::<f64>() / f64::from(face.units_per_em()))
}

/// Draws `text` into `outline` with the start of its baseline at `start`, at em size `size`.
/// `turn` maps an offset from that start, x along the text and y up from the baseline, to an
/// offset on the sheet.
pub(crate) fn draw(
    text: &str,
    (size, bold): (f64, bool),
    start: [f64; 2],
    turn: impl Fn([f64; 2]) -> [f64; 2],
    outline: &mut impl Outline,
) -> Result<(), FontUnusable> {
    let face = face(bold)?;
    let scale = size / f64::from(face.units_per_em());
    let mut along = 0.0;
    for sign in text.chars() {
        let glyph = face.glyph_index(sign).unwrap_or_default();
        let place = |x: f32, y: f32| {
            let [x, y] = turn([along + scale * f64::from(x), scale * f64::from(y)]);
            [start[0] + x, start[1] + y]
        };
        // A blank has no outline.
        let _ = face.outline_glyph(glyph, &mut Placed { place, outline });
        along += scale * f64::from(face.glyph_hor_advance(glyph).unwrap_or(0));
    }
    Ok(())
}

/// A glyph on its way to its place on the sheet.
struct Placed<'a, P, O> {
    place: P,
    outline: &'a mut O,
}

impl<P: Fn(f32, f32) -> [f64; 2], O: Outline> OutlineBuilder for Placed<'_, P, O> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.outline.move_to((self.place)(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.outline.line_to((self.place)(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.outline.quad_to((self.place)(x1, y1), (self.place)(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let controls = [(self.place)(x1, y1), (self.place)(x2, y2)];
        self.outline.cubic_to(controls, (self.place)(x, y));
    }

    fn close(&mut self) {
        self.outline.close();
    }
}

/// As much of `text` as fits into `room`, with an ellipsis when it was cut.
pub(crate) fn fitting(
    text: &str,
    (size, bold): (f64, bool),
    room: f64,
) -> Result<String, FontUnusable> {
    if width(text, size, bold)? <= room {
        return Ok(text.to_owned());
    }
    let room = room - width("…", size, bold)?;
    let mut kept = String::new();
    let mut used = 0.0;
    for sign in text.chars() {
        used += width(sign.encode_utf8(&mut [0; 4]), size, bold)?;
        if used > room {
            break;
        }
        kept.push(sign);
    }
    Ok(format!("{}…", kept.trim_end()))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    /// Counts what an outline is made of.
    #[derive(Default)]
    struct Counter(usize);

    impl Outline for Counter {
        fn move_to(&mut self, _: [f64; 2]) {}
        fn line_to(&mut self, _: [f64; 2]) {
            self.0 += 1;
        }
        fn quad_to(&mut self, _: [f64; 2], _: [f64; 2]) {
            self.0 += 1;
        }
        fn cubic_to(&mut self, _: [[f64; 2]; 2], _: [f64; 2]) {
            self.0 += 1;
        }
        fn close(&mut self) {}
    }

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
        for sign in "−·°⁻⁰¹²³⁴⁵⁶⁷⁸⁹×≤≥±√µεσθΔ–…→".chars()
        {
            for bold in [false, true] {
                assert!(face(bold).unwrap().glyph_index(sign).is_some(), "{sign} is missing");
            }
            let mut counter = Counter::default();
            let text = sign.to_string();
            draw(&text, (48.0, false), [0.0; 2], |offset| offset, &mut counter).unwrap();
            assert!(counter.0 > 0, "{sign} is empty");
        }
    }

    #[test]
    fn glyphs_of_texts_are_those_of_the_whole_font_and_all_keep_their_width() {
        for (bold, whole) in [(false, dejavu::sans::regular()), (true, dejavu::sans::bold())] {
            let (whole, packed) = (Face::parse(whole, 0).unwrap(), face(bold).unwrap());
            assert_eq!(whole.number_of_glyphs(), packed.number_of_glyphs());
            assert_eq!(whole.units_per_em(), packed.units_per_em());
            for sign in (0..0x2_0000).filter_map(char::from_u32) {
                let glyph = whole.glyph_index(sign);
                assert_eq!(glyph, packed.glyph_index(sign), "{sign}");
                // Scripts, punctuation, arrows, mathematical signs and what they are made of, all but syllabics.
                let written = matches!(u32::from(sign), 0..0x1400 | 0x16a0..0x2600 | 0x2900..0x2a00 | 0x2b00..0xd800);
                if let Some(glyph) = glyph.filter(|_| written) {
                    let [one, other] = [&whole, packed].map(|face| face.glyph_bounding_box(glyph));
                    assert_eq!(one, other, "{sign}");
                }
            }
            for glyph in (0..whole.number_of_glyphs()).map(ttf_parser::GlyphId) {
                assert_eq!(whole.glyph_hor_advance(glyph), packed.glyph_hor_advance(glyph));
            }
        }
    }

    #[test]
    fn a_text_too_long_is_cut_to_its_room() {
        let text = "a title that nobody can read to its end in one breath";
        let cut = fitting(text, (16.0, false), 200.0).unwrap();
        assert!(cut.ends_with('…') && width(&cut, 16.0, false).unwrap() <= 200.0, "{cut}");
        assert_eq!(fitting("short", (16.0, false), 200.0).unwrap(), "short");
    }
}
