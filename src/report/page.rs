//! `report.html`: the run on one page that needs nothing else, on a screen or on paper.
//!
//! Figures and style are inside the file; it fetches nothing and runs no script. Text of
//! the case is escaped wherever it appears.

mod beside;
pub mod figure;
pub mod html;
mod sections;
mod service_loads;

use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::escape::markup;
use crate::report::page::figure::Figure;
use crate::report::page::html::{details, document, section};
use crate::report::page::sections as part;
use crate::report::run::{Outcome, RunReport};
use crate::report::show::{Show, angle};
use crate::result::summary::PathSummary;

/// Style of the page: system fonts, tables that scroll, print without wasted ink.
pub(crate) const STYLE: &str = include_str!("page/style.css");

/// The page, complete with `figures` in the order given.
#[must_use]
pub fn page(report: &RunReport, figures: &[Figure]) -> String {
    let title = markup(report.title);
    let body = [
        format!("<header>\n<h1>{title}</h1>\n{}</header>\n", subtitle(report)),
        status(report),
        headline(report),
        section("Answer", &part::answer(report)),
        part::nonempty("Service load", &service_loads::service(report)),
        section("The work", &part::job(report)),
        part::nonempty("Figures", &figures.iter().map(Figure::html).collect::<String>()),
        part::nonempty("Hardening laws compared", &part::bracket(report)),
        part::nonempty("Idealisations compared", &beside::idealisations(report)),
        part::nonempty("Measured points", &beside::measured(report)),
        part::nonempty("Theory beside it", &beside::theory(report)),
        part::nonempty("Convergence", &beside::convergence(report)),
        section("Checks", &part::checks(report)),
        section("Metal", &part::metal(report)),
        section("What the model leaves out", &html::list(&LIMITS)),
        section("Cautions", &html::list(&CAUTIONS)),
        section("Case", &case(report)),
        footer(report),
    ]
    .concat();
    document(report.title, &[STYLE], &body)
}

fn subtitle(report: &RunReport) -> String {
    format!(
        "<p class=\"subtitle\">Residual hoop stress around cold-expanded holes · {} · {} · units {}</p>\n",
        markup(report.material_name),
        report.job.idealisation.name(),
        report.units.name(),
    )
}

/// Failures and warnings of the run; empty when there are none.
fn status(report: &RunReport) -> String {
    let mut text = String::new();
    match &report.outcome {
        Outcome::Done => {}
        Outcome::Failed { message, hint } => {
            let hint = hint.as_ref().map(|hint| format!("<br>Hint: {}", markup(hint)));
            text.push_str(&format!(
                "<div class=\"note bad\"><strong>The run failed; these results are incomplete.</strong> \
                 {}{}</div>\n",
                markup(message),
                hint.unwrap_or_default(),
            ));
        }
        Outcome::Interrupted => text.push_str(
            "<div class=\"note bad\"><strong>The run was interrupted; these results are \
             incomplete.</strong></div>\n",
        ),
    }
    if !report.warnings.is_empty() {
        text.push_str("<div class=\"note\"><strong>Warnings</strong>\n");
        text.push_str(&html::list(report.warnings));
        text.push_str("</div>\n");
    }
    text
}

/// The weakest path of each hole: where its edge keeps the least compression.
fn headline(report: &RunReport) -> String {
    let Some(stage) = report.residual_stages().last() else {
        return "<p class=\"headline\">No stage has been finished.</p>\n".to_owned();
    };
    let sentences: Vec<String> = stage
        .holes
        .iter()
        .filter_map(|hole| {
            let paths = stage.paths.iter().filter(|path| path.hole == hole.hole);
            paths.max_by(|a, b| a.edge_hoop.total_cmp(&b.edge_hoop))
        })
        .map(|path| weakest(path, &stage.stage, Show { units: report.units }))
        .collect();
    sentences.iter().map(|text| format!("<p class=\"headline\">{}</p>\n", markup(text))).collect()
}

fn weakest(path: &PathSummary, stage: &str, show: Show) -> String {
    let (mpa, mm) = (show.units.stress_name(), show.units.length_name());
    let depth = path.compression_depth.map_or_else(String::new, |depth| {
        format!(", and the compression reaches {} {mm} deep", show.length(depth))
    });
    format!(
        "After {stage}, weakest path of hole {}: {}, hoop stress at the edge {} {mpa}{depth}.",
        path.hole,
        angle(path.angle_deg),
        html::minus(&show.stress(path.edge_hoop)),
    )
}

fn case(report: &RunReport) -> String {
    let settings = serde_json::to_string_pretty(report.job).unwrap_or_default();
    format!(
        "<p><code>{}</code>, SHA-256 <code class=\"long\">{}</code>, as written:</p>\n\
         <pre>{}</pre>\n{}",
        markup(&report.case_name()),
        markup(report.case_sha256),
        markup(report.case_text),
        details(
            "Every setting in force, defaults included (mm, N, MPa, radians)",
            &format!("<pre>{}</pre>\n", markup(&settings)),
        ),
    )
}

fn footer(report: &RunReport) -> String {
    let complete = if report.complete() { "complete" } else { "incomplete" };
    format!(
        "<footer>{} {} · results {complete} · columns and units of every file are described in \
         <code>summary.json</code></footer>\n",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
    )
}
