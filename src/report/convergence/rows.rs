//! The study for people: one row a number.

use crate::report::show::{NOTHING, Show, angle, fixed};
use crate::report::table::aligned;
use crate::result::headline::{Headline, Measure, Place};
use crate::result::refinement::{Refined, Refinement, Remark, Series, Trend};
use crate::units::Units;

/// Mark of a band that rests on no observed order.
const MARK: &str = "*";

/// `peak tension of A at 180°, 2-ream-A`.
#[must_use]
pub(super) fn words(headline: &Headline) -> String {
    format!("{}, {}", place_words(headline), headline.stage)
}

fn place_words(headline: &Headline) -> String {
    let what = headline.measure.words();
    match &headline.place {
        Place::Path(hole, degrees) => format!("{what} of {hole} at {}", angle(*degrees)),
        Place::Hole(hole) => format!("{what} of {hole}"),
        Place::Edge(edge) => format!("{what} of the {edge} edge"),
    }
}

/// Remarks for the reader of the study, one sentence each.
#[must_use]
pub fn remarks(refinement: &Refinement, units: Units) -> Vec<String> {
    refinement.remarks.iter().map(|remark| remark_words(remark, Show { units })).collect()
}

fn remark_words(remark: &Remark, show: Show) -> String {
    match remark {
        Remark::Unsolved { kind, fineness, increments, why } => format!(
            "convergence: no study of the {}, as fineness {fineness} with {increments} increments \
             could not be solved: {why}",
            kind.words()
        ),
        Remark::Untrusted { kind, count, of, widest } => {
            let named: Vec<String> = widest
                .iter()
                .map(|(headline, estimate)| {
                    let name = words(headline);
                    let Some(estimate) = estimate else {
                        return format!("{name} (no value on every level)");
                    };
                    let band = show.measure(headline.measure, estimate.band);
                    let unit = show.unit(headline.measure);
                    let approach = estimate.approach.name().replace('-', " ");
                    format!("{name} ±{band} {unit} ({approach})")
                })
                .collect();
            let [low, high] = kind.expected().range;
            format!(
                "convergence: {count} of {of} numbers are not in the asymptotic range of the {} (in \
                 step, order {low} to {high}); their bands are three times the largest change instead. \
                 Widest: {}",
                kind.words(),
                named.join("; ")
            )
        }
        Remark::Uneven => {
            "convergence: some increments had to be halved, so the increments of the \
                           study are not evenly refined and their orders are approximate"
                .to_owned()
        }
    }
}

/// The study for the terminal: levels, numbers, what the marks mean.
#[must_use]
pub fn answer(refinement: &Refinement, units: Units) -> String {
    let mut text = "\nConvergence\n".to_owned();
    for line in levels(refinement) {
        text.push_str(&format!("  {line}\n"));
    }
    for (stage, rows) in rows(refinement, units) {
        text.push_str(&format!("\n  {stage}\n"));
        text.push_str(&aligned(&rows));
    }
    text.push_str(&format!("\n  {NOTE}\n"));
    text
}

/// Text under the table.
pub(crate) const NOTE: &str = "± half width of the uncertainty band; * not in the asymptotic range: three times the \
     largest change. Limit: extrapolated in mesh and increments.";

/// One line a series.
pub(crate) fn levels(refinement: &Refinement) -> Vec<String> {
    let list = |series: &Series, one: fn(&crate::result::refinement::Level) -> String| {
        series.levels.iter().map(one).collect::<Vec<_>>().join(", ")
    };
    let mesh = refinement.mesh.as_ref().map(|series| {
        let each = list(series, |level| {
            format!("fineness {} with {} elements", level.fineness, level.elements)
        });
        format!("meshes: {each}")
    });
    let increments = refinement.increments.as_ref().map(|series| {
        format!("increments to full size: {}", list(series, |level| level.increments.to_string()))
    });
    [mesh, increments].into_iter().flatten().collect()
}

/// Tables of the numbers, one a snapshot, each with its head. Paths that mirror each other share a row.
pub(crate) fn rows(refinement: &Refinement, units: Units) -> Vec<(String, Vec<Vec<String>>)> {
    let mut tables: Vec<(String, Vec<Vec<String>>)> = Vec::new();
    for number in &refinement.numbers {
        let headline = &number.headline;
        if tables.last().is_none_or(|(stage, _)| *stage != headline.stage) {
            tables.push((headline.stage.clone(), vec![head()]));
        }
        let Some((_, rows)) = tables.last_mut() else { continue };
        let row = row(number, units);
        // A twin differs from its row in the angle alone.
        let twin = match &headline.place {
            Place::Path(hole, degrees) => {
                let stem = format!("{} of {hole} at ", headline.measure.words());
                let found = rows
                    .iter_mut()
                    .find(|other| other[0].starts_with(&stem) && other[1..] == row[1..]);
                found.map(|other| (other, angle(*degrees)))
            }
            Place::Hole(_) | Place::Edge(_) => None,
        };
        match twin {
            Some((other, degrees)) => other[0].push_str(&format!(", {degrees}")),
            None => rows.push(row),
        }
    }
    tables
}

fn head() -> Vec<String> {
    [
        "number",
        "value",
        "unit",
        "mesh order",
        "mesh ±",
        "increments order",
        "increments ±",
        "together ±",
        "limit",
    ]
    .map(str::to_owned)
    .into()
}

fn row(number: &Refined, units: Units) -> Vec<String> {
    let show = Show { units };
    let headline = &number.headline;
    let measure = headline.measure;
    let maybe = |value: Option<f64>| {
        value.map_or_else(|| NOTHING.to_owned(), |value| show.measure(measure, value))
    };
    let [mesh_order, mesh_band] = trend(number.mesh, measure, show);
    let [increment_order, increment_band] = trend(number.increments, measure, show);
    let mark = if number.is_trusted() { "" } else { MARK };
    let band = number.band().map_or_else(
        || NOTHING.to_owned(),
        |band| format!("{}{mark}", show.measure(measure, band)),
    );
    vec![
        place_words(headline),
        maybe(headline.value),
        show.unit(measure).to_owned(),
        mesh_order,
        mesh_band,
        increment_order,
        increment_band,
        band,
        maybe(number.limit()),
    ]
}

fn trend(trend: Option<Trend>, measure: Measure, show: Show) -> [String; 2] {
    let none = || NOTHING.to_owned();
    let Some(estimate) = trend.and_then(|trend| trend.estimate) else { return [none(), none()] };
    let mark = if estimate.approach.is_trusted() { "" } else { MARK };
    [
        estimate.order.map_or_else(none, |order| fixed(order, 1)),
        format!("{}{mark}", show.measure(measure, estimate.band)),
    ]
}
