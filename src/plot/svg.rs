//! A sheet as SVG: text stays text, lines stay lines, each filled field is one image.
//!
//! The backend knows whole units only. It draws on a canvas several times larger, and the
//! head of the file gives the picture its size back, so places are exact to a fraction of
//! a pixel. A field of 10⁵ polygons would make a file of megabytes; a rectangle holds its
//! place until its image is put there.
//!
//! Source of the element names: W3C, Scalable Vector Graphics 1.1.
//!
//! Floor 7, `plot`.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::{Color, RGBColor};

use crate::plot::backend::{Medium, Undrawn, lay, length, library};
use crate::plot::png::{FINE, Picture, encoded, shrunk};
use crate::plot::sheet::Sheet;

/// Units of the canvas to a logical pixel; a multiple of [`FINE`].
pub(crate) const UNITS: u32 = 8;
/// How much smaller than their picture embedded fields are, each way.
const COARSER: usize = 2;
/// Opacity of a rectangle that holds the place of a field; everything else is opaque.
const HELD: f64 = 0.5;

/// The sheet as the text of an SVG file.
pub(crate) fn render(sheet: &Sheet, pictures: &[Picture]) -> Result<String, Undrawn> {
    let medium = Medium {
        scale: f64::from(UNITS),
        excess: 0.0,
        joins: true,
        // The backend takes sizes as 1.24 em and lowers text hung at its top by 0.76 em.
        size_over_em: 1.24,
        drop: 0.76,
    };
    let size @ [width, height] = sheet.size.map(length);
    let canvas = (UNITS * width, UNITS * height);
    let mut out = String::new();
    let mut backend = SVGBackend::with_string(&mut out, canvas);
    lay(sheet, &mut backend, &medium, |backend, k| {
        let Some(picture) = pictures.get(k) else { return Ok(()) };
        let [low, high] = corners(picture);
        backend.draw_rect(low, high, &holder(k).mix(HELD), true).map_err(library)
    })?;
    backend.present().map_err(library)?;
    drop(backend);

    let mut out = headed(&out, sheet, size);
    for (k, picture) in pictures.iter().enumerate() {
        out = filled(&out, k, picture)?;
    }
    // Text on its own line would begin with a blank.
    let out = out.replace(" opacity=\"1\"", "").replace("\n</text>", "</text>");
    Ok(joined(&out))
}

/// The head with the nominal size and the words for readers who cannot see the picture.
fn headed(out: &str, sheet: &Sheet, [width, height]: [u32; 2]) -> String {
    let body = out.split_once('\n').map_or("", |(_, body)| body);
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {} {}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n\
         <g stroke-linejoin=\"round\">\n{}</g>\n</svg>\n",
        UNITS * width,
        UNITS * height,
        escape(&sheet.title),
        escape(&sheet.description),
        body.strip_suffix("</svg>\n").unwrap_or(body),
    )
}

/// Corners of a picture on the canvas.
fn corners(Picture { corner: (x, y), image }: &Picture) -> [(i32, i32); 2] {
    let units = (UNITS / FINE).cast_signed();
    let (width, height) = image.dimensions();
    let far = (x + width.cast_signed(), y + height.cast_signed());
    [(units * x, units * y), (units * far.0, units * far.1)]
}

/// Colour of the rectangle that holds the place of field `k`.
fn holder(k: usize) -> RGBColor {
    let [.., high, low] = k.to_be_bytes();
    RGBColor(0, high, low)
}

/// Puts the image of field `k` where its rectangle stands.
fn filled(out: &str, k: usize, picture: &Picture) -> Result<String, Undrawn> {
    let RGBColor(red, green, blue) = holder(k);
    let mark = format!("opacity=\"{HELD}\" fill=\"#{red:02X}{green:02X}{blue:02X}\"");
    let missing = || Undrawn::Library("the place of a field was lost".to_owned());
    let (before, after) = out.split_once(&mark).ok_or_else(missing)?;
    let (before, place) = before.rsplit_once("<rect ").ok_or_else(missing)?;
    let (_, after) = after.split_once("/>").ok_or_else(missing)?;
    let data = STANDARD.encode(encoded(&shrunk::<COARSER>(&picture.image))?);
    Ok(format!(
        "{before}<image {place}preserveAspectRatio=\"none\" \
         xlink:href=\"data:image/png;base64,{data}\"/>{after}"
    ))
}

