//! `toolsheet.json` and `toolsheet.csv`.

use serde_json::{Value, json};

use crate::case::sheet::Sheet;
use crate::numeric::random::{Spread, percentile};
use crate::report::cautions::CAUTIONS;
use crate::report::json::pretty;
use crate::report::number::{rounded, text};
use crate::report::toolsheet::chain;
use crate::study::toolsheet::{Finished, Found, OUTPUTS, Output, SHARES, Sizes, direction};
use crate::units::quantity::Quantity;

/// Version of the keys and columns.
const SCHEMA_VERSION: u32 = 1;

/// Kind of a drawn number.
fn quantity(output: Output) -> Quantity {
    match output {
        Output::Retained => Quantity::Fraction,
        Output::Depth | Output::ExpandedDiameter => Quantity::Length,
        _ => Quantity::Stress,
    }
}

struct Out<'a> {
    sheet: &'a Sheet,
}

impl Out<'_> {
    fn number(&self, quantity: Quantity, value: f64) -> f64 {
        rounded(quantity.at_border(value, self.sheet.units))
    }

    fn length(&self, mm: f64) -> f64 {
        self.number(Quantity::Length, mm)
    }

    fn span(&self, [low, high]: [f64; 2]) -> Value {
        json!({ "smallest": self.length(low), "largest": self.length(high) })
    }

    fn sizes(&self, sizes: &Sizes) -> Value {
        json!({
            "starting_diameter": self.length(sizes.start),
            "mandrel": self.length(sizes.mandrel),
            "sleeve": self.length(sizes.sleeve),
            "finished_hole": self.length(sizes.finished),
            "applied_expansion": rounded(sizes.expansion()),
        })
    }

    fn found(&self, found: &Found) -> Value {
        let mut values = serde_json::Map::new();
        for output in OUTPUTS {
            let value = found.get(output).map(|value| self.number(quantity(output), value));
            values.insert(output.key().to_owned(), json!(value));
        }
        let expanded = [found.expanded.smallest, found.expanded.largest];
        values.insert("expanded_diameter_by_direction".to_owned(), self.span(expanded));
        let edge_error = found.path.edge_error.map(rounded);
        values.insert("edge_error".to_owned(), json!(edge_error));
        Value::Object(values)
    }
}

/// `toolsheet.json`: every number of the sheet, in its units.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(sheet: &Sheet, finished: &Finished) -> Result<String, serde_json::Error> {
    let out = Out { sheet };
    let limits = &finished.limits;
    let corners: serde_json::Map<String, Value> = finished
        .corners
        .iter()
        .map(|corner| {
            let value =
                json!({ "sizes": out.sizes(&corner.sizes), "result": out.found(&corner.found) });
            (corner.name.to_owned(), value)
        })
        .collect();
    let mut percentiles = serde_json::Map::new();
    for output in OUTPUTS {
        let kind = quantity(output);
        let three = finished.percentiles(output).map(|three| three.map(|v| out.number(kind, v)));
        let error = finished.error(output).map(|error| out.number(kind, error));
        let value = json!({ "p5_p50_p95": three, "surrogate_error": error });
        percentiles.insert(output.key().to_owned(), value);
    }
    percentiles.insert(
        "applied_expansion".to_owned(),
        json!({ "p5_p50_p95": expansions(finished).map(rounded), "surrogate_error": 0.0 }),
    );
    let spreads = sheet.draws.spreads.map(Spread::name);
    let value = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": sheet.title,
        "sheet_sha256": sheet.sha256,
        "units": { "name": sheet.units.name(), "length": sheet.units.length_name(),
                   "stress": sheet.units.stress_name() },
        "material": { "name": sheet.material_name, "sources": sheet.material_sources },
        "idealisation": sheet.idealisation.name(),
        "wanted_expansion": sheet.expansion,
        "left_to_common_practice_no_source": sheet.assumed,
        "path_angle_deg": rounded(direction(sheet)),
        "limits": {
            "starting_diameter": out.span(limits.start),
            "mandrel_new": out.span(limits.mandrel),
            "mandrel_worn_out_below": out.length(limits.worn),
            "sleeve": out.span(limits.sleeve),
            "finished_hole": out.span(limits.finished),
            "ream_allowance": out.length(limits.allowance),
        },
        "beside_nominal": finished.beside.iter().map(|beside| {
            json!({ "assumption": beside.assumption.word(), "name": beside.name, "result": out.found(&beside.found) })
        }).collect::<Vec<_>>(),
        "gauges": {
            "starting_hole_go": out.length(limits.start[0]),
            "starting_hole_no_go": out.length(limits.start[1]),
            "expanded_hole_plug": finished.expanded_plug.map(|plug| out.length(plug)),
            "expanded_hole": out.span(finished.expanded()),
            "between_start_and_expanded":
                out.length(finished.expanded()[0] - limits.start[1]),
        },
        "corners": corners,
        "draws": {
            "count": sheet.draws.count,
            "seed": sheet.draws.seed,
            "distributions": { "starting_diameter": spreads[0], "mandrel": spreads[1],
                               "sleeve": spreads[2], "finished_hole": spreads[3] },
            "percentiles": percentiles,
            "held_out": held(&out, finished),
        },
        "chain": chain::json(sheet, finished),
        "solutions": finished.solutions,
        "numerics": { "fineness": sheet.numerics.fineness,
                      "increments": sheet.numerics.increments },
        "warnings": finished.warnings,
        "cautions": CAUTIONS,
    });
    pretty(&value)
}

