//! Measured points over two results: where they lie, and how far each result is from them.
//!
//! A result that was run with the measurement has its own computed stress at every point, averaged as the method averages. The
//! other is read at the point itself on its path, or as the mean of the paths of the hole where the point names none.

use crate::report::show::{NOTHING, Show};
use crate::report::stored::{Stored, StoredPoint};
use crate::units::Units;

/// Directions that differ by less, degrees, are the same.
const SAME_DIRECTION: f64 = 1e-6;

/// The measurements of both results, each once.
fn all([one, other]: [&Stored; 2]) -> Vec<&StoredPoint> {
    let mut found: Vec<&StoredPoint> = one.measured.iter().collect();
    let known = |label: &str| one.measured.iter().any(|point| point.label == label);
    found.extend(other.measured.iter().filter(|point| !known(&point.label)));
    found
}

/// Measured points of a hole by measurement: its words, and `[mm, MPa]` of each.
#[must_use]
pub fn points<'a>(both: [&'a Stored; 2], hole: &str) -> Vec<(&'a str, Vec<[f64; 2]>)> {
    let mut found: Vec<(&str, Vec<[f64; 2]>)> = Vec::new();
    for point in all(both).into_iter().filter(|point| point.hole == hole) {
        let at = [point.distance, point.stress];
        match found.iter_mut().find(|(label, _)| *label == point.label) {
            Some((_, points)) => points.push(at),
            None => found.push((&point.label, vec![at])),
        }
    }
    found
}

/// Measured less computed, MPa, at a point of either result; `None` beyond the paths of this one.
fn difference(stored: &Stored, point: &StoredPoint) -> Option<f64> {
    let place = |own: &&StoredPoint| {
        own.label == point.label
            && own.hole == point.hole
            && own.angle_deg == point.angle_deg
            && own.distance.to_bits() == point.distance.to_bits()
    };
    if let Some(own) = stored.measured.iter().find(place) {
        return Some(point.stress - own.computed?);
    }
    let fits = |angle: f64| {
        point.angle_deg.is_none_or(|wanted| (wanted - angle).rem_euclid(360.0) < SAME_DIRECTION)
    };
    let paths = &stored.stages.last()?.paths;
    let own = paths.iter().filter(|path| path.hole == point.hole && fits(path.angle_deg));
    let there: Vec<f64> = own.filter_map(|path| path.hoop.at(point.distance)).collect();
    (!there.is_empty()).then(|| point.stress - there.iter().sum::<f64>() / there.len() as f64)
}

/// Head and rows, one a measurement: mean and root mean square of measured less computed in either result; a head alone
/// without measurements.
#[must_use]
pub fn rows(both: [&Stored; 2], units: Units) -> Vec<Vec<String>> {
    let show = Show { units };
    let unit = units.stress_name();
    let mut rows = vec![vec![
        "measured less computed".to_owned(),
        "points".to_owned(),
        format!("mean A {unit}"),
        "B".to_owned(),
        format!("root mean square A {unit}"),
        "B".to_owned(),
    ]];
    let points = all(both);
    let mut labels: Vec<&str> = points.iter().map(|point| point.label.as_str()).collect();
    labels.dedup();
    for label in labels {
        let own: Vec<&&StoredPoint> = points.iter().filter(|point| point.label == label).collect();
        let off = both.map(|stored| -> Vec<f64> {
            own.iter().filter_map(|point| difference(stored, point)).collect()
        });
        let of = |power: i32, all: &Vec<f64>| {
            let sum: f64 = all.iter().map(|value| value.powi(power)).sum();
            let mean = sum / all.len() as f64;
            let value = if power == 2 { mean.sqrt() } else { mean };
            if all.is_empty() { NOTHING.to_owned() } else { show.stress(value) }
        };
        let mut row = vec![label.to_owned(), own.len().to_string()];
        row.extend(off.iter().map(|all| of(1, all)));
        row.extend(off.iter().map(|all| of(2, all)));
        rows.push(row);
    }
    rows
}
