//! `toolsheet.html`: the sheet on one printed page, A4 or letter, and its inputs on the next.
//!
//! Figures and style are inside the file; it fetches nothing and runs no script.

use crate::case::keys::sheet_file;
use crate::case::sheet::Sheet;
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::page::figure::Figure;
use crate::report::page::html::{document, download};
use crate::report::page::shell::{program, running, signature_row};
use crate::report::record::Record;
use crate::report::show::{Show, percent};
use crate::report::toolsheet::rows::{self, Rows};
use crate::report::toolsheet::{band, chain};
use crate::study::toolsheet::Finished;

const STYLE: &str = concat!(include_str!("../one_page.css"), include_str!("page.css"));

/// Warnings that the page has room for; the rest is in the JSON file.
const MOST_WARNINGS: usize = 4;

/// The page.
#[must_use]
pub fn page(sheet: &Sheet, finished: &Finished, figures: &[Figure], record: &Record) -> String {
    let unit = sheet.units.length_name();
    let title = markup(&sheet.title);
    let pictures: String = figures.iter().map(picture).collect();
    let body = [
        format!(
            "<main>\n<header><h1>{title}</h1><p>Tool sheet · {}</p>{}</header>\n",
            subtitle(sheet),
            identity(sheet, record)
        ),
        warnings(finished),
        "<div class=\"pair\">\n".to_owned(),
        section(
            &format!("Tools and limits, {unit}"),
            &table("Tools and limits", &rows::limits(sheet, finished)),
        ),
        section(
            &format!("Gauges and readings, {unit}"),
            &table("Gauges and readings", &rows::gauges(sheet, finished)),
        ),
        "</div>\n".to_owned(),
        format!("<p class=\"say\">{}</p>\n", markup(&rows::separation(sheet, finished))),
        format!("<div class=\"three\">{pictures}</div>\n"),
        "<div class=\"pair\">\n".to_owned(),
        section(
            &format!("What the limits leave; stresses {}", markup(&rows::place(sheet))),
            &table("What the limits leave", &rows::stack(sheet, finished)),
        ),
        section(
            "Sizes drawn at random",
            &format!(
                "{}<p>{}</p>{}",
                table("Sizes drawn at random", &rows::draws(sheet, finished)),
                markup(&rows::drawn(sheet)),
                assumed(sheet)
            ),
        ),
        "</div>\n".to_owned(),
        cautions(sheet, finished),
        signature_row(),
        format!(
            "<section class=\"band\"><h2>Band of the nominal expansion</h2>\n{}<p>{}</p></section>\n",
            table("Band of the nominal expansion", &band::rows(sheet, finished)),
            markup(&band::words(sheet))
        ),
        chained(sheet, finished),
        format!(
            "<section class=\"inputs\"><h2>Inputs</h2>\n{}</section>\n</main>\n",
            echo("Sheet file", &sheet.text, &sheet_file(), sheet.units)
        ),
    ]
    .concat();
    let running = running("Tool sheet", &sheet.title, record, &inputs(sheet));
    document(&sheet.title, &[STYLE, &running], &body)
}

/// The chain of repair sizes, when there is one.
fn chained(sheet: &Sheet, finished: &Finished) -> String {
    if finished.chain.is_empty() {
        return String::new();
    }
    let heading = format!("Chain of sizes, {}", sheet.units.length_name());
    let tools = table("Chain of sizes", &chain::tools(sheet, finished));
    let left = table("What the chain leaves", &chain::left(sheet, finished));
    section(&heading, &tools)
        + &section("What the chain leaves", &format!("{left}<p>{}</p>", markup(chain::WORDS)))
}

fn inputs(sheet: &Sheet) -> Vec<(String, String)> {
    vec![("Sheet file".to_owned(), sheet.sha256.clone())]
}

/// Number, revision, date, program and hash in one row, with room for what is missing.
fn identity(sheet: &Sheet, record: &Record) -> String {
    let known = |value: &Option<String>| value.as_deref().map(markup).unwrap_or_default();
    let cells = [
        ("Number", known(&record.number)),
        ("Revision", known(&record.revision)),
        ("Date", known(&record.date)),
        ("Program", program()),
        ("Sheet file SHA-256", sheet.sha256.clone()),
    ];
    let cells: String = cells
        .iter()
        .map(|(name, value)| format!("<div><dt>{name}</dt><dd>{value}</dd></div>"))
        .collect();
    format!("<dl class=\"identity\">{cells}</dl>")
}

