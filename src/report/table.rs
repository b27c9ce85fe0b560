//! The answer for the terminal: plain text, aligned, no colour.

use crate::report::run::RunReport;
use crate::report::show::{self, NOTHING, Show};
use crate::report::{measured, service_words};
use crate::result::service_summary::ServiceSummary;
use crate::result::summary::{HoleSummary, PathSummary, StageSummary};
use crate::units::Units;

/// The residual states of a run, a block each: holes in words, paths as a table.
///
/// Values in the units of the case, which the heads name; ends with a line feed.
#[must_use]
pub fn answer(report: &RunReport) -> String {
    let mut text = format!("{}\n", report.title);
    for stage in report.residual_stages() {
        text.push_str(&format!("\nAfter {}\n", stage.stage));
        for hole in &stage.holes {
            text.push_str(&hole_lines(report, stage, hole));
        }
        text.push_str(&aligned(&path_rows(report, stage)));
    }
    for stage in report.service {
        text.push_str(&service_lines(report, stage));
    }
    text.push_str(&bounds(report));
    text.push_str(&idealisations(report));
    for agreement in report.measured {
        text.push_str(&format!("\n{}\n", measured::words(agreement, report.units)));
    }
    if report.residual_stages().next().is_none() {
        text.push_str("\nNo stage has been finished.\n");
    }
    text
}

/// Head and rows of the path table of one stage; cells as text.
#[must_use]
pub(crate) fn path_rows(report: &RunReport, stage: &StageSummary) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut rows = vec![vec![
        "path".to_owned(),
        format!("edge hoop {mpa}"),
        format!("compression {mpa}"),
        format!("at {mm}"),
        format!("depth {mm}"),
        format!("tension {mpa}"),
        format!("at {mm}"),
        format!("plastic to {mm}"),
        format!("reverse to {mm}"),
        "edge error %".to_owned(),
    ]];
    for path in &stage.paths {
        let [compression, compression_at] = show.peak(path.peak_compression);
        let [tension, tension_at] = show.peak(path.peak_tension);
        let label = format!("{} {}", path.hole, show::angle(path.angle_deg));
        let row = vec![
            label,
            show.stress(path.edge_hoop),
            compression,
            compression_at,
            show.maybe_length(path.compression_depth),
            tension,
            tension_at,
            show.length(path.plastic_extent),
            show.length(path.reverse_yield_extent),
            path.edge_error.map_or_else(|| NOTHING.to_owned(), show::percent),
        ];
        push_or_join(&mut rows, row, path);
    }
    rows
}

/// Peak compression and depth under the two bounding hardening laws beside those of the law
/// given, in the last state; empty when the bounds were not asked for.
fn bounds(report: &RunReport) -> String {
    let Some(last) = report.stages.last().filter(|_| !report.bracket.is_empty()) else {
        return String::new();
    };
    let laws: Vec<(&str, &[PathSummary])> = report
        .bracket
        .iter()
        .map(|bound| (bound.hardening.as_str(), bound.paths.as_slice()))
        .chain([("as given", last.paths.as_slice())])
        .collect();
    format!(
        "\nBounds for {}: all hardening isotropic, and all kinematic, with the same tensile curve\n{}",
        last.stage,
        side_by_side(&laws, &last.paths, report.units)
    )
}

/// Peak compression and depth in every idealisation, in the last state; empty when they were not asked
/// for.
fn idealisations(report: &RunReport) -> String {
    let Some(last) = report.stages.last().filter(|_| !report.idealisations.is_empty()) else {
        return String::new();
    };
    let own = (report.job.idealisation.name(), last.paths.as_slice());
    let others = report.idealisations.iter();
    let all: Vec<(&str, &[PathSummary])> = [own]
        .into_iter()
        .chain(others.map(|other| (other.idealisation.as_str(), other.paths.as_slice())))
        .collect();
    format!(
        "\nIdealisations for {}: a plate lies between them\n{}",
        last.stage,
        side_by_side(&all, &last.paths, report.units)
    )
}

