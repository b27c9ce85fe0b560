//! The numbers of a study that names none: the headline numbers of the last state.

use crate::case::study::{Measured, Number, Reading, Study, Towards, When};
use crate::units::quantity::Quantity;

/// Measures along a path.
const ALONG: [&str; 6] = [
    "edge_hoop",
    "peak_compression",
    "compression_depth",
    "peak_tension",
    "plastic_extent",
    "reverse_yield_extent",
];

/// Measures of a hole: the state that each is read from, and its name.
const OF_A_HOLE: [(bool, &str); 7] = [
    (false, "retained_expansion"),
    (false, "smallest_diameter"),
    (false, "largest_diameter"),
    (true, "mean_pressure"),
    (true, "peak_pressure"),
    (true, "mandrel_shift"),
    (false, "bulge"),
];

/// The numbers that every case of `study` is asked for: those of the file, else the headline numbers of
/// its last residual state towards the nearest edge and away from it, with the pressures at full size.
#[must_use]
pub fn numbers(study: &Study) -> Vec<Number> {
    if !study.numbers.is_empty() {
        return study.numbers.clone();
    }
    let mut numbers = Vec::new();
    for (hole, name) in study.base.holes.iter().enumerate() {
        let prefix = if study.base.holes.len() > 1 { format!("{name}_") } else { String::new() };
        let mut put = |ending: &str, words: &str, measured: Measured| {
            let quantity = measured.quantity();
            let unit = match quantity {
                Quantity::Fraction => "",
                quantity => quantity.unit(study.base.units),
            };
            let label = measured.measure.replace('_', " ");
            let of_hole = if prefix.is_empty() { String::new() } else { format!(", hole {name}") };
            numbers.push(Number {
                name: format!("{prefix}{}{ending}", measured.measure),
                label: format!("{label}{words}{of_hole}"),
                unit: unit.to_owned(),
                reading: Reading::Measured(Box::new(measured)),
            });
        };
        let plain = Measured {
            measure: "edge_hoop",
            when: When::LastResidual,
            hole,
            towards: Towards::Edge,
            edge: None,
            distance: 0.0,
            level: 0.0,
        };
        for (towards, ending, words) in [
            (Towards::Edge, "", " towards the edge"),
            (Towards::Inside, "_inside", " away from the edge"),
        ] {
            for measure in ALONG {
                put(ending, words, Measured { measure, towards: towards.clone(), ..plain.clone() });
            }
        }
        for (full, measure) in OF_A_HOLE {
            let when = if full { When::LastFull } else { When::LastResidual };
            put("", "", Measured { measure, when, ..plain.clone() });
        }
    }
    numbers
}
