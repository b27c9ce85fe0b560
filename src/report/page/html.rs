//! The few pieces of HTML that the pages are made of.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use crate::report::escape::{cell, markup};

/// A whole page that needs nothing else. `title` is plain text, `styles` are style sheets, `body` is HTML
/// already.
#[must_use]
pub fn document(title: &str, styles: &[&str], body: &str) -> String {
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}</title>\n<style>\n{}</style>\n</head>\n<body>\n{body}</body>\n</html>\n",
        markup(title),
        styles.concat(),
    )
}

/// A headed part of the page; `body` is HTML already.
#[must_use]
pub fn section(heading: &str, body: &str) -> String {
    format!("<section>\n<h2>{}</h2>\n{body}</section>\n", markup(heading))
}

/// A part that is closed at first; `body` is HTML already.
#[must_use]
pub(crate) fn details(summary: &str, body: &str) -> String {
    format!("<details><summary>{summary}</summary>\n{body}</details>\n")
}

/// `text` as HTML; what stands between back quotes is shown as code.
fn coded(text: &str) -> String {
    let safe = markup(text);
    if safe.matches('`').count() % 2 == 1 {
        return safe;
    }
    let parts = safe.split('`').enumerate();
    parts
        .map(|(k, part)| if k % 2 == 1 { format!("<code>{part}</code>") } else { part.to_owned() })
        .collect()
}

/// A list of texts.
#[must_use]
pub fn list<T: AsRef<str>>(items: &[T]) -> String {
    let items: String =
        items.iter().map(|item| format!("<li>{}</li>\n", coded(item.as_ref()))).collect();
    format!("<ul>\n{items}</ul>\n")
}

/// Text as it is, such as a file. `name` says what it is to readers who cannot see it.
#[must_use]
pub fn verbatim(name: &str, text: &str) -> String {
    format!(
        "<pre role=\"group\" aria-label=\"{}\" tabindex=\"0\">{}</pre>\n",
        markup(name),
        markup(text)
    )
}

/// A table with a head row, and its download as CSV. Cells that are numbers stand to the right. `name` names the
/// table and the file.
#[must_use]
pub fn table(name: &str, rows: &[Vec<String>]) -> String {
    let Some((head, body)) = rows.split_first() else {
        return String::new();
    };
    let mut text = format!("{}<table>\n<thead><tr>", open(name));
    let numeric: Vec<bool> = (0..head.len())
        .map(|column| !body.is_empty() && body.iter().all(|row| is_number(&row[column])))
        .collect();
    for (cell, &numeric) in head.iter().zip(&numeric) {
        // An empty cell heads nothing.
        text.push_str(&if cell.is_empty() {
            "<td></td>".to_owned()
        } else {
            format!("<th scope=\"col\"{}>{}</th>", class(numeric), markup(cell))
        });
    }
    text.push_str("</tr></thead>\n<tbody>\n");
    for row in body {
        text.push_str("<tr>");
        for (cell, &numeric) in row.iter().zip(&numeric) {
            let cell = if numeric { minus(cell) } else { cell.clone() };
            text.push_str(&format!("<td{}>{}</td>", class(numeric), markup(&cell)));
        }
        text.push_str("</tr>\n");
    }
    text.push_str("</tbody>\n</table></div>\n");
    text.push_str(&download(name, rows));
    text
}

/// Begin of the box that a wide table scrolls in; it ends with `</div>`.
#[must_use]
pub fn open(name: &str) -> String {
    format!("<div class=\"table\" role=\"group\" aria-label=\"{}\" tabindex=\"0\">", markup(name))
}

/// A link that saves `rows` as a CSV file called after `name`. The file is in the link; nothing is fetched.
#[must_use]
pub fn download(name: &str, rows: &[Vec<String>]) -> String {
    let lines: String = rows
        .iter()
        .map(|row| row.iter().map(|text| cell(text)).collect::<Vec<_>>().join(",") + "\n")
        .collect();
    format!(
        "<p class=\"csv\"><a download=\"{}.csv\" href=\"data:text/csv;charset=utf-8;base64,{}\" \
         aria-label=\"Save the table “{}” as CSV\">CSV</a></p>\n",
        file_name(name),
        STANDARD.encode(lines),
        markup(name),
    )
}

/// Letters and digits of `name`, the rest as single dashes.
fn file_name(name: &str) -> String {
    let plain = name.chars().map(|sign| if sign.is_ascii_alphanumeric() { sign } else { ' ' });
    let words: String = plain.collect();
    words.split_whitespace().collect::<Vec<_>>().join("-")
}

/// Facts, a name and a value each.
#[must_use]
pub(crate) fn facts(pairs: &[(String, String)]) -> String {
    let rows: String = pairs
        .iter()
        .map(|(name, value)| {
            format!("<tr><th scope=\"row\">{}</th><td>{}</td></tr>\n", markup(name), markup(value))
        })
        .collect();
    format!("<div class=\"table\"><table class=\"facts\">\n{rows}</table></div>\n")
}

/// A printed number with a true minus sign in front; exponents keep theirs.
#[must_use]
pub fn minus(number: &str) -> String {
    number.strip_prefix('-').map_or_else(|| number.to_owned(), |size| format!("−{size}"))
}

fn class(numeric: bool) -> &'static str {
    if numeric { " class=\"number\"" } else { "" }
}

/// Whether a cell is a number, with or without a per cent sign, or the dash for none.
fn is_number(cell: &str) -> bool {
    let bare = cell.trim_end_matches('%').trim_end();
    cell == crate::report::show::NOTHING || bare.parse::<f64>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_download_holds_the_table() {
        let rows = [
            vec!["path, far".to_owned(), "hoop MPa".to_owned()],
            vec!["A 0°".to_owned(), "-3.1".to_owned()],
        ];
        let text = table("After 2-ream-A: paths", &rows);
        // Base 64 of `"path, far",hoop MPa\nA 0°,-3.1\n` by coreutils.
        assert!(text.contains("base64,InBhdGgsIGZhciIsaG9vcCBNUGEKQSAwwrAsLTMuMQo=\""), "{text}");
        assert!(text.contains("download=\"After-2-ream-A-paths.csv\""));
        assert!(text.contains("<td class=\"number\">−3.1</td>"), "the page has a true minus sign");
    }
}
