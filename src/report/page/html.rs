//! The few pieces of HTML that the page is made of.

use crate::report::escape::markup;

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
    format!("<section>\n<h2>{heading}</h2>\n{body}</section>\n")
}

/// A part that is closed at first; `body` is HTML already.
#[must_use]
pub(crate) fn details(summary: &str, body: &str) -> String {
    format!("<details><summary>{summary}</summary>\n{body}</details>\n")
}

/// A list of texts.
#[must_use]
pub fn list<T: AsRef<str>>(items: &[T]) -> String {
    let items: String =
        items.iter().map(|item| format!("<li>{}</li>\n", markup(item.as_ref()))).collect();
    format!("<ul>\n{items}</ul>\n")
}

/// A table with a head row. Cells that are numbers stand to the right.
#[must_use]
pub fn table(rows: &[Vec<String>]) -> String {
    let Some((head, rows)) = rows.split_first() else {
        return String::new();
    };
    let mut text = String::from("<div class=\"table\"><table>\n<thead><tr>");
    let numeric: Vec<bool> = (0..head.len())
        .map(|column| !rows.is_empty() && rows.iter().all(|row| is_number(&row[column])))
        .collect();
    for (cell, &numeric) in head.iter().zip(&numeric) {
        text.push_str(&format!("<th{}>{}</th>", class(numeric), markup(cell)));
    }
    text.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        text.push_str("<tr>");
        for (cell, &numeric) in row.iter().zip(&numeric) {
            let cell = if numeric { minus(cell) } else { cell.clone() };
            text.push_str(&format!("<td{}>{}</td>", class(numeric), markup(&cell)));
        }
        text.push_str("</tr>\n");
    }
    text.push_str("</tbody>\n</table></div>\n");
    text
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
