//! The unknowns of a case as measurements tell them: words, tables, files, a page.

use serde_json::json;

use crate::case::Case;
use crate::case::keys::CASE_FILE;
use crate::report::band::{Band, edge_words};
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::escape::{cell, markup};
use crate::report::inputs::echo;
use crate::report::json::pretty;
use crate::report::number::{rounded, text};
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::show::NOTHING;
use crate::report::{gauge, measured, metal};
use crate::study::infer::{FoundUnknown, Further, Inferred};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Further measurements that are shown.
const SHOWN: usize = 4;

fn at_border(is_stress: bool, value: f64, units: Units) -> f64 {
    if is_stress { Quantity::Stress.at_border(value, units) } else { value }
}

/// Head and rows of the unknowns.
#[must_use]
pub fn rows(found: &Inferred, units: Units) -> Vec<Vec<String>> {
    let mut rows =
        vec![["unknown", "unit", "value", "90 % from", "to", ""].map(str::to_owned).to_vec()];
    for unknown in &found.unknowns {
        let asked = unknown.table.asked;
        let show = |value: f64| metal::digits(at_border(asked.is_stress(), value, units));
        let [low, high] = unknown
            .interval
            .map_or([NOTHING.to_owned(), NOTHING.to_owned()], |ends| ends.map(show));
        let (value, remark) = match (unknown.interval, unknown.at_limit) {
            (_, true) => (show(unknown.value), "at its limit"),
            (Some(_), _) => (show(unknown.value), ""),
            (None, _) => (NOTHING.to_owned(), "not told by the points"),
        };
        rows.push(vec![
            asked.name().to_owned(),
            if asked.is_stress() { units.stress_name() } else { "1" }.to_owned(),
            value,
            low,
            high,
            remark.to_owned(),
        ]);
    }
    rows
}

/// Head and rows of the headline numbers with their 90 % intervals.
#[must_use]
pub fn numbers(found: &Inferred, units: Units) -> Vec<Vec<String>> {
    let mut rows = vec![["number", "unit", "value", "90 % ±"].map(str::to_owned).to_vec()];
    for number in &found.numbers {
        let kind = if number.is_stress { Quantity::Stress } else { Quantity::Length };
        let show = |value: f64| metal::digits(kind.at_border(value, units));
        rows.push(vec![
            number.name.clone(),
            kind.unit(units).to_owned(),
            show(number.value),
            show(found.certainty.quantile * number.error),
        ]);
    }
    rows
}

/// Everything to be said besides the numbers, a sentence each.
#[must_use]
pub fn sentences(case: &Case, found: &Inferred) -> Vec<String> {
    let mut said = Vec::new();
    let name = |k: usize| format!("`{}`", found.unknowns[k].table.asked.name());
    if found.beyond_front {
        said.push(
            "All points lie beyond the plastic front, where the stress has one number only, its size: \
             they cannot tell the unknowns apart. Measure nearer to the hole"
                .to_owned(),
        );
    }
    for direction in &found.certainty.untold {
        let parts = direction.taking_part();
        let names: Vec<String> = parts.iter().map(|part| name(part.0)).collect();
        said.push(if parts.len() == 1 {
            format!("The points do not tell {}: it has no number", names.join(", "))
        } else {
            format!(
                "The points tell {} together only: a change of one is made good by the others. Say of \
                 one what is `expected`",
                names.join(", ")
            )
        });
    }
    for (k, _) in found.unknowns.iter().enumerate().filter(|(_, unknown)| unknown.at_limit) {
        said.push(format!("{} ended at its limit", name(k)));
    }
    if found.too_far == Some(true) {
        said.push(
            "The deviations are larger than the stated `plus_minus`: the model does not follow the points \
             to within their errors, and the intervals are taken from the deviations"
                .to_owned(),
        );
    }
    if found.too_far.is_none() {
        said.push(
            "Some points have no `plus_minus`: the intervals are taken from the deviations"
                .to_owned(),
        );
    }
    if let Some(best) = found.further.first() {
        let unit = case.units;
        said.push(format!(
            "A further point would narrow the stress near the hole most at {:.3} {} from hole {}, {:.0}°: \
             with an error of {:.1} {} it would leave {:.0} % of the variance",
            Quantity::Length.at_border(best.distance, unit),
            unit.length_name(),
            best.hole,
            best.angle_deg,
            Quantity::Stress.at_border(best.error, unit),
            unit.stress_name(),
            100.0 * best.left,
        ));
    }
    if let Some([cycles, low, high]) = found.life {
        said.push(format!(
            "Life of the expanded part: {} cycles, 90 % from {} to {}",
            metal::digits(cycles),
            metal::digits(low),
            metal::digits(high)
        ));
    } else if case.life.is_some() {
        said.push(
            "The life has no interval: beside the answer it has no finite number of cycles"
                .to_owned(),
        );
    }
    if let Some((best, left)) =
        found.further_for_life.as_ref().and_then(|f| Some((f, f.life_left?)))
    {
        let unit = case.units;
        said.push(format!(
            "A further point would narrow the life most at {:.3} {} from hole {}, {:.0}°: it would leave {:.0} % \
             of the variance of its logarithm",
            Quantity::Length.at_border(best.distance, unit),
            unit.length_name(),
            best.hole,
            best.angle_deg,
            100.0 * left,
        ));
    }
    said
}

