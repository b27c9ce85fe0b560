//! The files of the page, carried in the program.

/// A script of the page under its own name.
macro_rules! script {
    ($name:literal) => {
        ($name, "text/javascript; charset=utf-8", include_str!(concat!("page/", $name)))
    };
}

/// Name in the address, media type, content.
pub(super) const FILES: [(&str, &str, &str); 23] = [
    ("", "text/html; charset=utf-8", include_str!("page/index.html")),
    ("page.css", "text/css; charset=utf-8", include_str!("page/page.css")),
    script!("main.js"),
    script!("page.js"),
    script!("state.js"),
    script!("moves.js"),
    script!("asking.js"),
    script!("plane.js"),
    script!("view.js"),
    script!("reading.js"),
    script!("paths.js"),
    script!("headlines.js"),
    script!("own_path.js"),
    script!("increments.js"),
    script!("compare.js"),
    script!("keep.js"),
    script!("section.js"),
    script!("section_view.js"),
    script!("ask.js"),
    script!("chart.js"),
    script!("controls.js"),
    script!("field.js"),
    script!("lesson.js"),
];
