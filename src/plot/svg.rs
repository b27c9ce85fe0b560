//! Marks to SVG: text stays text, lines stay curves, filled fields become one image.
//!
//! Written here rather than by a library because a field of 10⁵ polygons must be an
//! embedded image to stay small, and element sides are exact quadratic Bézier curves.
//!
//! Source of the element names: W3C, Scalable Vector Graphics 1.1.
//!
//! Floor 7, `plot`.

use std::fmt::Write as _;

use image::ImageError;

use crate::plot::colour::Rgb;
use crate::plot::font::FAMILIES;
use crate::plot::raster::field_image;
use crate::plot::sheet::{Anchor, Mark, Pen, Sheet, Spot, Text};

/// Pixels of an embedded field to a logical pixel.
const DETAIL: usize = 2;

/// The sheet as the text of an SVG file.
pub(crate) fn render(sheet: &Sheet) -> Result<String, ImageError> {
    let [width, height] = sheet.size.map(short);
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n",
        escape(&sheet.title),
        escape(&sheet.description),
    );
    for mark in &sheet.marks {
        match mark {
            Mark::Area { corners, colour } => {
                push(
                    &mut out,
                    format_args!("<path d=\"{}Z\" fill=\"{}\"/>", run(corners), hex(*colour)),
                );
            }
            Mark::Line { spots, pen } => {
                push(&mut out, format_args!("<path d=\"{}\" {}/>", run(spots), stroke(pen)));
            }
            Mark::Curves { curves, pen } => {
                let mut path = String::new();
                for [start, control, end] in curves {
                    path.push('M');
                    path.push_str(&pair(start));
                    path.push('Q');
                    path.push_str(&pair(control));
                    path.push(' ');
                    path.push_str(&pair(end));
                }
                push(&mut out, format_args!("<path d=\"{path}\" {}/>", stroke(pen)));
            }
            Mark::Text(text) => push(&mut out, format_args!("{}", words(text))),
            Mark::Field(field) => {
                let [x, y] = field.window.low.map(short);
                let [width, height] = field.window.size().map(short);
                let data = base64(&field_image(field, DETAIL).png()?);
                push(
                    &mut out,
                    format_args!(
                        "<image x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" \
                         preserveAspectRatio=\"none\" xlink:href=\"data:image/png;base64,{data}\"/>"
                    ),
                );
            }
        }
    }
    out.push_str("</svg>\n");
    Ok(out)
}

fn push(out: &mut String, element: std::fmt::Arguments) {
    // Writing to a string cannot fail.
    let _ = writeln!(out, "{element}");
}

/// A coordinate with two decimals at most.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn pair(spot: &Spot) -> String {
    format!("{} {}", short(spot[0]), short(spot[1]))
}

fn run(spots: &[Spot]) -> String {
    let points: Vec<String> = spots.iter().map(pair).collect();
    format!("M{}", points.join("L"))
}

fn hex(Rgb([r, g, b]): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn stroke(pen: &Pen) -> String {
    let mut text = format!(
        "fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
        hex(pen.colour),
        short(pen.width)
    );
    if !pen.dash.is_empty() {
        let lengths: Vec<String> = pen.dash.iter().map(|length| short(*length)).collect();
        let _ = write!(text, " stroke-dasharray=\"{}\"", lengths.join(" "));
    }
    text
}

fn words(text: &Text) -> String {
    let [x, y] = text.at.map(short);
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let turn =
        if text.upward { format!(" transform=\"rotate(-90 {x} {y})\"") } else { String::new() };
    let weight = if text.bold { " font-weight=\"bold\"" } else { "" };
    format!(
        "<text x=\"{x}\" y=\"{y}\" font-family=\"{FAMILIES}\" font-size=\"{}\"{weight} \
         text-anchor=\"{anchor}\" fill=\"{}\"{turn}>{}</text>",
        short(text.size),
        hex(text.colour),
        escape(&text.content)
    )
}

/// Text with the signs XML keeps for itself written as entities; control characters,
/// which XML cannot hold at all, become spaces.
fn escape(text: &str) -> String {
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

/// Base64 with padding. Source: RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let at = |k: usize| usize::from(chunk.get(k).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for k in 0..4 {
            let sign = SIGNS[bits >> (18 - 6 * k) & 63];
            text.push(if k <= chunk.len() { char::from(sign) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_gives_the_vectors_of_its_standard() {
        // RFC 4648, section 10.
        for (plain, coded) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn names_from_a_case_file_cannot_break_the_picture() {
        assert_eq!(escape("A<b> & \"c\"\u{7}"), "A&lt;b&gt; &amp; &quot;c&quot; ");
    }

    #[test]
    fn coordinates_are_short() {
        assert_eq!(short(12.0), "12");
        assert_eq!(short(-0.001), "0");
        assert_eq!(short(3.456), "3.46");
    }
}
