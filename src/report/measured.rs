//! Measured points beside the computed stresses: in words, as a table, as a file.

use crate::report::page::html::table;
use crate::report::show::{NOTHING, Show, angle};
use crate::report::{escape, number};
use crate::result::measured::Agreement;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// How a measurement agrees with the last residual state, one sentence without a line feed.
#[must_use]
pub fn words(agreement: &Agreement, units: Units) -> String {
    let show = Show { units };
    let unit = units.stress_name();
    let (Some(mean), Some(root)) = (agreement.mean(), agreement.root_mean_square()) else {
        return format!("{}: no point lies on a computed path", agreement.label);
    };
    let mut text = format!(
        "{}: measured less computed, {} of {} points: mean {} {unit}, root mean square {} {unit}",
        agreement.label,
        agreement.differences().count(),
        agreement.points.len(),
        show.stress(mean),
        show.stress(root),
    );
    let [inside, all] = agreement.within_bars();
    if all > 0 {
        text.push_str(&format!("; {inside} of {all} error bars hold the computed stress"));
    }
    text
}

/// Head and rows, a row a point; cells as text.
#[must_use]
pub fn rows(agreement: &Agreement, units: Units) -> Vec<Vec<String>> {
    let show = Show { units };
    let (mm, mpa) = (units.length_name(), units.stress_name());
    let mut rows = vec![vec![
        "path".to_owned(),
        format!("distance {mm}"),
        format!("measured {mpa}"),
        format!("± {mpa}"),
        format!("computed {mpa}"),
        format!("difference {mpa}"),
    ]];
    let maybe = |value: Option<f64>| value.map_or(NOTHING.to_owned(), |value| show.stress(value));
    for compared in &agreement.points {
        let point = &compared.point;
        let direction = point.angle_deg.map_or("all".to_owned(), angle);
        rows.push(vec![
            format!("{} {direction}", compared.hole),
            show.length(point.distance),
            show.stress(point.stress),
            maybe(point.plus_minus),
            maybe(compared.computed),
            maybe(compared.computed.map(|computed| point.stress - computed)),
        ]);
    }
    rows
}

/// Every measurement in words and as a table, for a page.
#[must_use]
pub fn html(agreements: &[Agreement], units: Units) -> String {
    let one = |agreement: &Agreement| {
        format!(
            "<p>{}</p>\n{}",
            escape::markup(&words(agreement, units)),
            table(&format!("Measured: {}", agreement.label), &rows(agreement, units))
        )
    };
    agreements.iter().map(one).collect()
}

/// `measured.csv`: every point of every measurement.
#[must_use]
pub fn csv(agreements: &[Agreement], units: Units) -> String {
    let length = |mm: f64| number::text(Quantity::Length.at_border(mm, units));
    let stress = |mpa: f64| number::text(Quantity::Stress.at_border(mpa, units));
    let maybe = |value: Option<f64>| value.map_or_else(String::new, stress);
    let mut text = String::from(
        "measurement,component,hole,angle_deg,distance,measured,plus_minus,computed,difference\n",
    );
    for agreement in agreements {
        for compared in &agreement.points {
            let point = &compared.point;
            let cells = [
                escape::cell(&agreement.label).into_owned(),
                agreement.component.name().to_owned(),
                escape::cell(&compared.hole).into_owned(),
                point.angle_deg.map_or_else(String::new, number::text),
                length(point.distance),
                stress(point.stress),
                maybe(point.plus_minus),
                maybe(compared.computed),
                maybe(compared.computed.map(|computed| point.stress - computed)),
            ];
            text.push_str(&cells.join(","));
            text.push('\n');
        }
    }
    text
}
