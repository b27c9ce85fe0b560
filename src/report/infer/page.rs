//! `infer.html`.

use crate::case::Case;
use crate::case::keys::{CASE_FILE, section_file};
use crate::report::band::{Band, edge_words};
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::infer::rows::{further_points, numbers, rows, singles};
use crate::report::infer::words::sentences;
use crate::report::inputs::echo;
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::{gauge, measured};
use crate::study::infer::Inferred;

/// `infer.html`.
#[must_use]
pub fn page(case: &Case, found: &Inferred, figures: &[Figure], record: &Record) -> String {
    let units = case.units;
    let gauges = if found.gauges.is_empty() {
        String::new()
    } else {
        table("Strain gauges", &gauge::rows(&found.gauges))
    };
    let singles = if found.singles.is_empty() {
        String::new()
    } else {
        table("Readings of drawn holes", &singles(found, units))
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
        band: Some(band(case)),
        parts: vec![
            ("Figures", figures.iter().map(Figure::html).collect()),
            (
                "A further point on each line",
                table("Further points", &further_points(found, units)),
            ),
            ("Measured and computed", measured::html(&found.agreements, units)),
            ("Strain gauges", gauges),
            ("Readings of drawn holes", singles),
        ],
        assumptions: LIMITS.map(str::to_owned).to_vec(),
        cautions: CAUTIONS.to_vec(),
        echo: if case.readings.alone {
            echo("Section file", &case.text, &section_file(), units)
        } else {
            echo("Case file", &case.text, &CASE_FILE, units)
        },
        footer: "numbers stand in infer.json".to_owned(),
        ..Shell::default()
    }
    .html()
}

/// The choices that the answer takes for granted.
fn band(case: &Case) -> Band {
    let mesh = if case.readings.alone {
        "one mesh of the section; docs/section.md has its errors".to_owned()
    } else {
        edge_words(&case.job.numerics, case.job.material.yield_stress, case.units)
    };
    Band {
        mesh,
        hardening:
            "one law, that of the case; constants of it that are unknown are in the intervals"
                .to_owned(),
        idealisation: format!(
            "one, {}: another idealisation of the case asks for other values",
            case.job.idealisation.name()
        ),
    }
}