/// `band.csv`: hoop stress along every path with its standard error and 90 % interval.
#[must_use]
pub fn band(found: &Inferred, units: Units) -> String {
    let mut rows = String::from("hole,angle_deg,distance,hoop,standard_error,low_90,high_90\n");
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, units));
    for band in &found.bands {
        for [distance, hoop, error] in &band.points {
            let half = found.certainty.quantile * error;
            rows.push_str(&format!(
                "{},{},{},{},{},{},{}\n",
                cell(&band.hole),
                text(band.angle_deg),
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
        "angle_deg": rounded(one.angle_deg),
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
        "all_beyond_the_plastic_front": found.beyond_front,
        "numbers": found.numbers.iter().map(|number| {
            let kind = if number.is_stress { Quantity::Stress } else { Quantity::Length };
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

/// `infer.html`.
#[must_use]
pub fn page(case: &Case, found: &Inferred, figures: &[Figure], record: &Record) -> String {
    let units = case.units;
    let mut places = vec![
        [
            "path".to_owned(),
            format!("distance {}", units.length_name()),
            format!("error {}", units.stress_name()),
            "variance left %".to_owned(),
            "of the life %".to_owned(),
        ]
        .to_vec(),
    ];
    for further in found.further.iter().take(SHOWN).chain(&found.further_for_life) {
        places.push(vec![
            format!("{} {:.0}°", further.hole, further.angle_deg),
            format!("{:.3}", Quantity::Length.at_border(further.distance, units)),
            format!("{:.1}", Quantity::Stress.at_border(further.error, units)),
            format!("{:.0}", 100.0 * further.left),
            further
                .life_left
                .map_or_else(|| NOTHING.to_owned(), |left| format!("{:.0}", 100.0 * left)),
        ]);
    }
    let agreements: String = found
        .agreements
        .iter()
        .map(|agreement| {
            format!(
                "<p>{}</p>\n{}",
                markup(&measured::words(agreement, units)),
                table(&format!("Measured: {}", agreement.label), &measured::rows(agreement, units))
            )
        })
        .collect();
    let gauges = if found.gauges.is_empty() {
        String::new()
    } else {
        table("Strain gauges", &gauge::rows(&found.gauges))
    };
    Shell {
        kind: "Unknowns of a case from measured residual stresses",
        title: &case.title,
        subtitle: format!("{} · units {}", case.material_name, units.name()),
        record: record.clone(),
        inputs: vec![("Case file".to_owned(), case.sha256.clone())],
        asked: vec![
            "Which values of the unknowns the measured points ask for, and how certain they are."
                .to_owned(),
        ],
        answer: format!(
            "{}{}{}",
            table("Unknowns", &rows(found, units)),
            list(&sentences(case, found)),
            table("Headline numbers", &numbers(found, units))
        ),
        band: Some(Band {
            mesh: edge_words(&case.job.numerics, case.job.material.yield_stress, units),
            hardening:
                "one law, that of the case; constants of it that are unknown are in the intervals"
                    .to_owned(),
            idealisation: format!(
                "one, {}: another idealisation of the case asks for other values",
                case.job.idealisation.name()
            ),
        }),
        parts: vec![
            ("Figures", figures.iter().map(Figure::html).collect()),
            ("A further point on each path", table("Further points", &places)),
            ("Measured and computed", agreements),
            ("Strain gauges", gauges),
        ],
        assumptions: LIMITS.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.to_vec(),
        echo: echo("Case file", &case.text, &CASE_FILE, units),
        footer: "numbers stand in infer.json".to_owned(),
        ..Shell::default()
    }
    .html()
}
