//! All numbers of the book as JSON.

use serde::Serialize;

use crate::report::json::{SCHEMA_VERSION, pretty};
use crate::report::number::rounded;
use crate::verify::Judged;
use crate::verify::bench::Effort;
use crate::verify::expected::Label;

#[derive(Serialize)]
struct Numbers<'a> {
    schema_version: u32,
    program: Program,
    complete: bool,
    kind: &'static str,
    quick: bool,
    agrees: bool,
    cases: Vec<CaseNumbers<'a>>,
}

#[derive(Serialize)]
struct Program {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct CaseNumbers<'a> {
    name: &'a str,
    title: &'a str,
    agrees: bool,
    trouble: Option<&'a str>,
    quantities: Vec<QuantityNumbers<'a>>,
    convergence: Vec<SeriesNumbers<'a>>,
}

#[derive(Serialize)]
struct QuantityNumbers<'a> {
    key: &'a str,
    what: &'a str,
    unit: &'a str,
    expected: Option<f64>,
    at_least: Option<f64>,
    at_most: Option<f64>,
    computed: Option<f64>,
    error: Option<f64>,
    tolerance: Option<f64>,
    error_of: f64,
    verdict: &'static str,
    source: &'a str,
    label: Option<Label>,
    why: &'a str,
}

#[derive(Serialize)]
struct SeriesNumbers<'a> {
    name: &'a str,
    levels_are: &'static str,
    levels: &'a [f64],
    errors: Vec<f64>,
    observed_orders: Vec<f64>,
}

/// `summary.json` of the book, ended by a line feed.
pub(super) fn numbers(judged: &[Judged], effort: Effort) -> Result<String, serde_json::Error> {
    pretty(&Numbers {
        schema_version: SCHEMA_VERSION,
        program: Program { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") },
        complete: true,
        kind: "verification book",
        quick: effort == Effort::Quick,
        agrees: judged.iter().all(Judged::agrees),
        cases: judged.iter().map(case_numbers).collect(),
    })
}

fn case_numbers(case: &Judged) -> CaseNumbers<'_> {
    let quantities = case.rows.iter().map(|row| {
        let expected = &row.expected;
        let source = case.expected.source.get(&expected.source);
        QuantityNumbers {
            key: &expected.key,
            what: &expected.what,
            unit: &expected.unit,
            expected: expected.value,
            at_least: expected.at_least,
            at_most: expected.at_most,
            computed: row.computed.map(rounded),
            error: row.error.map(rounded),
            tolerance: expected.tolerance,
            error_of: expected.scale(),
            verdict: row.verdict.word(),
            source: source.map_or("", |source| source.text.trim()),
            label: source.map(|source| source.label),
            why: expected.why.trim(),
        }
    });
    let convergence = case.findings.series.iter().map(|series| SeriesNumbers {
        name: &series.name,
        levels_are: series.levels_are,
        levels: &series.levels,
        errors: series.errors.iter().copied().map(rounded).collect(),
        observed_orders: series.orders().into_iter().map(rounded).collect(),
    });
    CaseNumbers {
        name: case.name,
        title: &case.expected.title,
        agrees: case.agrees(),
        trouble: case.trouble.as_deref(),
        quantities: quantities.collect(),
        convergence: convergence.collect(),
    }
}
