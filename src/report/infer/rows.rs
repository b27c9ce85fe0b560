//! Tables of an inference: unknowns, numbers, readings, further points.

use crate::report::metal;
use crate::report::show::NOTHING;
use crate::study::infer::{DrawAgreement, Inferred};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Further measurements that are shown.
const SHOWN: usize = 4;

pub(super) fn at_border(is_stress: bool, value: f64, units: Units) -> f64 {
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
        let kind = number.quantity;
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

/// Unit of a single reading of a drawn hole.
pub(super) fn quantity(single: &DrawAgreement) -> Quantity {
    if single.reading.kind.is_force() { Quantity::Force } else { Quantity::Length }
}

/// Head and rows of the single readings of drawn holes.
#[must_use]
pub fn singles(found: &Inferred, units: Units) -> Vec<Vec<String>> {
    let head = ["reading", "hole", "read at", "of", "unit", "read", "±", "computed", "difference"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for single in &found.singles {
        let (reading, kind) = (&single.reading, quantity(single));
        let show = |value: f64| metal::digits(kind.at_border(value, units));
        let maybe = |value: Option<f64>| value.map_or(NOTHING.to_owned(), show);
        rows.push(vec![
            reading.label.clone(),
            reading.hole.clone(),
            reading.read_at.clone(),
            reading.kind.name().replace('_', " "),
            kind.unit(units).to_owned(),
            show(reading.value),
            show(reading.plus_minus),
            maybe(single.computed),
            maybe(single.computed.map(|computed| reading.value - computed)),
        ]);
    }
    rows
}

/// Head and rows of the further points, the most useful first.
pub(super) fn further_points(found: &Inferred, units: Units) -> Vec<Vec<String>> {
    let mut places = vec![vec![
        "line".to_owned(),
        format!("distance {}", units.length_name()),
        format!("error {}", units.stress_name()),
        "variance left %".to_owned(),
        "of the life %".to_owned(),
    ]];
    for further in found.further.iter().take(SHOWN).chain(&found.further_for_life) {
        places.push(vec![
            format!("{} {}", further.hole, further.way.words()),
            format!("{:.3}", Quantity::Length.at_border(further.distance, units)),
            format!("{:.1}", Quantity::Stress.at_border(further.error, units)),
            format!("{:.0}", 100.0 * further.left),
            further
                .life_left
                .map_or_else(|| NOTHING.to_owned(), |left| format!("{:.0}", 100.0 * left)),
        ]);
    }
    places
}