fn subtitle(sheet: &Sheet) -> String {
    let show = Show { units: sheet.units };
    let [low, high] = sheet.expansion.map(percent);
    markup(&format!(
        "{}, {}, {} {} thick · hole {}, e/D {:.2} · finished {} to {} {} · wanted applied expansion \
         {low} to {high} %",
        sheet.material_name,
        sheet.idealisation.name(),
        show.input_length(sheet.plate.thickness),
        sheet.units.length_name(),
        sheet.plate.holes[0].name,
        sheet.plate.edge_margin(0, 0.5 * (sheet.finished[0] + sheet.finished[1])),
        show.length(sheet.finished[0]),
        show.length(sheet.finished[1]),
        sheet.units.length_name(),
    ))
}

fn warnings(finished: &Finished) -> String {
    if finished.warnings.is_empty() {
        return String::new();
    }
    let all = finished.warnings.len();
    let mut said = finished.warnings[..all.min(MOST_WARNINGS)].join(". ");
    if all > MOST_WARNINGS {
        said.push_str(&format!(". {} more in toolsheet.json", all - MOST_WARNINGS));
    }
    format!("<p class=\"warn\"><strong>Look at this:</strong> {}.</p>\n", markup(&said))
}

fn section(heading: &str, body: &str) -> String {
    format!("<section><h2>{heading}</h2>\n{body}</section>\n")
}

fn table(name: &str, rows: &Rows) -> String {
    let row = |cells: &Vec<String>, tag: &str| -> String {
        let cells: String = cells
            .iter()
            .map(|cell| {
                let shown =
                    cell.strip_prefix('-').map_or_else(|| cell.clone(), |size| format!("−{size}"));
                // An empty cell heads nothing.
                let tag = if shown.is_empty() { "td" } else { tag };
                format!("<{tag}>{}</{tag}>", markup(&shown))
            })
            .collect();
        format!("<tr>{cells}</tr>\n")
    };
    let Some((head, rest)) = rows.split_first() else { return String::new() };
    let body: String = rest.iter().map(|cells| row(cells, "td")).collect();
    format!(
        "<table><thead>{}</thead><tbody>\n{body}</tbody></table>\n{}",
        row(head, "th"),
        download(name, rows)
    )
}

fn picture(figure: &Figure) -> String {
    format!("<img alt=\"{}\" src=\"{}\">", markup(&figure.caption), figure.address())
}

fn assumed(sheet: &Sheet) -> String {
    if sheet.assumed.is_empty() {
        return String::new();
    }
    let said = sheet.assumed.join("; ");
    format!("<p><strong>Common practice, no source:</strong> {}.</p>", markup(&said))
}

fn cautions(sheet: &Sheet, finished: &Finished) -> String {
    format!(
        "<footer><p><strong>Not a substitute for the governing specification, approved data and \
         licensed engineering judgement.</strong> <strong>Danger:</strong> pulling equipment stores \
         energy; a mandrel or puller that breaks throws parts along its axis. Stay out of that \
         line, guard it, wear eye protection.</p>\n\
         <p>A two-dimensional model: entry, middle and exit face of a real plate differ, and the \
         entry face keeps the least compression. Gauge makers' tolerances, ovality and taper of \
         the starting hole, the slit of the sleeve, lubrication, temperature and the scatter of the \
         metal are outside; measure the expanded hole clear of the sleeve ridge. Confirm the \
         readings on trial holes before use. Definitions: applied expansion = (mandrel + 2 × sleeve − start) / \
         start; retained expansion = (expanded − start) / start (common practice, no source). \
         Smallest expansion: worn-out mandrel, thin sleeve, large starting hole, reamed to the largest \
         size; largest: the opposite. {} solutions, fineness {}, {} increments.</p></footer>\n",
        finished.solutions, sheet.numerics.fineness, sheet.numerics.increments,
    )
}