/// Peak compression and depth of several solutions on the same paths, a row a path.
fn side_by_side(
    solutions: &[(&str, &[PathSummary])],
    paths: &[PathSummary],
    units: Units,
) -> String {
    let show = Show { units };
    let (mm, mpa) = (units.length_name(), units.stress_name());
    let mut rows = vec![vec!["path".to_owned()]];
    for (name, _) in solutions {
        rows[0].extend([format!("{name}: compression {mpa}"), format!("depth {mm}")]);
    }
    for (index, path) in paths.iter().enumerate() {
        let mut row = vec![format!("{} {}", path.hole, show::angle(path.angle_deg))];
        for (_, paths) in solutions {
            let there = paths.get(index);
            let [compression, _] = show.peak(there.and_then(|path| path.peak_compression));
            row.extend([compression, show.maybe_length(there.and_then(|p| p.compression_depth))]);
        }
        push_or_join(&mut rows, row, path);
    }
    aligned(&rows)
}

/// Hoop stress at the edges under a service load, worked and plain.
fn service_lines(report: &RunReport, stage: &ServiceSummary) -> String {
    let mut text = format!(
        "\nEdge hoop stress during {}: {}; maximum to range are those of the last cycle\n",
        stage.stage,
        service_words::program_words(&stage.program)
    );
    text.push_str(&format!("  {}\n", service_words::settled_words(&stage.worked)));
    if let Some(plain) = &stage.plain {
        text.push_str(&format!("  plain hole: {}\n", service_words::settled_words(plain)));
    }
    text.push_str(&aligned(&service_words::rows(stage, report.units)));
    text
}

/// Adds a row; paths that mirror each other read the same and share one.
fn push_or_join(rows: &mut Vec<Vec<String>>, row: Vec<String>, path: &PathSummary) {
    let of_hole = format!("{} ", path.hole);
    let twin =
        rows.iter_mut().find(|other| other[0].starts_with(&of_hole) && other[1..] == row[1..]);
    match twin {
        Some(twin) => twin[0].push_str(&format!(", {}", show::angle(path.angle_deg))),
        None => rows.push(row),
    }
}

/// Expansion, size and pressure of one hole.
fn hole_lines(report: &RunReport, stage: &StageSummary, hole: &HoleSummary) -> String {
    let show = Show { units: report.units };
    let (mm, mpa) = (report.units.length_name(), report.units.stress_name());
    let mut text = format!(
        "  hole {}: applied expansion {}, retained {}, diameter {} to {} {mm}, e/D {}\n",
        hole.hole,
        show::maybe_percent(hole.applied_expansion),
        show::maybe_percent(hole.retained_expansion),
        show.length(hole.smallest_diameter),
        show.length(hole.largest_diameter),
        show::fixed(hole.edge_margin, 2),
    );
    if let Some(full) = report.at_full_size(stage, &hole.hole) {
        text.push_str(&format!(
            "  hole {}: contact pressure at full size mean {} {mpa}, peak {} {mpa}\n",
            hole.hole,
            show.stress(full.mean_pressure),
            show.stress(full.peak_pressure),
        ));
    }
    text
}

/// Rows with their columns as wide as the widest cell; the first flush left, the rest right.
///
/// Heads of more than one word are broken over two lines, so that the table stays narrow.
#[must_use]
pub(crate) fn aligned(rows: &[Vec<String>]) -> String {
    let mut lines: Vec<Vec<&str>> = Vec::new();
    if let Some(head) = rows.first() {
        let halves: Vec<(&str, &str)> =
            head.iter().map(|cell| cell.rsplit_once(' ').unwrap_or(("", cell))).collect();
        lines.push(halves.iter().map(|half| half.0).collect());
        lines.push(halves.iter().map(|half| half.1).collect());
    }
    lines.extend(rows.iter().skip(1).map(|row| row.iter().map(String::as_str).collect()));
    let count = lines.iter().map(Vec::len).max().unwrap_or(0);
    let wide = |column: usize| {
        lines.iter().filter_map(|line| line.get(column)).map(|c| c.chars().count()).max()
    };
    let widths: Vec<usize> = (0..count).map(|column| wide(column).unwrap_or(0)).collect();
    let mut text = String::new();
    for line in &lines {
        let mut row = String::from("  ");
        for (column, (cell, &width)) in line.iter().zip(&widths).enumerate() {
            if column == 0 {
                row.push_str(&format!("{cell:<width$}"));
            } else {
                row.push_str(&format!("  {cell:>width$}"));
            }
        }
        text.push_str(row.trim_end());
        text.push('\n');
    }
    text
}