/// Takes the line break before the words of a text away.
fn joined(out: &str) -> String {
    let mut text = String::with_capacity(out.len());
    for line in out.lines() {
        text.push_str(line);
        if !line.starts_with("<text ") || line.ends_with("</text>") {
            text.push('\n');
        }
    }
    text
}

/// Text with the signs XML keeps for itself written as entities; control characters,
/// which XML cannot hold at all, become spaces.
pub(crate) fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            sign if sign.is_control() => safe.push(' '),
            sign => safe.push(sign),
        }
    }
    safe
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use crate::plot::clip::Window;
    use crate::plot::colour::{INK, WHITE};
    use crate::plot::png::pictures;
    use crate::plot::sheet::{Anchor, Field, Mark, Pen};

    #[test]
    fn names_from_a_case_file_cannot_break_the_picture() {
        assert_eq!(escape("A<b> & \"c\"\u{7}"), "A&lt;b&gt; &amp; &quot;c&quot; ");
        let mut sheet = Sheet::new([300.0, 100.0], "A<b> & \"c\"\u{7}", "two\nlines");
        sheet.text([9.0, 90.0], Anchor::Start, "opacity=\"0.5\" fill=\"#000000\"");
        let svg = render(&sheet, &[]).unwrap();
        assert!(svg.contains(">A&lt;b&gt; &amp; &quot;c&quot; </text>"), "{svg}");
        assert!(svg.contains(">two lines</text>"), "{svg}");
    }

    #[test]
    fn a_sheet_keeps_its_size_and_its_places() {
        let mut sheet = Sheet::new([640.0, 420.0], "Title", "");
        sheet.line(vec![[10.25, 20.5], [30.0, 40.0]], Pen::new(INK, 1.5));
        let svg = render(&sheet, &[]).unwrap();
        assert!(svg.contains("width=\"640\" height=\"420\" viewBox=\"0 0 5120 3360\""), "{svg}");
        assert!(svg.contains("stroke-width=\"12\" points=\"82,164 240,320 \""), "{svg}");
        // The title: 20 pixels high, its baseline 32 below the top, hung 0.76 of its size higher.
        assert!(svg.contains("x=\"192\" y=\"134\" dy=\"0.76em\""), "{svg}");
        assert!(svg.contains("font-size=\"160\" fill=\"#1C1E24\" font-weight=\"bold\">Title</"));
    }

    #[test]
    fn fields_become_images_at_their_places_in_order() {
        let mut sheet = Sheet::new([200.0, 100.0], "", "");
        for (left, colour) in [(10.0, INK), (110.0, WHITE)] {
            let window = Window { low: [left, 20.0], high: [left + 60.0, 80.0] };
            let mut field = Field::new(window);
            field.push([[left, 20.0], [left + 60.0, 20.0], [left, 80.0]].into_iter(), colour);
            sheet.marks.push(Mark::Field(field));
            sheet.rectangle(window, INK);
        }
        let svg = render(&sheet, &pictures(&sheet).unwrap()).unwrap();
        let image = |x: u32| format!("<image x=\"{x}\" y=\"160\" width=\"480\" height=\"480\" ");
        let (first, second) = (svg.find(&image(80)).unwrap(), svg.find(&image(880)).unwrap());
        let (one, other) = (svg.find("<polygon").unwrap(), svg.rfind("<polygon").unwrap());
        assert!(first < one && one < second && second < other);
        assert!(!svg.contains("opacity"), "{svg}");
        // The bytes behind the image are a PNG with twice the pixels of the window each way.
        let data = &svg[first..].split_once("base64,").unwrap().1.split_once('"').unwrap().0;
        let picture = image::load_from_memory(&STANDARD.decode(data).unwrap()).unwrap();
        assert_eq!((picture.width(), picture.height()), (120, 120));
    }
}
