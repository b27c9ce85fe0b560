//! `report.html`: the run on one page that needs nothing else, on a screen or on paper.
//!
//! Figures and style are inside the file; it fetches nothing and runs no script. Text of
//! the case is escaped wherever it appears.

mod bands;
mod beside;
mod bushes;
pub mod figure;
pub mod html;
mod joints;
mod sections;
mod service_loads;
pub mod shell;
mod work_words;

use crate::case::keys::CASE_FILE;
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::page::figure::Figure;
use crate::report::page::html::{details, verbatim};
use crate::report::page::sections as part;
use crate::report::page::shell::Shell;
use crate::report::run::{Outcome, RunReport};
use crate::report::show::{Show, angle};
use crate::result::summary::PathSummary;

/// The page, complete with `figures` in the order given.
#[must_use]
pub fn page(report: &RunReport, figures: &[Figure]) -> String {
    let complete = if report.complete() { "complete" } else { "incomplete" };
    Shell {
        kind: "Residual hoop stress around cold-expanded holes",
        title: report.title,
        subtitle: format!(
            "{} · {} · units {}",
            report.material_name,
            report.job.idealisation.name(),
            report.units.name()
        ),
        record: report.record.clone(),
        inputs: vec![(report.case_name(), report.case_sha256.to_owned())],
        status: status(report),
        asked: asked(report),
        answer: format!("{}{}", headline(report), bands::bands(report)),
        drawing: report.drawing,
        parts: vec![
            ("The work", part::job(report)),
            ("Every path and hole", part::answer(report)),
            ("Doublers", joints::joints(report)),
            ("Service load", service_loads::service(report)),
            ("Figures", figures.iter().map(Figure::html).collect()),
            ("Hardening laws compared", part::bracket(report)),
            ("Idealisations compared", beside::idealisations(report)),
            ("Measured points", beside::measured(report)),
            ("Theory beside it", beside::theory(report)),
            ("Convergence", beside::convergence(report)),
            ("Checks", part::checks(report)),
            ("Metal", part::metal(report)),
        ],
        assumptions: LIMITS.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.to_vec(),
        echo: inputs(report),
        footer: format!(
            "results {complete} · columns and units of every file are described in summary.json"
        ),
        ..Shell::default()
    }
    .html()
}

/// The question, as far as the case tells it.
fn asked(report: &RunReport) -> Vec<String> {
    let stages: Vec<&str> = report
        .stages
        .iter()
        .filter(|stage| !stage.loaded)
        .map(|stage| stage.stage.as_str())
        .collect();
    let mut asked = vec![format!(
        "The residual hoop stress from the edge of each hole outward, after each stage of the work{}.",
        if stages.is_empty() { String::new() } else { format!(" ({})", stages.join(", ")) }
    )];
    if !report.service.is_empty() {
        asked.push(
            "Whether the metal settles under the service load, and the stress at the edge then."
                .to_owned(),
        );
    }
    if !report.measured.is_empty() {
        asked.push("How far measured stresses are from the computed ones.".to_owned());
    }
    asked
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
    let show = Show { units: report.units };
    bands::weakest(report, stage)
        .into_iter()
        .map(|path| weakest(path, &stage.stage, show))
        .map(|text| format!("<p class=\"headline\">{}</p>\n", markup(&text)))
        .collect()
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

/// Every value of the case with its unit, and every setting in force.
fn inputs(report: &RunReport) -> String {
    let settings = serde_json::to_string_pretty(report.job).unwrap_or_default();
    let name = "Every setting in force, defaults included (mm, N, MPa, radians)";
    format!(
        "{}<div class=\"screen\">{}</div>\n",
        echo(&report.case_name(), report.case_text, &CASE_FILE, report.units),
        details(name, &verbatim(name, &settings)),
    )
}
