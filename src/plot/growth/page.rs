//! The page round the frames: markup, style, the few lines of script.

use std::fmt::Write as _;

use crate::plot::figure::FigureContext;
use crate::plot::paper::colour::{ELASTIC, INK, REVERSE_YIELDED, YIELDED};
use crate::plot::paper::svg::{escape, hexadecimal};
use crate::plot::paper::window::Window;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// Pictures of the strip.
const STRIP: usize = 6;

/// One frame.
pub(super) struct Still {
    /// Number of its plate: a cut makes a new one.
    pub(super) metal: usize,
    /// Path data of the yielded metal.
    pub(super) yielded: String,
    /// Path data of the metal in reverse yielding.
    pub(super) again: String,
    /// Stage and phase, in words.
    pub(super) words: String,
    /// Values at the watched point, in words.
    pub(super) numbers: String,
}

/// Where each frame stands on a chart, pixels; `None` when it has no place there.
pub(super) struct Dots {
    pub(super) size: [f64; 2],
    pub(super) spots: Vec<Option<[f64; 2]>>,
}

/// A page under construction.
pub(super) struct Page<'a> {
    title: &'a str,
    context: FigureContext<'a>,
    plate: String,
    frame: Window,
    size: [f64; 2],
    metals: usize,
    definitions: String,
    stills: Vec<Still>,
    charts: Vec<String>,
    dots: Vec<Dots>,
}

impl<'a> Page<'a> {
    /// A page about the picture `plate` of `size` pixels, whose frames are shown in `frame`.
    pub(super) fn new(
        title: &'a str,
        context: FigureContext<'a>,
        plate: String,
        frame: Window,
        size: [f64; 2],
    ) -> Self {
        Self {
            title,
            context,
            plate,
            frame,
            size,
            metals: 0,
            definitions: String::new(),
            stills: Vec::new(),
            charts: Vec::new(),
            dots: Vec::new(),
        }
    }

    /// Adds a plate by the path of its borders.
    pub(super) fn metal(&mut self, path: &str) {
        let number = self.metals;
        // Writing to a string cannot fail.
        let _ = writeln!(self.definitions, "<path id=\"m{number}\" d=\"{path}\"/>");
        self.metals += 1;
    }

    /// Adds a frame.
    pub(super) fn still(&mut self, still: Still) {
        let Still { metal, yielded, again, .. } = &still;
        let number = self.stills.len();
        let _ = write!(
            self.definitions,
            "<g id=\"f{number}\"><use href=\"#m{metal}\" class=\"metal\"/>"
        );
        for (class, data) in [("yielded", yielded), ("again", again)] {
            if !data.is_empty() {
                let _ = write!(self.definitions, "<path class=\"{class}\" d=\"{data}\"/>");
            }
        }
        let _ = writeln!(self.definitions, "<use href=\"#m{metal}\" class=\"edge\"/></g>");
        self.stills.push(still);
    }

    /// Adds a chart with a dot.
    pub(super) fn chart(&mut self, picture: &str, dots: Dots) {
        let number = self.charts.len();
        let [x, y] = dots.spots.iter().rev().copied().flatten().next().unwrap_or_default();
        let dot = format!(
            "<circle id=\"dot{number}\" class=\"dot\" r=\"7\" \
             cx=\"{x:.1}\" cy=\"{y:.1}\"/></svg>"
        );
        self.charts.push(bare(picture, dots.size).replace("</svg>", &dot));
        self.dots.push(dots);
    }

    /// The whole page.
    pub(super) fn text(&self) -> String {
        let last = self.stills.len().saturating_sub(1);
        let [words, numbers] = self
            .stills
            .last()
            .map_or_else(Default::default, |s| [escape(&s.words), escape(&s.numbers)]);
        let title = escape(self.title);
        let case = escape(self.context.case_title);
        format!(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
             <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
             <title>{title} – {case}</title>\n<style>\n{STYLE}{}</style>\n</head>\n<body>\n\
             <h1>{title}</h1>\n<p class=\"soft\">{case}</p>\n\
             <div class=\"control\"><button id=\"play\" type=\"button\">Play</button>\
             <input id=\"slider\" type=\"range\" min=\"0\" max=\"{last}\" value=\"{last}\" \
             aria-label=\"Increment\"></div>\n\
             <p class=\"now\"><b id=\"words\">{words}</b><span id=\"numbers\">{numbers}</span></p>\n\
             <div class=\"stage\"><div class=\"plate\">{}</div>\n<div>{}</div></div>\n\
             <p class=\"soft keys\">Keys: <kbd>space</kbd> plays and pauses, <kbd>←</kbd> \
             <kbd>→</kbd> step, <kbd>Home</kbd> <kbd>End</kbd> go to the first and the last frame.</p>\n\
             <h2>At a glance</h2>\n<div class=\"strip\">\n{}</div>\n\
             <script>\nconst frames = {};\nconst dots = {};\n{SCRIPT}</script>\n</body>\n</html>\n",
            path_style(),
            self.stage(last),
            self.charts.join("\n"),
            self.strip(),
            self.frame_data(),
            self.dot_data(),
        )
    }

