//! `summary.json`: its keys are an interface.

use std::collections::BTreeSet;

use approx::assert_relative_eq;
use hoopset::report::json;
use hoopset::report::run::Outcome;
use hoopset::units::Units;
use serde_json::Value;

use crate::sample::Sample;

/// Every place in the summary, names of the case in capitals. A line that changes there is a
/// breaking change: it raises the schema version and stands in the list of changes.
const KEYS: &str = include_str!("summary_keys.txt");

fn parsed(sample: &Sample, units: Units, outcome: Outcome) -> Value {
    serde_json::from_str(&json::summary(&sample.report(units, outcome)).unwrap()).unwrap()
}

/// Leaves of `value` with their place, list positions as `#`.
fn leaves<'a>(value: &'a Value, place: &str, found: &mut Vec<(String, &'a Value)>) {
    let slash = if place.is_empty() { "" } else { "/" };
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                leaves(value, &format!("{place}{slash}{key}"), found);
            }
        }
        Value::Array(list) => {
            for value in list {
                leaves(value, &format!("{place}{slash}#"), found);
            }
        }
        _ => found.push((place.to_owned(), value)),
    }
}

/// `place` with the names of the sample's stages, holes and so on replaced by their kind.
fn generic(place: &str) -> String {
    let kind = |part| match part {
        "1-expand-A-full" | "1-expand-A" | "2-ream-A" => "STAGE",
        "isotropic" | "as given" | "kinematic" => "LAW",
        "A" | "B" => "HOLE",
        "0" | "22.5" | "90" | "180" => "ANGLE",
        "left" => "EDGE",
        other => other,
    };
    place.split('/').map(kind).collect::<Vec<_>>().join("/")
}

#[test]
fn key_names_stay_what_they_are() {
    let sample = Sample::new();
    let value = parsed(&sample, Units::MmMpa, Outcome::Done);
    let mut found = Vec::new();
    leaves(&value, "", &mut found);
    let keys: BTreeSet<String> = found.into_iter().map(|(place, _)| generic(&place)).collect();
    let expected: BTreeSet<String> = KEYS.lines().map(str::to_owned).collect();
    let gone: Vec<_> = expected.difference(&keys).collect();
    let new: Vec<_> = keys.difference(&expected).collect();
    assert!(gone.is_empty() && new.is_empty(), "gone: {gone:#?}\nnew: {new:#?}");
    assert_eq!(value["schema_version"], 1);
}

#[test]
fn a_script_finds_a_value_by_names() {
    let sample = Sample::new();
    let summary = parsed(&sample, Units::MmMpa, Outcome::Done);
    let stage = &summary["stages"]["1-expand-A"];
    assert_eq!(stage["residual"], true);
    assert_eq!(stage["holes"]["A"]["retained_expansion"], 0.029_13);
    assert_eq!(stage["paths"]["B"]["22.5"]["edge_hoop"], -287.654_321);
    assert_eq!(stage["paths"]["A"]["90"]["peak_compression"]["distance"], 0.187);
    assert_eq!(stage["paths"]["A"]["180"]["compression_depth"], Value::Null);
    assert_eq!(stage["edges"]["left"]["bulge"], 0.0417);
    assert_eq!(stage["sections"]["A"]["0"]["net_over_compressive"], -2.3e-5);
    assert_eq!(summary["stages"]["1-expand-A-full"]["residual"], false);
    assert_eq!(summary["columns"]["paths.csv"]["hoop"]["unit"], "MPa");
    assert_eq!(summary["fields"]["displacement"]["unit"], "mm");
    assert_eq!(summary["case"]["file"], "hinge.toml");
}

#[test]
fn stages_and_keys_stand_in_the_order_of_the_run() {
    let sample = Sample::new();
    let text = json::summary(&sample.report(Units::MmMpa, Outcome::Done)).unwrap();
    let places: Vec<usize> = [
        "\"schema_version\"",
        "\"complete\"",
        "\"1-expand-A-full\": {",
        "\"1-expand-A\": {",
        "\"2-ream-A\": {",
        "\"columns\"",
    ]
    .iter()
    .map(|key| text.find(key).unwrap())
    .collect();
    assert!(places.is_sorted(), "{places:?}");
    assert!(text.ends_with("}\n"));
    assert_eq!(text, json::summary(&sample.report(Units::MmMpa, Outcome::Done)).unwrap());
}

