//! The parts of the page that stand beside the answer: closed forms, and the convergence study.

use crate::report::convergence::{METHOD, NOTE, levels, remarks, rows};
use crate::report::escape::markup;
use crate::report::page::html::{list, table};
use crate::report::run::RunReport;
use crate::report::show::{NOTHING, Show, angle};

/// Which closed forms lie over the hoop charts, and how far the computed stress is from them.
pub(super) fn theory(report: &RunReport) -> String {
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut rows = vec![vec![
        "state".to_owned(),
        "path".to_owned(),
        "closed form".to_owned(),
        format!("largest difference {mpa}"),
        format!("at {mm}"),
    ]];
    let mut statements: Vec<&str> = Vec::new();
    for of_hole in report.closed_forms {
        for form in &of_hole.forms {
            let path = form.angle_deg.map_or_else(
                || of_hole.hole.clone(),
                |degrees| format!("{} {}", of_hole.hole, angle(degrees)),
            );
            let [difference, at] = form
                .largest_difference
                .map_or([NOTHING.to_owned(), NOTHING.to_owned()], |peak| show.peak(Some(peak)));
            rows.push(vec![form.stage.clone(), path, form.name.clone(), difference, at]);
            if !statements.contains(&form.statement.as_str()) {
                statements.push(&form.statement);
            }
        }
    }
    if statements.is_empty() {
        return String::new();
    }
    format!("{}{}", table(&rows), list(&statements))
}

/// The study: levels, numbers with their orders and bands, how the bands are made.
pub(super) fn convergence(report: &RunReport) -> String {
    let Some(study) = report.convergence else { return String::new() };
    let mut text = list(&levels(study));
    text.push_str(&list(&remarks(study, report.units)));
    for (stage, rows) in rows(study, report.units) {
        text.push_str(&format!("<h3>{}</h3>\n{}", markup(&stage), table(&rows)));
    }
    text.push_str(&format!("<p class=\"small\">{}</p>\n", markup(NOTE)));
    text.push_str(&format!("<p class=\"small\">{}</p>\n", markup(METHOD)));
    text
}