    /// The plate with the frames behind its axes.
    fn stage(&self, shown: usize) -> String {
        let Window { low, high } = self.frame;
        let [width, height] = [high[0] - low[0], high[1] - low[1]];
        let behind = format!(
            "<defs><clipPath id=\"frame\"><rect x=\"{:.1}\" y=\"{:.1}\" width=\"{width:.1}\" \
             height=\"{height:.1}\"/></clipPath>\n{}</defs>\n<g clip-path=\"url(#frame)\">\
             <use id=\"now\" href=\"#f{shown}\"/></g>\n",
            low[0], low[1], self.definitions
        );
        let bare = bare(&self.plate, self.size);
        // The first rectangle is the paper.
        match bare.split_once("<rect").and_then(|(head, rest)| {
            rest.split_once("/>").map(|(paper, marks)| (head, paper, marks))
        }) {
            Some((head, paper, marks)) => format!("{head}<rect{paper}/>\n{behind}{marks}"),
            None => bare,
        }
    }

    /// A few frames side by side, evenly spread, the last among them.
    fn strip(&self) -> String {
        let Window { low, high } = self.frame;
        let [width, height] = [high[0] - low[0], high[1] - low[1]];
        let last = self.stills.len().saturating_sub(1);
        let mut text = String::new();
        for k in 1..=STRIP.min(last.max(1)) {
            let number = (k * last).div_ceil(STRIP.min(last.max(1)));
            let words = self.stills.get(number).map_or("", |still| &still.words);
            let _ = writeln!(
                text,
                "<figure><svg viewBox=\"{:.1} {:.1} {width:.1} {height:.1}\" role=\"img\" \
                 aria-label=\"{}\"><use href=\"#f{number}\"/></svg>\
                 <figcaption>{}</figcaption></figure>",
                low[0],
                low[1],
                escape(words),
                escape(words)
            );
        }
        text
    }

    fn frame_data(&self) -> String {
        let each =
            self.stills.iter().map(|s| format!("[{},{}]", quoted(&s.words), quoted(&s.numbers)));
        format!("[{}]", each.collect::<Vec<_>>().join(",\n"))
    }

    fn dot_data(&self) -> String {
        let charts = self.dots.iter().map(|dots| {
            let spots = dots.spots.iter().map(|spot| match spot {
                Some([x, y]) => format!("[{x:.1},{y:.1}]"),
                None => "null".to_owned(),
            });
            format!("[{}]", spots.collect::<Vec<_>>().join(","))
        });
        format!("[{}]", charts.collect::<Vec<_>>().join(",\n"))
    }
}

/// A picture without the head of an XML file, its size left to the page.
fn bare(picture: &str, [width, height]: [f64; 2]) -> String {
    let body = picture.split_once("?>\n").map_or(picture, |(_, body)| body);
    let size = format!("width=\"{width:.0}\" height=\"{height:.0}\" ");
    body.replacen(&size, "", 1)
}

/// Text as a string of the script; it cannot close the element it stands in.
fn quoted(text: &str) -> String {
    let json = serde_json::Value::String(text.to_owned()).to_string();
    json.replace('<', "\\u003c")
}

/// Rules for the paths of the plate.
fn path_style() -> String {
    format!(
        ".metal {{ fill: {}; fill-rule: evenodd; }}\n.yielded {{ fill: {}; fill-rule: evenodd; }}\n\
         .again {{ fill: {}; fill-rule: evenodd; }}\n\
         .edge {{ fill: none; stroke: {}; stroke-width: 1.8; stroke-linejoin: round; }}\n",
        hexadecimal(ELASTIC),
        hexadecimal(YIELDED),
        hexadecimal(REVERSE_YIELDED),
        hexadecimal(INK)
    )
}