/// Sizes that the surrogate never saw: as it predicts them, and solved.
fn held(out: &Out<'_>, finished: &Finished) -> Vec<Value> {
    finished
        .held
        .iter()
        .map(|held| {
            let mut predicted = serde_json::Map::new();
            for output in OUTPUTS {
                let value = held.predicted.get(output);
                let value = value.map(|value| out.number(quantity(output), value));
                predicted.insert(output.key().to_owned(), json!(value));
            }
            json!({ "sizes": out.sizes(&held.sizes), "surrogate": predicted,
                    "solved": out.found(&held.found) })
        })
        .collect()
}

/// Percentiles of the applied expansion of the draws.
fn expansions(finished: &Finished) -> [f64; 3] {
    let mut values: Vec<f64> = finished.sizes.iter().map(Sizes::expansion).collect();
    values.sort_by(f64::total_cmp);
    SHARES.map(|share| percentile(&values, share).unwrap_or(f64::NAN))
}

/// `toolsheet.csv`: one number a row.
#[must_use]
pub fn csv(sheet: &Sheet, finished: &Finished) -> String {
    let mut rows = String::from("group,quantity,which,value,unit\n");
    let mut put = |group: &str, name: &str, which: &str, kind: Quantity, value: Option<f64>| {
        let value = value.map_or_else(String::new, |v| text(kind.at_border(v, sheet.units)));
        rows.push_str(&format!("{group},{name},{which},{value},{}\n", kind.unit(sheet.units)));
    };
    let limits = &finished.limits;
    for (name, [low, high]) in [
        ("starting_diameter", limits.start),
        ("mandrel_new", limits.mandrel),
        ("sleeve", limits.sleeve),
        ("finished_hole", limits.finished),
        ("expanded_hole", finished.expanded()),
    ] {
        put("limit", name, "smallest", Quantity::Length, Some(low));
        put("limit", name, "largest", Quantity::Length, Some(high));
    }
    put("limit", "mandrel_worn_out", "smallest", Quantity::Length, Some(limits.worn));
    put("gauge", "starting_diameter", "go", Quantity::Length, Some(limits.start[0]));
    put("gauge", "starting_diameter", "no_go", Quantity::Length, Some(limits.start[1]));
    put("gauge", "expanded_hole", "enters", Quantity::Length, finished.expanded_plug);
    for corner in &finished.corners {
        let expansion = Some(corner.sizes.expansion());
        put("stack", "applied_expansion", corner.name, Quantity::Fraction, expansion);
        for output in OUTPUTS {
            put("stack", output.key(), corner.name, quantity(output), corner.found.get(output));
        }
    }
    for (which, value) in ["p5", "p50", "p95"].into_iter().zip(expansions(finished)) {
        put("draws", "applied_expansion", which, Quantity::Fraction, Some(value));
    }
    for output in OUTPUTS {
        let three = finished.percentiles(output);
        for (k, which) in ["p5", "p50", "p95"].into_iter().enumerate() {
            put("draws", output.key(), which, quantity(output), three.map(|three| three[k]));
        }
        put("draws", output.key(), "surrogate_error", quantity(output), finished.error(output));
    }
    rows
}
