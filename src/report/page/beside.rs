//! The parts of the page that stand beside the answer: closed forms, and the convergence study.

use crate::report::convergence::{METHOD, NOTE, levels, remarks, rows};
use crate::report::escape::markup;
use crate::report::measured::{rows as measured_rows, words};
use crate::report::page::html::{list, table};
use crate::report::run::RunReport;
use crate::report::show::{NOTHING, Show, angle};
use crate::result::measured::Agreement;

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
    format!("{}{}", table("Theory beside it", &rows), list(&statements))
}

/// Edge stress, compression and depth in each idealisation, path by path of the last state.
pub(super) fn idealisations(report: &RunReport) -> String {
    let Some(last) = report.stages.last().filter(|_| !report.idealisations.is_empty()) else {
        return String::new();
    };
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut rows = vec![vec![
        "path".to_owned(),
        "idealisation".to_owned(),
        format!("edge hoop {mpa}"),
        format!("compression {mpa}"),
        format!("at {mm}"),
        format!("depth {mm}"),
    ]];
    for (index, path) in last.paths.iter().enumerate() {
        let own = (report.job.idealisation.name(), Some(path));
        let others = report.idealisations.iter();
        let others = others.map(|other| (other.idealisation.as_str(), other.paths.get(index)));
        for (name, there) in [own].into_iter().chain(others) {
            let Some(there) = there else { continue };
            let [compression, at] = show.peak(there.peak_compression);
            rows.push(vec![
                format!("{} {}", there.hole, angle(there.angle_deg)),
                name.to_owned(),
                show.stress(there.edge_hoop),
                compression,
                at,
                show.maybe_length(there.compression_depth),
            ]);
        }
    }
    format!(
        "{}<p class=\"small\">The last state, {}. A plate of finite thickness lies between plane stress, \
         which its faces are near, and plane strain, which its middle is near when it is thick.</p>\n",
        table("Idealisations compared", &rows),
        markup(&last.stage),
    )
}

/// Measured points beside the last residual state.
pub(super) fn measured(report: &RunReport) -> String {
    let one = |agreement: &Agreement| {
        format!(
            "<p>{}</p>\n{}",
            markup(&words(agreement, report.units)),
            table(
                &format!("Measured: {}", agreement.label),
                &measured_rows(agreement, report.units)
            )
        )
    };
    report.measured.iter().map(one).collect()
}

/// The study: levels, numbers with their orders and bands, how the bands are made.
pub(super) fn convergence(report: &RunReport) -> String {
    let Some(study) = report.convergence else { return String::new() };
    let mut text = list(&levels(study));
    text.push_str(&list(&remarks(study, report.units)));
    for (stage, rows) in rows(study, report.units) {
        let name = format!("Convergence, {stage}");
        text.push_str(&format!("<h3>{}</h3>\n{}", markup(&stage), table(&name, &rows)));
    }
    text.push_str(&format!("<p class=\"small\">{}</p>\n", markup(NOTE)));
    text.push_str(&format!("<p class=\"small\">{}</p>\n", markup(METHOD)));
    text
}
