//! Strain gauges beside their computed readings: rows for a page and a terminal, and a table.

use crate::report::escape::cell;
use crate::report::number::text;
use crate::report::show::NOTHING;
use crate::result::gauge::GaugeReading;

/// A strain in microstrain.
fn micro(strain: f64) -> String {
    format!("{:.0}", 1e6 * strain)
}

/// Head and rows, in microstrain.
#[must_use]
pub fn rows(readings: &[GaugeReading]) -> Vec<Vec<String>> {
    let head = ["gauge", "read at", "reading µε", "± µε", "computed µε", "difference µε"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for reading in readings {
        let gauge = &reading.gauge;
        let maybe = |value: Option<f64>| value.map_or(NOTHING.to_owned(), micro);
        rows.push(vec![
            gauge.label.clone(),
            gauge.read_at.clone(),
            micro(gauge.strain),
            micro(gauge.plus_minus),
            maybe(reading.computed),
            maybe(reading.computed.map(|computed| gauge.strain - computed)),
        ]);
    }
    rows
}

/// `gauges.csv`: every reading, as strains.
#[must_use]
pub fn csv(readings: &[GaugeReading]) -> String {
    let mut lines = String::from("gauge,read_at,strain,plus_minus,computed,difference\n");
    for reading in readings {
        let gauge = &reading.gauge;
        let maybe = |value: Option<f64>| value.map_or_else(String::new, text);
        let cells = [
            cell(&gauge.label).into_owned(),
            cell(&gauge.read_at).into_owned(),
            text(gauge.strain),
            text(gauge.plus_minus),
            maybe(reading.computed),
            maybe(reading.computed.map(|computed| gauge.strain - computed)),
        ];
        lines.push_str(&cells.join(","));
        lines.push('\n');
    }
    lines
}
