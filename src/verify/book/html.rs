//! The book on one page that needs nothing else, on a screen or on paper.

use crate::report::band::Band;
use crate::report::escape::markup;
use crate::report::page::html::{download, list, open, table, verbatim};
use crate::report::page::shell::Shell;
use crate::verify::Judged;
use crate::verify::bench::Effort;
use crate::verify::book::Front;
use crate::verify::book::figures::{Picture, theoretical_order};
use crate::verify::book::markdown::reasons;
use crate::verify::book::words;
use crate::verify::judge::{Row, Verdict};

/// Style rules of the book, added to those of the results page.
const BOOK_STYLE: &str = include_str!("book.css");

/// The page with the pictures of each case.
pub(super) fn book(
    judged: &[Judged],
    pictures: &[Vec<Picture>],
    effort: Effort,
    front: &Front,
) -> String {
    let chapters: String =
        judged.iter().zip(pictures).map(|(case, pictures)| chapter(case, pictures)).collect();
    let bad = if judged.iter().all(Judged::agrees) { "" } else { " bad" };
    Shell {
        kind: "Verification",
        title: "Verification book",
        subtitle: words::effort(effort).to_owned(),
        record: front.record.clone(),
        inputs: vec![("Cases and expected numbers".to_owned(), front.sha256.clone())],
        asked: vec![
            "Whether the program computes the answers of problems that are known from elsewhere.".to_owned(),
        ],
        answer: format!(
            "<p class=\"headline{bad}\">{}</p>\n{}",
            markup(&words::score(judged)),
            overview(judged)
        ),
        band: Some(band(judged)),
        parts: vec![("All numbers", summary(judged))],
        assumptions: ASSUMPTIONS.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.to_vec(),
        footer: "the same numbers are in summary.json; expected values stand in expected.toml of each case, \
                 never in the code"
            .to_owned(),
        styles: vec![BOOK_STYLE],
        end: format!("<div role=\"region\" aria-label=\"Cases\">\n{chapters}</div>\n"),
        ..Shell::default()
    }
    .html()
}

/// How the book is to be read.
const ASSUMPTIONS: [&str; 3] = [
    "A case is a problem of its own: what it leaves out of the model, no other case has checked.",
    "Tolerances stand with their reasons beside each case, and sources with each number.",
    "Agreement with known answers is no proof for a case that is like none of them.",
];

/// Cautions of the book; common practice, no source.
const CAUTIONS: [&str; 1] = [
    "A program that agrees with this book does not replace the governing specification, approved data, or \
     the judgement of a licensed engineer.",
];

/// Each of the three as the book has it.
fn band(judged: &[Judged]) -> Band {
    let on_several = |case: &&Judged| case.findings.series.iter().any(|s| s.levels.len() > 1);
    let several = judged.iter().filter(on_several).count();
    Band {
        mesh: format!(
            "computed for the cases on several meshes, {several} of {}: errors and observed orders stand in their \
             chapters; a tolerance says what is left to it elsewhere",
            judged.len()
        ),
        hardening:
            "does not apply: every case states its law, and its known answer is for that law"
                .to_owned(),
        idealisation: "does not apply: every case states its own, and its known answer is for that"
            .to_owned(),
    }
}

/// A line for each case.
fn overview(judged: &[Judged]) -> String {
    let names = ["case", "problem", "numbers", "largest error over tolerance", "verdict"];
    let mut rows = vec![names.map(str::to_owned).to_vec()];
    let mut text = format!("{}<table class=\"book\">\n{}<tbody>\n", open("Cases"), head(&names));
    for case in judged {
        let (class, word) = if case.agrees() { ("good", "agrees") } else { ("bad", "FALLS SHORT") };
        text.push_str(&format!(
            "<tr class=\"{class}\"><td><a href=\"#{0}\">{0}</a></td><td>{1}</td><td class=\"number\">{2}</td>\
             <td class=\"number\">{3}</td><td class=\"verdict\">{word}</td></tr>\n",
            markup(case.name),
            markup(&case.expected.title),
            words::tally(case),
            words::closest(case),
        ));
        rows.push(vec![
            case.name.to_owned(),
            case.expected.title.clone(),
            words::tally(case),
            words::closest(case),
            word.to_owned(),
        ]);
    }
    text.push_str("</tbody></table></div>\n");
    text + &download("Cases", &rows)
}

/// All numbers in one table.
fn summary(judged: &[Judged]) -> String {
    let names = ["case", "quantity", "expected", "computed", "error", "tolerance", "verdict"];
    let mut rows = vec![names.map(str::to_owned).to_vec()];
    let mut text = format!(
        "<p class=\"small\">{}</p>\n{}<table class=\"book\">\n{}<tbody>\n",
        "Error: computed less expected, as a share of the expected value or of what the tolerance names.",
        open("All numbers"),
        head(&names),
    );
    for case in judged {
        let link = format!("<a href=\"#{0}\">{0}</a>", markup(case.name));
        if let Some(trouble) = &case.trouble {
            text.push_str(&format!(
                "<tr class=\"bad\"><td>{link}</td><td colspan=\"5\">{}</td><td>FAILED</td></tr>\n",
                markup(trouble)
            ));
        }
        for (k, row) in case.shown().enumerate() {
            let first = if k == 0 { link.as_str() } else { "" };
            let class = if k == 0 { " first" } else { "" };
            text.push_str(&format!(
                "<tr class=\"{}{class}\"><td>{first}</td>{}</tr>\n",
                tone(row.verdict),
                cells(row)
            ));
            rows.push([vec![case.name.to_owned()], plain_cells(row)].concat());
        }
    }
    text.push_str("</tbody></table></div>\n");
    text + &download("All numbers", &rows)
}

