//! The section of a hole as the page takes it: every stage with its mesh, fields, paths and headline numbers, and
//! the pull of every draw.
//!
//! Places are drawn `[radius, −depth]`: the entry face on top.

use serde_json::{Value, json};

use crate::live::pack::parcel::Parcel;
use crate::live::pack::triangles_and_outline;
use crate::live::section::SectionAnswer;
use crate::process::section::SectionStage;
use crate::report::number::rounded;
use crate::report::section::{SectionStageResult, largest_pull};
use crate::result::section::{SectionPath, nodal};
use crate::tensor::Stress;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Columns of a path in the order of the numbers of a point.
const PATH_COLUMNS: [&str; 8] =
    ["distance", "depth", "hoop", "radial", "axial", "shear", "von_mises", "plastic"];
/// Columns of a draw in the order of the numbers of an increment.
const TRAVEL_COLUMNS: [&str; 4] = ["travel", "pull", "friction", "support"];
/// Shares of the depth at which a bore gauge reads.
const GAUGED: [f64; 3] = [0.05, 0.5, 0.95];

/// A section.
pub(in crate::live) fn section(answer: &SectionAnswer) -> Vec<u8> {
    let (units, job) = (answer.case.units, &answer.case.job);
    let mut parcel = Parcel::new();
    let stages: Vec<Value> = answer
        .stages
        .iter()
        .enumerate()
        .map(|(index, stage)| {
            let prefix = format!("stage{index}:");
            fields(&mut parcel, &prefix, stage, units);
            for (number, path) in stage.reading.paths.iter().enumerate() {
                parcel.exact(&format!("{prefix}path{number}"), rows(path, units));
            }
            told(stage, units)
        })
        .collect();
    let mut draws = Vec::new();
    for (index, stage) in job.stages.iter().enumerate() {
        if matches!(stage, SectionStage::Draw { .. }) {
            let label = job.label(index);
            parcel.exact(&format!("travel{}", draws.len()), travel(answer, &label));
            draws.push(label);
        }
    }
    let last = answer.stages.last();
    parcel.close(json!({
        "hole": job.hole,
        "accuracy": answer.accuracy,
        "unknowns": answer.unknowns,
        "increments": last.map_or(0, |stage| stage.snapshot.travel.len()),
        "seconds": answer.seconds,
        "inner": 0.5 * job.part.starting_diameter / units.length_scale(),
        "outer": 0.5 * job.part.outer_diameter / units.length_scale(),
        "thickness": job.part.thickness / units.length_scale(),
        "force": units.force_name(),
        "stages": stages,
        "draws": draws,
        "path_columns": PATH_COLUMNS,
        "travel_columns": TRAVEL_COLUMNS,
    }))
}

/// A stage in words and numbers, those of `section.json`.
fn told(stage: &SectionStageResult, units: Units) -> Value {
    let length = |mm: f64| rounded(Quantity::Length.at_border(mm, units));
    let stress = |mpa: f64| rounded(Quantity::Stress.at_border(mpa, units));
    let paths = stage.reading.paths.iter().map(|path| {
        let headline = path.headline();
        json!({
            "share": path.share,
            "depth": path.depth().map(length),
            "edge_hoop": stress(headline.edge),
            "peak_compression": stress(headline.peak_compression.0),
            "peak_compression_distance": length(headline.peak_compression.1),
            "depth_of_compression": headline.depth_of_compression.map(length),
        })
    });
    json!({
        "label": stage.reading.label,
        "heading": stage.snapshot.heading,
        "loaded": stage.snapshot.loaded,
        "paths": paths.collect::<Vec<_>>(),
        "bore_diameter": GAUGED.map(|share| length(stage.reading.gauge(share))),
        "largest_pull": rounded(largest_pull(stage) / units.force_scale()),
    })
}

/// Mesh and fields of a stage.
fn fields(parcel: &mut Parcel, prefix: &str, stage: &SectionStageResult, units: Units) {
    let mesh = &stage.snapshot.mesh;
    let (length, stress) = (units.length_scale(), units.stress_scale());
    let nodes = mesh.nodes.iter().flat_map(|[r, z]| [r / length, -z / length]);
    parcel.drawn(&format!("{prefix}nodes"), nodes);
    triangles_and_outline(parcel, prefix, mesh);
    let values = nodal(&stage.snapshot);
    let mut put = |name: &str, of: &dyn Fn(&[f64; 5]) -> f64| {
        parcel.drawn(&format!("{prefix}{name}"), values.iter().map(of));
    };
    for (name, component) in [("radial", 0), ("axial", 1), ("hoop", 2), ("shear", 3)] {
        put(name, &|at| at[component] / stress);
    }
    put("von_mises", &|&[xx, yy, zz, xy, _]| Stress { xx, yy, zz, xy }.von_mises() / stress);
    // Extrapolated from the points of an element it may fall below zero beside elastic metal.
    put("plastic", &|at| at[4].max(0.0));
}

fn rows(path: &SectionPath, units: Units) -> impl Iterator<Item = f64> {
    let (length, stress) = (units.length_scale(), units.stress_scale());
    path.points.iter().flat_map(move |point| {
        [
            point.distance / length,
            point.z / length,
            point.hoop / stress,
            point.radial / stress,
            point.axial / stress,
            point.shear / stress,
            point.von_mises / stress,
            point.equivalent_plastic_strain,
        ]
    })
}

/// Forces of the draw `label` against the way of the mandrel.
fn travel(answer: &SectionAnswer, label: &str) -> impl Iterator<Item = f64> {
    let units = answer.case.units;
    let all = answer.stages.last().map_or(&[][..], |stage| &stage.snapshot.travel);
    all.iter().filter(move |record| record.stage == label).flat_map(move |record| {
        let force = |newton: f64| newton / units.force_scale();
        [
            record.travel / units.length_scale(),
            force(record.pull_force),
            force(record.friction_force),
            force(record.support_force),
        ]
    })
}
