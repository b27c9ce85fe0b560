//! The answer of a run with its band: the weakest path of every hole, and what mesh, hardening and idealisation
//! leave open.

use crate::process::job::Job;
use crate::report::page::html::{minus, table};
use crate::report::run::RunReport;
use crate::report::show::{NOTHING, Show, angle};
use crate::result::accuracy::{edge_error, is_known};
use crate::result::headline::{Measure, Place};
use crate::result::summary::{PathSummary, StageSummary};

/// The path of each hole whose edge keeps the least compression in the last residual state.
pub(super) fn weakest<'a>(report: &'a RunReport, stage: &'a StageSummary) -> Vec<&'a PathSummary> {
    let of_hole = |hole: &str| {
        let paths = stage.paths.iter().filter(|path| path.hole == hole);
        paths.max_by(|a, b| a.edge_hoop.total_cmp(&b.edge_hoop))
    };
    report.job.plate.holes.iter().filter_map(|hole| of_hole(&hole.name)).collect()
}

/// A number of a path.
type Reading = fn(&PathSummary) -> Option<f64>;

const READINGS: [(Measure, &str, Reading); 3] = [
    (Measure::EdgeHoop, "hoop stress at the edge", |path| Some(path.edge_hoop)),
    (Measure::PeakCompression, "highest compression", |path| {
        path.peak_compression.map(|[stress, _]| stress)
    }),
    (Measure::CompressionDepth, "depth of compression", |path| path.compression_depth),
];

/// The table, and under it what its columns are.
pub(super) fn bands(report: &RunReport) -> String {
    let Some(stage) = report.residual_stages().last() else { return String::new() };
    let head = [
        "path",
        "number",
        "unit",
        "value",
        "mesh, increments",
        "hardening, isotropic to kinematic",
        "idealisations",
        "read as",
    ];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for path in weakest(report, stage) {
        for (measure, words, reading) in READINGS {
            rows.push(row(report, stage, path, (measure, words, reading)));
        }
    }
    let mesh = match report.convergence {
        Some(_) => "by the convergence study",
        None if is_known(&report.job.numerics) => {
            "at an edge, the largest error of the defaults in twenty-two cases, 0.7 % of the yield stress; \
             of other numbers not computed, <code>--convergence</code> does"
        }
        None => "not computed, <code>--convergence</code> does",
    };
    format!(
        "{}<p class=\"small\">The path of each hole that keeps the least compression at its edge, {}. Mesh and \
         increments: {mesh}. Hardening: the same first-pull curve, all isotropic and all kinematic. \
         Idealisations: lowest and highest of the three, with <code>idealisations = true</code>. Read as: from \
         the lowest to the highest of all of these. Not in the band: the metal of the part at hand, effects \
         outside the model.</p>\n",
        table("Answer with its band", &rows),
        crate::report::escape::markup(&stage.stage),
    )
}

fn row(
    report: &RunReport,
    stage: &StageSummary,
    path: &PathSummary,
    (measure, words, reading): (Measure, &str, Reading),
) -> Vec<String> {
    let show = Show { units: report.units };
    let value = reading(path);
    let print = |value: f64| match measure {
        Measure::CompressionDepth => show.length(value),
        _ => show.stress(value),
    };
    let range = |[low, high]: [f64; 2]| {
        let [low, high] = [low, high].map(|end| minus(&print(end)));
        format!("{low} to {high}")
    };
    let nothing = || NOTHING.to_owned();
    let mesh = mesh_band(report, stage, path, measure);
    // Both stand for the last state alone, which may be one under load.
    let last = report.stages.last().is_some_and(|last| last.stage == stage.stage);
    let same = |others: &[PathSummary]| {
        let found = others.iter().find(|other| is_same(other, path));
        found.and_then(reading).filter(|_| last)
    };
    let laws: Vec<f64> = report.bracket.iter().filter_map(|law| same(&law.paths)).collect();
    let mut kinds: Vec<f64> =
        report.idealisations.iter().filter_map(|other| same(&other.paths)).collect();
    if !kinds.is_empty() {
        kinds.extend(value);
    }
    let with_mesh = value.zip(mesh).map(|(value, band)| [value - band, value + band]);
    let mut all: Vec<f64> = [laws.clone(), kinds.clone()].concat();
    all.extend(value);
    all.extend(with_mesh.into_iter().flatten());
    vec![
        format!("{} {}", path.hole, angle(path.angle_deg)),
        words.to_owned(),
        match measure {
            Measure::CompressionDepth => report.units.length_name().to_owned(),
            _ => report.units.stress_name().to_owned(),
        },
        value.map_or_else(nothing, print),
        mesh.map_or_else(nothing, |band| format!("±{}", print(band))),
        ends(&laws).map_or_else(nothing, range),
        ends(&kinds).map_or_else(nothing, range),
        ends(&all).map_or_else(nothing, range),
    ]
}

/// Half width of what mesh and increments leave open; `None` when that is not known.
fn mesh_band(
    report: &RunReport,
    stage: &StageSummary,
    path: &PathSummary,
    measure: Measure,
) -> Option<f64> {
    if let Some(study) = report.convergence {
        let found = study.numbers.iter().find(|number| {
            let headline = &number.headline;
            headline.measure == measure
                && headline.stage == stage.stage
                && matches!(&headline.place, Place::Path(hole, degrees)
                    if *hole == path.hole && degrees.total_cmp(&path.angle_deg).is_eq())
        });
        return found.and_then(crate::result::refinement::Refined::band);
    }
    let Job { numerics, material, .. } = report.job;
    edge_error(numerics, material.yield_stress).filter(|_| measure == Measure::EdgeHoop)
}

fn is_same(one: &PathSummary, other: &PathSummary) -> bool {
    one.hole == other.hole && one.angle_deg.total_cmp(&other.angle_deg).is_eq()
}

/// Lowest and highest of two values or more.
fn ends(values: &[f64]) -> Option<[f64; 2]> {
    if values.len() < 2 {
        return None;
    }
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    Some([low, values.iter().copied().fold(f64::NEG_INFINITY, f64::max)])
}
