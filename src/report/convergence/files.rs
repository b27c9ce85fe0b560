//! `convergence.json` and `convergence.csv`.

use serde::Serialize;

use crate::report::convergence::method::METHOD;
use crate::report::convergence::rows::{remarks, words};
use crate::report::escape::cell;
use crate::report::json::{SCHEMA_VERSION, pretty};
use crate::report::number::{rounded, text};
use crate::report::show::quantity;
use crate::result::headline::{Measure, Place};
use crate::result::refinement::{Level, Refined, Refinement, Series, Trend};
use crate::units::Units;

#[derive(Serialize)]
struct Study {
    schema_version: u32,
    case_sha256: String,
    method: &'static str,
    meshes: Option<Levels>,
    increments: Option<Levels>,
    numbers: Vec<Number>,
    warnings: Vec<String>,
}

#[derive(Serialize)]
struct Levels {
    /// Which of the levels is the case itself, from 0.
    case: usize,
    levels: Vec<Level>,
}

#[derive(Serialize)]
struct Number {
    name: String,
    stage: String,
    hole: Option<String>,
    angle_deg: Option<f64>,
    edge: Option<String>,
    measure: &'static str,
    unit: &'static str,
    value: Option<f64>,
    band: Option<f64>,
    limit: Option<f64>,
    trusted: bool,
    mesh: Option<Series3>,
    increments: Option<Series3>,
}

#[derive(Serialize)]
struct Series3 {
    values: [Option<f64>; 3],
    approach: &'static str,
    order: Option<f64>,
    limit: Option<f64>,
    band: Option<f64>,
}

/// Word for a trend of which a value is missing.
const INCOMPLETE: &str = "incomplete";

/// `convergence.json`, ended by a line feed; values in the units of the case.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(
    refinement: &Refinement,
    case_sha256: &str,
    units: Units,
) -> Result<String, serde_json::Error> {
    let study = Study {
        schema_version: SCHEMA_VERSION,
        case_sha256: case_sha256.to_owned(),
        method: METHOD,
        meshes: refinement.mesh.as_ref().map(levels),
        increments: refinement.increments.as_ref().map(levels),
        numbers: refinement.numbers.iter().map(|one| number(one, units)).collect(),
        warnings: remarks(refinement, units),
    };
    pretty(&study)
}

fn levels(series: &Series) -> Levels {
    let tidy = |level: &Level| Level { size: rounded(level.size), ..*level };
    Levels { case: series.case, levels: series.levels.iter().map(tidy).collect() }
}

fn number(number: &Refined, units: Units) -> Number {
    let headline = &number.headline;
    let measure = headline.measure;
    let convert = |value: Option<f64>| at_border(measure, value, units);
    let (hole, angle_deg, edge) = place(&headline.place);
    Number {
        name: words(headline),
        stage: headline.stage.clone(),
        hole,
        angle_deg,
        edge,
        measure: measure.name(),
        unit: quantity(measure).unit(units),
        value: convert(headline.value),
        band: convert(number.band()),
        limit: convert(number.limit()),
        trusted: number.is_trusted(),
        mesh: number.mesh.map(|trend| series(trend, measure, units)),
        increments: number.increments.map(|trend| series(trend, measure, units)),
    }
}

fn place(place: &Place) -> (Option<String>, Option<f64>, Option<String>) {
    match place {
        Place::Path(hole, degrees) => (Some(hole.clone()), Some(rounded(*degrees)), None),
        Place::Hole(hole) => (Some(hole.clone()), None, None),
        Place::Edge(edge) => (None, None, Some(edge.clone())),
    }
}

fn series(trend: Trend, measure: Measure, units: Units) -> Series3 {
    let estimate = trend.estimate;
    Series3 {
        values: trend.values.map(|value| at_border(measure, value, units)),
        approach: estimate.map_or(INCOMPLETE, |estimate| estimate.approach.name()),
        order: estimate.and_then(|estimate| estimate.order).map(rounded),
        limit: at_border(measure, estimate.and_then(|estimate| estimate.limit), units),
        band: at_border(measure, estimate.map(|estimate| estimate.band), units),
    }
}

fn at_border(measure: Measure, value: Option<f64>, units: Units) -> Option<f64> {
    value
        .map(|value| quantity(measure).at_border(value, units))
        .filter(|value| value.is_finite())
        .map(rounded)
}

/// `convergence.csv`: one row a number; values in the units of the case, which a column names.
#[must_use]
pub fn csv(refinement: &Refinement, units: Units) -> String {
    let mut lines = "stage,hole,angle_deg,edge,measure,unit,value,band,limit,trusted".to_owned();
    for series in ["mesh", "increments"] {
        for column in ["coarse", "middle", "fine", "approach", "order", "limit", "band"] {
            lines.push_str(&format!(",{series}_{column}"));
        }
    }
    lines.push('\n');
    for one in refinement.numbers.iter().map(|one| number(one, units)) {
        let name = |name: Option<String>| cell(&name.unwrap_or_default()).into_owned();
        let value = |value: Option<f64>| value.map_or_else(String::new, text);
        let mut cells = vec![
            cell(&one.stage).into_owned(),
            name(one.hole),
            value(one.angle_deg),
            name(one.edge),
            one.measure.to_owned(),
            one.unit.to_owned(),
            value(one.value),
            value(one.band),
            value(one.limit),
            one.trusted.to_string(),
        ];
        for series in [one.mesh, one.increments] {
            let Some(series) = series else {
                cells.extend(vec![String::new(); 7]);
                continue;
            };
            cells.extend(series.values.map(value));
            cells.push(series.approach.to_owned());
            cells.extend([series.order, series.limit, series.band].map(value));
        }
        lines.push_str(&cells.join(","));
        lines.push('\n');
    }
    lines
}