/// Quantity to verdict as text.
fn plain_cells(row: &Row) -> Vec<String> {
    vec![
        row.expected.what.clone(),
        words::expected(&row.expected),
        words::computed(row),
        words::error(row),
        words::tolerance(&row.expected),
        row.verdict.word().to_owned(),
    ]
}

fn head(names: &[&str]) -> String {
    let cells: String = names.iter().map(|name| format!("<th scope=\"col\">{name}</th>")).collect();
    format!("<thead><tr>{cells}</tr></thead>\n")
}

fn tone(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Agrees => "good",
        Verdict::Differs | Verdict::Missing => "bad",
        Verdict::LeftOut => "out",
    }
}

/// Quantity to verdict.
fn cells(row: &Row) -> String {
    format!(
        "<td>{}</td><td class=\"number\">{}</td><td class=\"number\">{}</td>\
         <td class=\"number\">{}</td><td>{}</td><td class=\"verdict\">{}</td>",
        markup(&row.expected.what),
        markup(&words::expected(&row.expected)),
        words::computed(row),
        words::error(row),
        markup(&words::tolerance(&row.expected)),
        row.verdict.word(),
    )
}

/// The section of a case.
fn chapter(case: &Judged, pictures: &[Picture]) -> String {
    let expected = &case.expected;
    let mut body = format!("<p class=\"small\">case <code>{}</code></p>\n", markup(case.name));
    body.push_str(&paragraphs(&expected.problem));
    if !expected.sketch.is_empty() {
        body.push_str(&format!(
            "<pre class=\"sketch\" role=\"group\" aria-label=\"Sketch\" tabindex=\"0\">{}</pre>\n",
            markup(expected.sketch.trim_matches('\n'))
        ));
    }
    if let Some(trouble) = &case.trouble {
        body.push_str(&format!(
            "<div class=\"note bad\"><strong>It could not be computed.</strong> {}</div>\n",
            markup(trouble)
        ));
    }
    let names = ["quantity", "expected", "computed", "error", "tolerance", "verdict", "source"];
    let mut rows = vec![names.map(str::to_owned).to_vec()];
    body.push_str(&format!(
        "{}<table class=\"book\">\n{}<tbody>\n",
        open(&format!("Numbers of {}", case.name)),
        head(&names)
    ));
    for row in case.shown() {
        body.push_str(&format!(
            "<tr class=\"{}\">{}<td>{}</td></tr>\n",
            tone(row.verdict),
            cells(row),
            markup(&row.expected.source)
        ));
        rows.push([plain_cells(row), vec![row.expected.source.clone()]].concat());
    }
    body.push_str("</tbody></table></div>\n");
    body.push_str(&download(&format!("Numbers of {}", case.name), &rows));
    body.push_str("<h3>Sources</h3>\n");
    let sources: Vec<String> = expected
        .source
        .iter()
        .map(|(key, source)| format!("{key} ({}): {}", source.label.words(), source.text.trim()))
        .collect();
    body.push_str(&list(&sources));
    for picture in pictures {
        body.push_str(&format!(
            "<figure role=\"img\" aria-label=\"{}\">{}</figure>\n",
            markup(&picture.caption),
            picture.svg
        ));
    }
    body.push_str(&convergence(case));
    body.push_str("<h3>Why these tolerances</h3>\n");
    let reasons: Vec<String> =
        reasons(case).into_iter().map(|(names, why)| format!("{names}: {why}")).collect();
    body.push_str(&list(&reasons));
    for (heading, text) in [("Trap", &expected.trap), ("Notes", &expected.notes)] {
        if !text.is_empty() {
            body.push_str(&format!("<h3>{heading}</h3>\n{}", paragraphs(text)));
        }
    }
    let name = format!("Input of {}", case.name);
    body.push_str(&format!("<h3>Input (case.toml)</h3>\n{}", verbatim(&name, &case.input)));
    format!(
        "<section class=\"case\" id=\"{}\">\n<h2>{}</h2>\n{body}</section>\n",
        markup(case.name),
        markup(&expected.title)
    )
}

/// Paragraphs parted by empty lines.
fn paragraphs(text: &str) -> String {
    text.trim().split("\n\n").map(|part| format!("<p>{}</p>\n", markup(part))).collect()
}

/// Errors on every mesh, with the orders observed.
fn convergence(case: &Judged) -> String {
    let mut text = String::new();
    for series in case.findings.series.iter().filter(|series| series.levels.len() > 1) {
        if text.is_empty() {
            text.push_str("<h3>Convergence</h3>\n");
        }
        let orders = series.orders();
        let mut rows = vec![vec![
            series.levels_are.to_owned(),
            series.name.clone(),
            "observed order".to_owned(),
        ]];
        for (k, (level, error)) in series.levels.iter().zip(&series.errors).enumerate() {
            let order = k.checked_sub(1).map_or("–".to_owned(), |k| words::digits(orders[k], 3));
            rows.push(vec![level.to_string(), format!("{error:.2e}"), order]);
        }
        text.push_str(&table(&format!("Convergence of {}: {}", case.name, series.name), &rows));
        if let Some(order) = theoretical_order(case, series) {
            text.push_str(&format!("<p class=\"small\">In theory: order {order}.</p>\n"));
        }
    }
    text
}
