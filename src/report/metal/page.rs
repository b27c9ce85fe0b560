//! `metal.html`: constants, what the tests do not tell, figures.

use crate::case::keys::METAL_FILE;
use crate::case::metal_tests::MetalTests;
use crate::fit::groups::Answer;
use crate::report::band::Band;
use crate::report::cautions::CAUTIONS;
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::metal::words::{digits, rows, sentences};
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table, verbatim};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::units::quantity::Quantity;

/// The page; `materials` are names and texts of `[material]` tables.
#[must_use]
pub fn page(
    tests: &MetalTests,
    answer: &Answer,
    materials: &[(String, String)],
    figures: &[Figure],
    record: &Record,
) -> String {
    let fitted = &answer.all;
    let unit = tests.units.stress_name();
    let mut of_tests = vec![
        ["test", "points", "largest strain %", &format!("root mean square {unit}")]
            .map(str::to_owned)
            .to_vec(),
    ];
    for (record, root) in tests.records.iter().zip(&fitted.root_mean_squares) {
        of_tests.push(vec![
            record.label.clone(),
            record.strains.len().to_string(),
            format!("{:.2}", 100.0 * record.amplitude()),
            digits(Quantity::Stress.at_border(*root, tests.units)),
        ]);
    }
    let names: Vec<String> = fitted.values.iter().map(|v| v.unknown.constant.name()).collect();
    let mut correlations =
        vec![std::iter::once(String::new()).chain(names.clone()).collect::<Vec<_>>()];
    for (row, name) in names.iter().enumerate() {
        let cells =
            (0..names.len()).map(|k| format!("{:.2}", fitted.certainty.correlation(row, k)));
        correlations.push(std::iter::once(name.clone()).chain(cells).collect());
    }
    let materials: String = materials
        .iter()
        .map(|(name, text)| format!("<h3>{}</h3>\n{}", markup(name), verbatim(name, text)))
        .collect();
    let constants = table("Constants", &rows(fitted, tests.units));
    Shell {
        kind: "Constants of a metal from tests of a bar",
        title: &tests.title,
        subtitle: format!("units {}", tests.units.name()),
        record: record.clone(),
        inputs: vec![("File of tests".to_owned(), tests.sha256.clone())],
        asked: vec!["The constants of the metal, and how well the tests tell them.".to_owned()],
        answer: format!("{constants}{}", list(&sentences(tests, answer))),
        band: Some(Band {
            mesh: "does not apply: a bar under one stress is a point of the metal".to_owned(),
            hardening: "is the answer: the intervals of the constants, and how far the law is off the tests".to_owned(),
            idealisation: "does not apply: the stresses across the bar are zero".to_owned(),
        }),
        parts: vec![
            ("Tests", table("Tests", &of_tests)),
            ("Figures", figures.iter().map(Figure::html).collect()),
            ("Correlation", table("Correlation", &correlations)),
            ("For a case file", materials),
        ],
        assumptions: vec![
            "One metal, the same in every test; no rate, no creep, no heat; errors of the stresses are independent."
                .to_owned(),
        ],
        cautions: CAUTIONS[CAUTIONS.len() - 1..].to_vec(),
        echo: echo("File of tests", &tests.text, &METAL_FILE, tests.units),
        footer: "numbers stand in metal.json".to_owned(),
        ..Shell::default()
    }
    .html()
}
