//! The hardening curve as a table of test points.
//!
//! `points_are = "true stress"`: pairs of plastic strain and true stress, taken as they are.
//! `points_are = "engineering stress"`: pairs of total engineering strain e and engineering stress s
//! of a tensile test, converted by
//!
//! ```text
//! σ = s (1 + e),   ε = ln(1 + e),   p = ε − σ/E
//! ```
//!
//! (volume kept, uniform elongation: any text on plasticity; valid up to the largest
//! load, where necking begins).

use crate::case::border::{Border, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::material::hardening::{Isotropic, PastEnd};

/// Largest distance of the first point of a tensile test from the elastic line, in strain.
/// Extensometers are good to about this; a point further off has yielded already.
const OFF_THE_ELASTIC_LINE: f64 = 2e-4;

/// Reads the table; returns it and the stress it begins at, MPa.
pub(super) fn read_table(
    table: &Table<'_>,
    youngs_modulus: f64,
    border: Border,
) -> Result<(Isotropic, f64), Complaint> {
    table.only(&["law", "points", "points_are", "past_end"])?;
    let example = "write `points = [[0, 350], [0.01, 380], [0.05, 420]]`";
    let written =
        table.pairs("points", example)?.ok_or_else(|| table.missing("points", example))?;
    let remedy = "say what the points are: `points_are = \"true stress\"` (plastic strain, true stress) or \
                  `points_are = \"engineering stress\"` (total strain, engineering stress)";
    let points_are =
        table.text("points_are")?.ok_or_else(|| table.missing("points_are", remedy))?;
    let past_end = match table.text("past_end")? {
        None => PastEnd::default(),
        Some(word) => match word.value {
            "flat" => PastEnd::Flat,
            "warn" => PastEnd::Warn,
            _ => return Err(unknown_word(table, &word, "way to go on", &["flat", "warn"])),
        },
    };
    let in_mpa = written
        .iter()
        .map(|point| Valued {
            value: [point.value[0], border.stress(point.value[1])],
            key: point.key,
            span: point.span.clone(),
        })
        .collect();
    let points = match points_are.value {
        "true stress" => in_mpa,
        "engineering stress" => from_engineering(table, in_mpa, youngs_modulus, border)?,
        _ => {
            return Err(unknown_word(
                table,
                &points_are,
                "kind of curve",
                &["true stress", "engineering stress"],
            ));
        }
    };
    check(table, &points, border)?;
    let points: Vec<[f64; 2]> = points.into_iter().map(|point| point.value).collect();
    let start = points[0][1];
    Ok((Isotropic::Table { points, past_end }, start))
}

/// Points of `(p, true stress)` from points of `(e, s)`. Points on the elastic line merge into
/// the last of them, which becomes the elastic limit at p = 0.
fn from_engineering(
    table: &Table<'_>,
    written: Vec<Valued<[f64; 2]>>,
    youngs_modulus: f64,
    border: Border,
) -> Result<Vec<Valued<[f64; 2]>>, Complaint> {
    let mut points: Vec<Valued<[f64; 2]>> = vec![];
    for Valued { value: [e, s], key, span } in written {
        if e <= -1.0 {
            let problem = format!("a strain of {e} would leave no length");
            let remedy = "strains are fractions: 0.01 for 1 %";
            return Err(table.source.complain(&span, key, Kind::OutOfRange, problem, remedy));
        }
        let stress = s * (1.0 + e);
        let p = e.ln_1p() - stress / youngs_modulus;
        if p < -OFF_THE_ELASTIC_LINE {
            let problem = format!(
                "at {} the metal would be stiffer than its Young's modulus allows",
                border.show_stress(s)
            );
            let remedy = "the strain is the total one, elastic part included; check \
                          `youngs_modulus` too";
            return Err(table.source.complain(&span, key, Kind::Conflict, problem, remedy));
        }
        let elastic = p <= OFF_THE_ELASTIC_LINE;
        if elastic && points.len() == 1 && points[0].value[1] <= stress {
            points.clear();
        }
        let p = if points.is_empty() && elastic { 0.0 } else { p };
        points.push(Valued { value: [p, stress], key, span });
    }
    Ok(points)
}

fn check(table: &Table<'_>, points: &[Valued<[f64; 2]>], border: Border) -> Result<(), Complaint> {
    let complain = |at: &Valued<[f64; 2]>, problem: String, remedy: &str| {
        Err(table.source.complain(&at.span, at.key, Kind::OutOfRange, problem, remedy))
    };
    let Some(first) = points.first() else {
        let remedy = "give two points at least; the first is the elastic limit, at p = 0";
        return Err(table.stray("points", "the table has no points", remedy));
    };
    if first.value[0] != 0.0 {
        let problem =
            format!("the table begins at a plastic strain of {:.2e}, not 0", first.value[0]);
        return complain(first, problem, "begin with the elastic limit, where yielding starts");
    }
    if first.value[1] <= 0.0 {
        let problem = format!("the table begins at {}", border.show_stress(first.value[1]));
        return complain(first, problem, "begin with the elastic limit, a stress above zero");
    }
    for pair in points.windows(2) {
        let ([p0, low], [p1, high]) = (pair[0].value, pair[1].value);
        if p1 <= p0 {
            let problem = format!("the plastic strain falls from {p0:.4e} to {p1:.4e}");
            return complain(&pair[1], problem, "order the points by strain, each one once");
        }
        if high < low {
            let problem = format!(
                "the true stress falls from {} to {}",
                border.show_stress(low),
                border.show_stress(high)
            );
            let remedy = "a hardening curve never falls: end it at the largest load, before the \
                          bar necks";
            return complain(&pair[1], problem, remedy);
        }
    }
    Ok(())
}
