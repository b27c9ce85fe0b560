//! The files of the page, carried in the program.

use crate::texts;

/// Names of the files; the page itself has the address without a name.
const FILES: [&str; 23] = [
    "index.html",
    "page.css",
    "main.js",
    "page.js",
    "state.js",
    "moves.js",
    "asking.js",
    "plane.js",
    "view.js",
    "reading.js",
    "paths.js",
    "headlines.js",
    "own_path.js",
    "increments.js",
    "compare.js",
    "keep.js",
    "section.js",
    "section_view.js",
    "ask.js",
    "chart.js",
    "controls.js",
    "field.js",
    "lesson.js",
];

/// Media type and content of the file with this name in the address.
pub(super) fn file(name: &str) -> Option<(&'static str, &'static str)> {
    let wanted = if name.is_empty() { "index.html" } else { name };
    let found = FILES.iter().find(|file| **file == wanted)?;
    let kind = match found.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        _ => "text/javascript; charset=utf-8",
    };
    Some((kind, texts::text(&format!("src/live/page/{found}"))))
}
