//! `metal.html`: constants, what the tests do not tell, figures.

use crate::case::metal_tests::MetalTests;
use crate::fit::groups::Answer;
use crate::report::escape::markup;
use crate::report::metal::words::{digits, rows, sentences};
use crate::report::page::STYLE;
use crate::report::page::figure::Figure;
use crate::report::page::html::{document, list, section, table};
use crate::units::quantity::Quantity;

/// The page; `materials` are names and texts of `[material]` tables.
#[must_use]
pub fn page(
    tests: &MetalTests,
    answer: &Answer,
    materials: &[(String, String)],
    figures: &[Figure],
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
        .map(|(name, text)| format!("<h3>{}</h3>\n<pre>{}</pre>\n", markup(name), markup(text)))
        .collect();
    let body = [
        format!("<h1>{}</h1>\n", markup(&tests.title)),
        section(
            "Constants",
            &(table(&rows(fitted, tests.units)) + &list(&sentences(tests, answer))),
        ),
        section("Tests", &table(&of_tests)),
        figures.iter().map(Figure::html).collect::<String>(),
        section("Correlation", &table(&correlations)),
        section("For a case file", &materials),
    ]
    .concat();
    document(&tests.title, &[STYLE], &body)
}
