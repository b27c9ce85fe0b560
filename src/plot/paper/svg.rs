//! A sheet as SVG: text stays text, areas and lines stay paths, a picture is one image.
//!
//! Source of the element names: W3C, Scalable Vector Graphics 1.1.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::plot::paper::Undrawn;
use crate::plot::paper::colour::{Rgb, WHITE};
use crate::plot::paper::font::FAMILIES;
use crate::plot::paper::raster::{FINE, whole};
use crate::plot::paper::sheet::{Anchor, Image, Mark, Pen, Sheet, Spot, TEXT, Text};

/// How much finer than the sheet an embedded picture is, each way; a divisor of [`FINE`].
const KEPT: usize = 2;

/// The sheet as the text of an SVG file.
pub(crate) fn render(sheet: &Sheet) -> Result<String, Undrawn> {
    let [width, height] = sheet.size.map(whole);
    // Writing to a string cannot fail, here and below.
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n\
         <g fill=\"none\" stroke-linejoin=\"round\" font-family=\"{FAMILIES}\" \
         font-size=\"{TEXT}\">\n<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
        escape(&sheet.title),
        escape(&sheet.description),
        hexadecimal(WHITE),
    );
    for mark in &sheet.marks {
        match mark {
            Mark::Area { loops, colour } => {
                let path: String = loops.iter().map(|corners| path(corners, true)).collect();
                if !path.is_empty() {
                    let rule = if loops.len() > 1 { " fill-rule=\"evenodd\"" } else { "" };
                    let colour = hexadecimal(*colour);
                    let _ = writeln!(out, "<path fill=\"{colour}\"{rule} d=\"{path}\"/>");
                }
            }
            Mark::Lines { lines, pen } => put_lines(&mut out, lines, *pen),
            Mark::Text(text) => put_text(&mut out, text),
            Mark::Image(image) => put_image(&mut out, image)?,
        }
    }
    out.push_str("</g>\n</svg>\n");
    Ok(out)
}

/// `#rrggbb`.
pub(crate) fn hexadecimal(Rgb([red, green, blue]): Rgb) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// A length with two decimals at most.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The data of a path along a polyline.
pub(crate) fn path(spots: &[Spot], closed: bool) -> String {
    let mut data = String::with_capacity(12 * spots.len());
    let ring = spots.len() > 2 && spots.first() == spots.last();
    let last = if ring { spots.len() - 1 } else { spots.len() };
    for (k, [x, y]) in spots[..last].iter().enumerate() {
        let sign = if k == 0 { 'M' } else { 'L' };
        let _ = write!(data, "{sign}{} {}", short(*x), short(*y));
    }
    if (closed || ring) && !data.is_empty() {
        data.push('Z');
    }
    data
}

fn put_lines(out: &mut String, lines: &[Vec<Spot>], pen: Pen) {
    let path: String =
        lines.iter().filter(|line| line.len() > 1).map(|line| path(line, false)).collect();
    if path.is_empty() {
        return;
    }
    let colour = hexadecimal(pen.colour);
    let _ = write!(out, "<path stroke=\"{colour}\" stroke-width=\"{}\"", short(pen.width));
    if !pen.dash.is_empty() {
        let dash: Vec<String> = pen.dash.iter().map(|length| short(*length)).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dash.join(" "));
    }
    let _ = writeln!(out, " d=\"{path}\"/>");
}

fn put_text(out: &mut String, text: &Text) {
    let [x, y] = text.at.map(short);
    let _ = write!(out, "<text fill=\"{}\" ", hexadecimal(text.colour));
    let _ = if text.upward {
        write!(out, "transform=\"translate({x} {y}) rotate(-90)\"")
    } else {
        write!(out, "x=\"{x}\" y=\"{y}\"")
    };
    match text.anchor {
        Anchor::Start => {}
        Anchor::Middle => out.push_str(" text-anchor=\"middle\""),
        Anchor::End => out.push_str(" text-anchor=\"end\""),
    }
    if (text.size - TEXT).abs() > 1e-9 {
        let _ = write!(out, " font-size=\"{}\"", short(text.size));
    }
    if text.bold {
        out.push_str(" font-weight=\"bold\"");
    }
    let _ = writeln!(out, ">{}</text>", escape(&text.content));
}

