//! `metal.json`, `constants.csv`, `correlation.csv`, `deviations.csv`.

use serde_json::{Value as Json, json};

use crate::case::metal_tests::MetalTests;
use crate::fit::groups::Answer;
use crate::fit::metal::Fitted;
use crate::report::escape::cell;
use crate::report::json::pretty;
use crate::report::metal::words::{at_border, sentences};
use crate::report::number::{rounded, text};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// `constants.csv`: a row a constant; empty cells where the tests do not tell.
#[must_use]
pub fn constants(fitted: &Fitted, units: Units) -> String {
    let mut rows =
        String::from("constant,unit,value,standard_error,low_90,high_90,told,at_limit\n");
    for (k, value) in fitted.values.iter().enumerate() {
        let constant = value.unknown.constant;
        let show = |number: f64| text(at_border(constant, number, units));
        let [low, high] = value.interval.map_or_else(Default::default, |ends| ends.map(show));
        let told = fitted.certainty.is_told(k);
        rows.push_str(&format!(
            "{},{},{},{},{low},{high},{told},{}\n",
            constant.name(),
            if constant.is_stress() { units.stress_name() } else { "1" },
            if told { show(value.value) } else { String::new() },
            value.error.map_or_else(String::new, show),
            value.at_limit,
        ));
    }
    rows
}

/// `correlation.csv`: the correlation of every two constants.
#[must_use]
pub fn correlation(fitted: &Fitted) -> String {
    let names: Vec<String> = fitted.values.iter().map(|v| v.unknown.constant.name()).collect();
    let mut rows = format!("constant,{}\n", names.join(","));
    for (row, name) in names.iter().enumerate() {
        let cells: Vec<String> = (0..names.len())
            .map(|column| text(fitted.certainty.correlation(row, column)))
            .collect();
        rows.push_str(&format!("{name},{}\n", cells.join(",")));
    }
    rows
}

/// `deviations.csv`: every point, logarithmic strain, its stress as measured and as computed.
#[must_use]
pub fn deviations(tests: &MetalTests, fitted: &Fitted) -> String {
    let mut rows =
        String::from("test,strain,measured,computed,measured_less_computed,plastic_strain\n");
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, tests.units));
    for (record, path) in tests.records.iter().zip(&fitted.paths) {
        for ((strain, measured), point) in record.strains.iter().zip(&record.stresses).zip(path) {
            rows.push_str(&format!(
                "{},{},{},{},{},{}\n",
                cell(&record.label),
                text(*strain),
                stress(*measured),
                stress(point.stress),
                stress(measured - point.stress),
                text(point.plastic),
            ));
        }
    }
    rows
}

/// `metal.json`: all of it, in the units of the file.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(tests: &MetalTests, answer: &Answer) -> Result<String, serde_json::Error> {
    let units = tests.units;
    let apart = answer.apart.as_ref().map(|apart| {
        json!({
            "needed": apart.is_needed(),
            "chance": rounded(apart.chance),
            "root_mean_square_together": rounded(apart.roots[0]),
            "root_mean_square_apart": rounded(apart.roots[1]),
            "small": labels(tests, &apart.records[0]),
            "large": labels(tests, &apart.records[1]),
            "constants_small": values(&apart.fitted[0], units),
            "constants_large": values(&apart.fitted[1], units),
        })
    });
    let value = json!({
        "schema_version": 1,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": tests.title,
        "file_sha256": tests.sha256,
        "units": { "name": units.name(), "stress": units.stress_name() },
        "constants": values(&answer.all, units),
        "share_of_kinematic_hardening_told": answer.kinematic_bound.is_none(),
        "untold_directions": answer.all.certainty.untold.iter().map(|direction| {
            let parts: serde_json::Map<String, Json> = direction
                .taking_part()
                .into_iter()
                .map(|(k, part)| {
                    (answer.all.values[k].unknown.constant.name(), json!(rounded(part)))
                })
                .collect();
            Json::Object(parts)
        }).collect::<Vec<_>>(),
        "tests": tests.records.iter().enumerate().map(|(k, record)| json!({
            "label": record.label,
            "points": record.strains.len(),
            "largest_strain": rounded(record.amplitude()),
            "root_mean_square":
                rounded(Quantity::Stress.at_border(answer.all.root_mean_squares[k], units)),
            "chance_of_so_few_runs": rounded(answer.all.runs[k]),
        })).collect::<Vec<_>>(),
        "points_less_constants": answer.all.spare,
        "starts": { "followed": answer.all.starts[1], "ended_here": answer.all.starts[0] },
        "small_and_large_strain": apart,
        "said": sentences(tests, answer),
    });
    pretty(&value)
}

fn labels<'t>(tests: &'t MetalTests, group: &[usize]) -> Vec<&'t str> {
    group.iter().map(|k| tests.records[*k].label.as_str()).collect()
}

fn values(fitted: &Fitted, units: Units) -> Json {
    let mut all = serde_json::Map::new();
    for (k, value) in fitted.values.iter().enumerate() {
        let constant = value.unknown.constant;
        let show = |number: f64| rounded(at_border(constant, number, units));
        let told = fitted.certainty.is_told(k);
        let entry = json!({
            "value": told.then(|| show(value.value)),
            "standard_error": value.error.map(show),
            "interval_90": value.interval.map(|ends| ends.map(show)),
            "at_limit": value.at_limit,
        });
        all.insert(constant.name(), entry);
    }
    Json::Object(all)
}
