//! `life.csv`: one row a crack length of every curve.

use crate::report::escape::cell;
use crate::report::life::rows::{origin_name, state_name};
use crate::report::number;
use crate::study::lives::LifeReport;
use crate::units::quantity::Quantity;

/// Columns: name, quantity, meaning.
pub(super) const COLUMNS: [(&str, Quantity, &str); 14] = [
    ("hole", Quantity::Name, "name of the hole"),
    ("angle_deg", Quantity::Degrees, "direction of the crack, counter-clockwise from +x"),
    ("origin", Quantity::Name, "where the crack starts: hole or plate edge"),
    ("state", Quantity::Name, "plain or expanded"),
    ("crack_length", Quantity::Length, "from the edge where it starts"),
    ("cycles", Quantity::Fraction, "cycles up to this length"),
    ("growth", Quantity::Growth, "growth of the severest cycle"),
    ("k_remote", Quantity::Intensity, "of the remote load at its highest"),
    ("k_residual", Quantity::Intensity, "of the residual stress"),
    ("k_highest", Quantity::Intensity, "total at the highest load; below zero the crack is closed"),
    ("k_lowest", Quantity::Intensity, "total at the lowest load; below zero the crack is closed"),
    ("k_range", Quantity::Intensity, "range that counts"),
    ("ratio", Quantity::Fraction, "effective stress ratio that counts"),
    ("faces", Quantity::Name, "open, partly closed or closed"),
];

/// The curves of every place, plain and expanded.
#[must_use]
pub fn csv(report: &LifeReport) -> String {
    let names: Vec<&str> = COLUMNS.iter().map(|column| column.0).collect();
    let mut text = format!("{}\n", names.join(","));
    let units = report.units;
    let cycle = report.ground.sequence.severest().cycle;
    for comparison in &report.comparisons {
        for (state, one) in [("plain", &comparison.plain), ("expanded", &comparison.expanded)] {
            for point in &one.life.curve {
                let parts = one.grower.table().at(point.length);
                let tip = parts.cycle(&cycle, report.ground.contact);
                let rate = one
                    .life
                    .rates
                    .iter()
                    .find(|rate| (rate.length - point.length).abs() <= 1e-12 * point.length);
                let k = |value: f64| number::text(Quantity::Intensity.at_border(value, units));
                let cells = [
                    cell(&comparison.place.hole).into_owned(),
                    number::text(comparison.place.angle_deg),
                    origin_name(comparison.place.origin).to_owned(),
                    state.to_owned(),
                    number::text(Quantity::Length.at_border(point.length, units)),
                    number::text(point.cycles),
                    rate.map_or_else(String::new, |rate| {
                        number::text(Quantity::Growth.at_border(rate.rate, units))
                    }),
                    k(parts.per_stress() * cycle.maximum()),
                    k(parts.residual),
                    k(tip.maximum),
                    k(tip.minimum),
                    k(tip.range.0),
                    number::text(tip.ratio.0),
                    state_name(tip.state).to_owned(),
                ];
                text.push_str(&cells.join(","));
                text.push('\n');
            }
        }
    }
    text
}