fn put_image(out: &mut String, image: &Image) -> Result<(), Undrawn> {
    let [left, top] = image.window.low.map(short);
    let [width, height] = image.window.size().map(short);
    let data = STANDARD.encode(image.pixels.shrunk(FINE / KEPT).png()?);
    let _ = writeln!(
        out,
        "<image x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" \
         preserveAspectRatio=\"none\" xlink:href=\"data:image/png;base64,{data}\"/>"
    );
    Ok(())
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
    use crate::plot::paper::colour::INK;
    use crate::plot::paper::pixels::Pixels;
    use crate::plot::paper::window::Window;

    #[test]
    fn names_from_a_case_file_cannot_break_the_picture() {
        assert_eq!(escape("A<b> & \"c\"\u{7}"), "A&lt;b&gt; &amp; &quot;c&quot; ");
        let mut sheet = Sheet::new([300.0, 100.0], "A<b> & \"c\"\u{7}", "two\nlines");
        sheet.text([9.0, 90.0], Anchor::Start, "fill=\"#000000\"");
        let svg = render(&sheet).unwrap();
        assert!(svg.contains(">A&lt;b&gt; &amp; &quot;c&quot; </text>"), "{svg}");
        assert!(svg.contains(">two lines</text>"), "{svg}");
    }

    #[test]
    fn a_sheet_keeps_its_size_and_its_places() {
        let mut sheet = Sheet::new([640.0, 420.0], "Title", "");
        sheet.line(&[[10.25, 20.5], [30.0, 40.0]], Pen::new(INK, 1.5).dashed(&[6.0, 2.5]));
        let svg = render(&sheet).unwrap();
        assert!(svg.contains("width=\"640\" height=\"420\" viewBox=\"0 0 640 420\""), "{svg}");
        let line = "stroke-width=\"1.5\" stroke-dasharray=\"6 2.5\" d=\"M10.25 20.5L30 40\"/>";
        assert!(svg.contains(line), "{svg}");
        let title = "x=\"24\" y=\"32\" font-size=\"20\" font-weight=\"bold\">Title</text>";
        assert!(svg.contains(title), "{svg}");
    }

    #[test]
    fn an_area_with_a_hole_is_one_path() {
        let mut sheet = Sheet::new([100.0, 100.0], "", "");
        let square = |c: f64| vec![[-c, -c], [c, -c], [c, c], [-c, c]];
        sheet.areas(vec![square(9.0), square(3.0)], INK);
        let svg = render(&sheet).unwrap();
        assert!(svg.contains("fill-rule=\"evenodd\" d=\"M-9 -9L9 -9L9 9L-9 9ZM-3 -3"), "{svg}");
    }

    #[test]
    fn a_picture_is_an_image_at_its_window() {
        let mut sheet = Sheet::new([200.0, 100.0], "", "");
        let window = Window { low: [10.0, 20.0], high: [70.0, 80.0] };
        let pixels = Pixels::new([60 * FINE, 60 * FINE], INK);
        sheet.marks.push(Mark::Image(Image { window, pixels }));
        let svg = render(&sheet).unwrap();
        assert!(svg.contains("<image x=\"10\" y=\"20\" width=\"60\" height=\"60\" "), "{svg}");
        let data = svg.split_once("base64,").unwrap().1.split_once('"').unwrap().0;
        let png = STANDARD.decode(data).unwrap();
        let picture = png::Decoder::new(std::io::Cursor::new(png)).read_info().unwrap();
        assert_eq!((picture.info().width, picture.info().height), (120, 120));
    }
}
