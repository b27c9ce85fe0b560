//! The sheet round every report: identity, question, answer, drawing, signatures; then the details, what
//! is assumed, cautions, inputs.
//!
//! It prints on any paper: the page rules set margins and running lines, with the number of the page, and leave
//! the size to the printer.

use crate::report::band::Band;
use crate::report::escape::markup;
use crate::report::page::figure::Figure;
use crate::report::page::html::{document, facts, list, section};
use crate::report::record::Record;

/// Style of all pages: system fonts, tables that scroll, print without wasted ink.
const STYLE: &str = include_str!("style.css");

/// Longest text of a running line, in characters.
const RUNNING: usize = 70;

/// Digits of a hash that are enough to tell files apart in a running line.
const SHORT_HASH: usize = 12;

/// A report. Texts are plain, bodies are HTML already; an empty body leaves its part out.
#[derive(Clone, Debug, Default)]
pub struct Shell<'a> {
    /// Kind of report.
    pub kind: &'a str,
    /// Title of the case.
    pub title: &'a str,
    /// Line below the title.
    pub subtitle: String,
    /// Number, revision, date.
    pub record: Record,
    /// Name and SHA-256 of every input.
    pub inputs: Vec<(String, String)>,
    /// Failures and warnings, ahead of everything: a body.
    pub status: String,
    /// Questions, in words.
    pub asked: Vec<String>,
    /// The answer with its band: a body.
    pub answer: String,
    /// The band of the answer; a run has it in the answer already.
    pub band: Option<Band>,
    /// The plate with its dimensions.
    pub drawing: Option<&'a Figure>,
    /// Headings and bodies of the details.
    pub parts: Vec<(&'a str, String)>,
    /// Assumptions and limits of the model.
    pub assumptions: Vec<String>,
    /// Dangers, and what the numbers do not replace.
    pub cautions: Vec<&'a str>,
    /// Inputs as they were given: a body.
    pub echo: String,
    /// Last line: plain text after the name of the program.
    pub footer: String,
    /// Style sheets after that of all pages.
    pub styles: Vec<&'a str>,
    /// HTML after everything else, such as a script.
    pub end: String,
}

impl Shell<'_> {
    /// The whole page.
    #[must_use]
    pub fn html(&self) -> String {
        let drawing = self.drawing.map_or_else(String::new, Figure::html);
        let details: String =
            self.parts.iter().map(|(heading, body)| part(heading, body)).collect();
        let band = self.band.as_ref().map_or_else(String::new, Band::html);
        let asked = if self.asked.is_empty() { String::new() } else { list(&self.asked) };
        let assumptions =
            if self.assumptions.is_empty() { String::new() } else { list(&self.assumptions) };
        let body = [
            "<main>\n".to_owned(),
            self.head(),
            self.status.clone(),
            part("Asked", &asked),
            part("Answer", &format!("{}{band}", self.answer)),
            part("The plate", &drawing),
            section("Signatures", &signatures()),
            details,
            part("Assumptions", &assumptions),
            part("Cautions", &list(&self.cautions)),
            part("Inputs", &self.echo),
            format!("<footer>{} · {}</footer>\n</main>\n", program(), markup(&self.footer)),
            self.end.clone(),
        ]
        .concat();
        let running = running(self.kind, self.title, &self.record, &self.inputs);
        let styles: Vec<&str> =
            [STYLE, &running].into_iter().chain(self.styles.iter().copied()).collect();
        document(self.title, &styles, &body)
    }

    fn head(&self) -> String {
        format!(
            "<header>\n<p class=\"kind\">{}</p>\n<h1>{}</h1>\n<p class=\"subtitle\">{}</p>\n</header>\n{}",
            markup(self.kind),
            markup(self.title),
            markup(&self.subtitle),
            identity(&self.record, &self.inputs),
        )
    }
}

fn part(heading: &str, body: &str) -> String {
    if body.is_empty() { String::new() } else { section(heading, body) }
}

/// Name and version of the program.
pub(in crate::report) fn program() -> String {
    format!("{} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION"))
}

/// Number, revision, date, program, and the hash of every input.
pub(in crate::report) fn identity(record: &Record, inputs: &[(String, String)]) -> String {
    let known = |value: &Option<String>| value.clone().unwrap_or_default();
    let mut pairs = vec![
        ("Number".to_owned(), known(&record.number)),
        ("Revision".to_owned(), known(&record.revision)),
        ("Date".to_owned(), known(&record.date)),
        ("Program".to_owned(), program()),
    ];
    for (name, hash) in inputs {
        pairs.push((name.clone(), format!("SHA-256 {hash}")));
    }
    format!("<div class=\"identity\">{}</div>\n", facts(&pairs))
}

/// Room for names, dates and signatures.
pub(in crate::report) fn signatures() -> String {
    let rows: String = ["Prepared", "Checked", "Approved"]
        .map(|role| format!("<tr><th scope=\"row\">{role}</th><td></td><td></td><td></td></tr>\n"))
        .concat();
    format!(
        "<table class=\"sign\">\n<thead><tr><td></td><th scope=\"col\">name</th><th scope=\"col\">date</th>\
         <th scope=\"col\">signature</th></tr></thead>\n<tbody>\n{rows}</tbody></table>\n"
    )
}

/// The same in one row, where there is little room.
pub(in crate::report) fn signature_row() -> String {
    let boxes = ["Prepared", "Checked", "Approved"]
        .map(|role| format!("<div><dt>{role}: name, date, signature</dt><dd></dd></div>"));
    format!("<dl class=\"signatures\">{}</dl>\n", boxes.concat())
}

/// Page rules with the lines that run along the top and the bottom of every printed page.
pub(in crate::report) fn running(
    kind: &str,
    title: &str,
    record: &Record,
    inputs: &[(String, String)],
) -> String {
    let hash = match inputs {
        [(_, hash)] => format!(" · SHA-256 {}…", hash.get(..SHORT_HASH).unwrap_or(hash)),
        _ => String::new(),
    };
    format!(
        "@page {{\n  @top-left {{ content: {}; }}\n  @top-right {{ content: {}; }}\n  @bottom-left {{ content: {}; }}\n  \
         @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); }}\n}}\n",
        css_string(&cut(title)),
        css_string(&record.line()),
        css_string(&format!("{kind} · {}{hash}", program())),
    )
}

fn cut(text: &str) -> String {
    if text.chars().count() <= RUNNING {
        return text.to_owned();
    }
    let kept: String = text.chars().take(RUNNING - 1).collect();
    format!("{}…", kept.trim_end())
}

/// Text as a string of a style sheet inside a page: every sign that could end either is written as its number.
/// Source: W3C, CSS Syntax Module Level 3, 4.3.7.
fn css_string(text: &str) -> String {
    let signs: String = text
        .chars()
        .filter(|sign| !sign.is_control())
        .map(|sign| match sign {
            '"' | '\\' | '<' | '>' | '&' | '\'' => format!("\\{:06x}", u32::from(sign)),
            _ => sign.to_string(),
        })
        .collect();
    format!("\"{signs}\"")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_title_cannot_leave_the_style_sheet() {
        assert_eq!(
            css_string("a \"b\" </style>\n\\"),
            "\"a \\000022b\\000022 \\00003c/style\\00003e\\00005c\""
        );
        assert_eq!(cut(&"x".repeat(71)).chars().count(), 70);
    }

    #[test]
    fn a_report_without_a_number_leaves_room_for_one() {
        let text = identity(&Record::default(), &[]);
        assert!(text.contains("<th scope=\"row\">Number</th><td></td>"), "{text}");
    }
}