#[test]
fn the_outcome_is_told_in_three_words() {
    let sample = Sample::new();
    let failed = Outcome::Failed { message: "it stopped".to_owned(), hint: None };
    for (outcome, complete, status) in [
        (Outcome::Done, true, "done"),
        (failed, false, "failed"),
        (Outcome::Interrupted, false, "interrupted"),
    ] {
        let summary = parsed(&sample, Units::MmMpa, outcome);
        assert_eq!((&summary["complete"], &summary["status"]), (&complete.into(), &status.into()));
        assert_eq!(summary["failure"].is_object(), status == "failed");
    }
}

#[test]
fn a_number_that_is_not_finite_becomes_null_and_a_warning() {
    let mut sample = Sample::new();
    sample.stages[1].holes[0].mean_pressure = f64::NAN;
    sample.stages[2].paths[1].peak_tension = Some([f64::INFINITY, 1.0]);
    let summary = parsed(&sample, Units::MmMpa, Outcome::Done);
    assert_eq!(summary["stages"]["1-expand-A"]["holes"]["A"]["mean_pressure"], Value::Null);
    let warnings: Vec<&str> =
        summary["warnings"].as_array().unwrap().iter().filter_map(Value::as_str).collect();
    assert_eq!(
        warnings,
        [
            "largest strain 6.20 % is above 3 %",
            "`stages.1-expand-A.holes.A.mean_pressure` is not a finite number; written as null",
            "`stages.2-ream-A.paths.A.90.peak_tension` is not a finite number; written as null",
        ]
    );
}

#[test]
fn both_unit_systems_agree_after_conversion() {
    let sample = Sample::new();
    let (metric, inch) = (
        parsed(&sample, Units::MmMpa, Outcome::Done),
        parsed(&sample, Units::InKsi, Outcome::Done),
    );
    let (mut in_metric, mut in_inch) = (Vec::new(), Vec::new());
    leaves(&metric, "", &mut in_metric);
    leaves(&inch, "", &mut in_inch);
    assert_eq!(in_metric.len(), in_inch.len());
    let mut converted = 0;
    for ((place, metric), (other, inch)) in in_metric.iter().zip(&in_inch) {
        assert_eq!(place, other);
        let (Some(metric), Some(inch)) = (metric.as_f64(), inch.as_f64()) else { continue };
        let key = place.trim_end_matches("/#").rsplit('/').next().unwrap();
        // By the meaning of the key, not by the program's own table.
        let scale = match key {
            "hoop" | "edge_hoop" | "mean_pressure" | "peak_pressure" | "bearing_stress"
            | "youngs_modulus" | "yield_stress" => 6.894_757_293_168_361,
            "distance"
            | "compression_depth"
            | "plastic_extent"
            | "reverse_yield_extent"
            | "bulge"
            | "thickness"
            | "centre"
            | "starting_diameter"
            | "smallest_diameter"
            | "largest_diameter"
            | "mandrel_shift"
            | "largest_penetration" => 25.4,
            "support_force" => 4_448.221_615_260_5,
            _ => 1.0,
        };
        converted += usize::from(scale > 1.0);
        assert_relative_eq!(metric, inch * scale, max_relative = 1e-9);
    }
    assert!(converted > 100, "{converted}");
}

#[test]
fn timings_are_phases_in_seconds() {
    let text = json::timings(&[("mesh", 0.25), ("solve", 1.5)]).unwrap();
    let value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(value["phases"]["mesh"], 0.25);
    assert_eq!(value["total"], 1.75);
    assert_eq!(value["unit"], "s");
    assert!(text.find("mesh").unwrap() < text.find("solve").unwrap());
}
