//! Files of an inference: bands, readings, and all of it as JSON.

use serde_json::json;

use crate::case::Case;
use crate::report::escape::cell;
use crate::report::infer::rows::{at_border, quantity};
use crate::report::infer::words::sentences;
use crate::report::json::pretty;
use crate::report::number::{rounded, text};
use crate::study::infer::line::Way;
use crate::study::infer::{FoundUnknown, Further, Inferred};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// `band.csv`: hoop stress along every line with its standard error and 90 % interval.
#[must_use]
pub fn band(found: &Inferred, units: Units) -> String {
    let mut rows =
        String::from("hole,angle_deg,depth_share,distance,hoop,standard_error,low_90,high_90\n");
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, units));
    for band in &found.bands {
        for [distance, hoop, error] in &band.points {
            let half = found.certainty.quantile * error;
            rows.push_str(&format!(
                "{},{},{},{},{},{},{},{}\n",
                cell(&band.hole),
                band.way.angle_deg().map_or_else(String::new, text),
                depth(band.way),
                text(Quantity::Length.at_border(*distance, units)),
                stress(*hoop),
                stress(*error),
                stress(hoop - half),
                stress(hoop + half),
            ));
        }
    }
    rows
}

/// `readings.csv`: every single reading of a drawn hole.
#[must_use]
pub fn readings(found: &Inferred, units: Units) -> String {
    let mut rows =
        String::from("reading,hole,read_at,of,unit,value,plus_minus,computed,difference\n");
    for single in &found.singles {
        let (reading, kind) = (&single.reading, quantity(single));
        let show = |value: f64| text(kind.at_border(value, units));
        let maybe = |value: Option<f64>| value.map_or_else(String::new, show);
        let cells = [
            cell(&reading.label).into_owned(),
            cell(&reading.hole).into_owned(),
            cell(&reading.read_at).into_owned(),
            reading.kind.name().to_owned(),
            kind.unit(units).to_owned(),
            show(reading.value),
            show(reading.plus_minus),
            maybe(single.computed),
            maybe(single.computed.map(|computed| reading.value - computed)),
        ];
        rows.push_str(&cells.join(","));
        rows.push('\n');
    }
    rows
}

/// Share of the thickness that a line lies at, or `mean`; empty for a path of the plane model.
fn depth(way: Way) -> String {
    match way {
        Way::Direction(_) => String::new(),
        Way::Depth(None) => "mean".to_owned(),
        Way::Depth(Some(share)) => text(share),
    }
}

fn entry(found: &Inferred, k: usize, unknown: &FoundUnknown, units: Units) -> serde_json::Value {
    let asked = unknown.table.asked;
    let show = |value: f64| rounded(at_border(asked.is_stress(), value, units));
    json!({
        "name": asked.name(),
        "value": (found.certainty.is_told(k)).then(|| show(unknown.value)),
        "interval_90": unknown.interval.map(|ends| ends.map(show)),
        "at_limit": unknown.at_limit,
        "expected": unknown.table.expected.map(|both| both.map(show)),
    })
}

fn further(one: &Further, units: Units) -> serde_json::Value {
    json!({
        "hole": one.hole,
        "angle_deg": one.way.angle_deg().map(rounded),
        "line": one.way.words(),
        "distance": rounded(Quantity::Length.at_border(one.distance, units)),
        "error": rounded(Quantity::Stress.at_border(one.error, units)),
        "share_of_variance_left": rounded(one.left),
        "share_of_life_variance_left": one.life_left.map(rounded),
    })
}

/// `infer.json`: all of it, in the units of the case.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(case: &Case, found: &Inferred) -> Result<String, serde_json::Error> {
    let units = case.units;
    let all = found.unknowns.iter().enumerate();
    let correlation: Vec<Vec<f64>> = (0..found.unknowns.len())
        .map(|i| {
            let row = (0..found.unknowns.len()).map(|j| found.certainty.correlation(i, j));
            row.map(rounded).collect()
        })
        .collect();
    let value = json!({
        "schema_version": 1,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": case.title,
        "case_sha256": case.sha256,
        "units": { "name": units.name(), "length": units.length_name(), "stress": units.stress_name() },
        "unknowns": all.map(|(k, unknown)| entry(found, k, unknown, units)).collect::<Vec<_>>(),
        "correlation": correlation,
        "points": found.points,
        "gauges": found.gauges.iter().map(|reading| json!({
            "gauge": reading.gauge.label,
            "read_at": reading.gauge.read_at,
            "strain": rounded(reading.gauge.strain),
            "plus_minus": rounded(reading.gauge.plus_minus),
            "computed": reading.computed.map(rounded),
        })).collect::<Vec<_>>(),
        "readings": found.singles.iter().map(|single| {
            let (reading, kind) = (&single.reading, quantity(single));
            let show = |value: f64| rounded(kind.at_border(value, units));
            json!({
                "reading": reading.label,
                "hole": reading.hole,
                "read_at": reading.read_at,
                "of": reading.kind.name(),
                "unit": kind.unit(units),
                "value": show(reading.value),
                "plus_minus": show(reading.plus_minus),
                "computed": single.computed.map(show),
            })
        }).collect::<Vec<_>>(),
        "all_beyond_the_plastic_front": found.beyond_front,
        "numbers": found.numbers.iter().map(|number| {
            let kind = number.quantity;
            json!({
                "name": number.name,
                "unit": kind.unit(units),
                "value": rounded(kind.at_border(number.value, units)),
                "standard_error": rounded(kind.at_border(number.error, units)),
            })
        }).collect::<Vec<_>>(),
        "life_cycles": found.life.map(|three| three.map(rounded)),
        "further_measurements":
            found.further.iter().map(|one| further(one, units)).collect::<Vec<_>>(),
        "further_measurement_for_life":
            found.further_for_life.as_ref().map(|one| further(one, units)),
        "solutions": found.solutions,
        "said": sentences(case, found),
    });
    pretty(&value)
}
