//! `study.json`: what the table of a study holds, and where it comes from.

use serde_json::{Value, json};

use crate::case::study::{Design, Level, Number, Study};
use crate::report::study::columns::columns;
use crate::study::sweep::Points;
use crate::study::sweep::ream_lines::ReamLines;

/// Layout version of the file.
const SCHEMA_VERSION: u32 = 1;

/// The description. `counts`: cases done, failed, skipped, not finished.
#[must_use]
pub fn description(
    study: &Study,
    numbers: &[Number],
    points: &Points,
    counts: [usize; 4],
) -> Value {
    let [done, failed, skipped, open] = counts;
    let lines = ReamLines::new(study, points);
    let design = match study.design {
        Design::Grid => json!({ "method": "grid" }),
        Design::LatinHypercube { count, seed } => {
            json!({ "method": "latin hypercube", "count": count, "seed": seed })
        }
    };
    let axes: Vec<Value> = study
        .axes
        .iter()
        .map(|axis| {
            let levels: Vec<Value> = axis.levels.iter().map(level).collect();
            json!({
                "name": axis.name,
                "label": axis.label,
                "unit": axis.unit,
                "sets": axis.target.as_ref().map(|target| target.text().to_owned()),
                "values": levels,
            })
        })
        .collect();
    json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": open == 0,
        "title": study.title,
        "question": study.question,
        "study_sha256": study.sha256,
        "case_sha256": study.base.sha256,
        "units": study.base.units.name(),
        "design": design,
        "axes": axes,
        // Axes whose reams all have a line in the mesh of every case.
        "reams_in_every_mesh": lines.names(study),
        "cases": {
            "all": points.len(), "done": done, "failed": failed, "skipped": skipped, "open": open,
        },
        "columns": columns(study, numbers),
    })
}

fn level(level: &Level) -> Value {
    level.number().map_or_else(|| Value::String(level.text()), |number| json!(number))
}
