//! `study.html`: a study on one page that needs nothing else, with its data inside.
//!
//! The page fetches nothing. Its script draws one chart over the data and sorts and filters the table;
//! without scripts the figures and the text are still there.

use serde_json::{Value, json};

use crate::case::study::Design;
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::escape::markup;
use crate::report::page::STYLE;
use crate::report::page::figure::Figure;
use crate::report::page::html::{details, document, list, section, table};
use crate::report::show::NOTHING;
use crate::report::study::columns::{Cell, columns, meaning};
use crate::report::study::journal::JournalError;
use crate::report::study::table::Table;
use crate::study::sweep::sensitivity::Effect;

/// Rows inside the page, at most: some megabytes, which a browser still sorts at once.
pub(crate) const MOST_ROWS: usize = 10_000;

const OWN_STYLE: &str = include_str!("page/style.css");
const SCRIPT: &str = include_str!("page/explorer.js");

/// Formulas of the sensitivities and where they come from.
const METHOD: [&str; 3] = [
    "Rank correlation: Spearman (1904), equal values share their mean rank. It sees neither a maximum inside an axis nor an axis of words.",
    "Main effect V(E(y|x))/V(y) and total effect E(V(y|all others))/V(y): Homma and Saltelli (1996). On a grid without gaps they are exact sums over its cases, each value of an axis with equal weight, and they hold for the values chosen. Total minus main is interaction.",
    "Of a Latin hypercube the main effect is estimated from groups of neighbours, corrected for bias after Kelley (1935); a total effect needs cases that differ in one axis alone, and is not given.",
];

/// Text of the page beside the table.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// Cases done, failed, skipped, not finished.
    pub counts: [usize; 4],
    /// Charts.
    pub figures: &'a [Figure],
    /// Charts that had nothing to show.
    pub left_out: &'a [String],
    /// Effects of all axes on all numbers, with their charts.
    pub effects: &'a [Vec<Effect>],
    /// Charts of effects.
    pub effect_figures: &'a [Figure],
}

/// The page.
///
/// # Errors
///
/// [`JournalError`] when the journal cannot be read.
pub fn page(rows: &mut Table<'_>, page: &Page<'_>) -> Result<String, JournalError> {
    let study = rows.study;
    let data = data(rows)?;
    let question = if study.question.is_empty() {
        String::new()
    } else {
        format!("<p class=\"headline\">{}</p>\n", markup(&study.question))
    };
    let [done, failed, skipped, open] = page.counts;
    let pictures: String = page.figures.iter().map(Figure::html).collect();
    let left_out = if page.left_out.is_empty() {
        String::new()
    } else {
        format!("<p>Without a case to show, and left out:</p>\n{}", list(page.left_out))
    };
    let shown = data["rows"].as_array().map_or(0, Vec::len);
    let note = if shown < done + failed + skipped {
        format!(
            "<p>The first {shown} cases; <code>table.csv</code> and <code>table.parquet</code> hold all.</p>\n"
        )
    } else {
        String::new()
    };
    let effects: String = page.effect_figures.iter().map(Figure::html).collect();
    let body = [
        format!("<header>\n<h1>{}</h1>\n", markup(&study.title)),
        format!(
            "<p class=\"subtitle\">Study · {} cases: {done} done, {failed} failed, {skipped} skipped{} · units {}</p>\n</header>\n",
            rows.points.len(),
            if open > 0 { format!(", {open} not finished") } else { String::new() },
            study.base.units.name(),
        ),
        question,
        section("Axes", &axes(rows)),
        section("Charts", &format!("{pictures}{left_out}")),
        section("Explore", "<div id=\"explorer\"><noscript>This chart needs scripts.</noscript></div>\n"),
        section("Sensitivities", &format!("{}{effects}{}", sensitivities(rows, page), list(&METHOD))),
        section("Table", &format!("{note}<div id=\"cases\"><noscript>The table needs scripts; it stands in <code>table.csv</code>.</noscript></div>\n")),
        section("Numbers", &numbers(rows)),
        section("What the model leaves out", &list(&LIMITS)),
        section("Cautions", &list(&CAUTIONS)),
        section("Provenance", &provenance(rows)),
        format!(
            "<script type=\"application/json\" id=\"data\">{}</script>\n<script>\n{SCRIPT}</script>\n",
            // No text of the data may end the element that holds it.
            serde_json::to_string(&data).unwrap_or_default().replace("</", "<\\/"),
        ),
    ]
    .concat();
    Ok(document(&study.title, &[STYLE, OWN_STYLE], &body))
}

fn axes(rows: &Table<'_>) -> String {
    let study = rows.study;
    let mut cells = vec![["axis", "sets", "values"].map(str::to_owned).to_vec()];
    for axis in &study.axes {
        let values: Vec<String> = axis.levels.iter().map(crate::case::study::Level::text).collect();
        let between = match (study.design, axis.range) {
            (Design::LatinHypercube { .. }, Some(_)) => values.join(" to "),
            _ => values.join(", "),
        };
        let sets = axis.target.as_ref().map_or_else(|| NOTHING.to_owned(), |t| t.text().to_owned());
        cells.push(vec![axis.title(), sets, between]);
    }
    for value in &study.values {
        cells.push(vec![
            value.label.clone(),
            NOTHING.to_owned(),
            value.expression.text().to_owned(),
        ]);
    }
    for tie in &study.ties {
        cells.push(vec![NOTHING.to_owned(), tie.key.text().to_owned(), tie.to.text().to_owned()]);
    }
    let design = match study.design {
        Design::Grid => "Every combination of the values".to_owned(),
        Design::LatinHypercube { count, seed } => {
            format!("A Latin hypercube of {count} cases, seed {seed}")
        }
    };
    let skips: Vec<&str> = study.skips.iter().map(crate::case::study::Expression::text).collect();
    let left = if skips.is_empty() {
        String::new()
    } else {
        format!(" without those where {}", skips.join(" or "))
    };
    format!("<p>{}{}.</p>\n{}", markup(&design), markup(&left), table(&cells))
}

/// One of the three effects.
type Pick = fn(&Effect) -> Option<f64>;

fn sensitivities(rows: &Table<'_>, page: &Page<'_>) -> String {
    let mut head = vec!["number".to_owned(), "effect".to_owned()];
    head.extend(rows.study.axes.iter().map(|axis| axis.label.clone()));
    let mut cells = vec![head];
    let shown =
        |value: Option<f64>| value.map_or_else(|| NOTHING.to_owned(), |v| format!("{v:.2}"));
    for (number, effects) in rows.numbers.iter().zip(page.effects) {
        let kinds: [(&str, Pick); 3] = [
            ("rank correlation", |effect| effect.rank),
            ("main effect", |effect| effect.main),
            ("total effect", |effect| effect.total),
        ];
        for (k, (name, value)) in kinds.into_iter().enumerate() {
            if effects.iter().all(|effect| value(effect).is_none()) {
                continue;
            }
            let label = if k == 0 { number.label.clone() } else { String::new() };
            let mut row = vec![label, name.to_owned()];
            row.extend(effects.iter().map(|effect| shown(value(effect))));
            cells.push(row);
        }
    }
    table(&cells)
}

fn numbers(rows: &Table<'_>) -> String {
    let mut cells = vec![["column", "unit", "meaning"].map(str::to_owned).to_vec()];
    for number in rows.numbers {
        let unit = if number.unit.is_empty() { NOTHING.to_owned() } else { number.unit.clone() };
        cells.push(vec![number.name.clone(), unit, meaning(rows.study, number)]);
    }
    table(&cells)
}

fn provenance(rows: &Table<'_>) -> String {
    let study = rows.study;
    format!(
        "<p>{} {} · study SHA-256 <code class=\"long\">{}</code> · base case <code>{}</code> SHA-256 \
         <code class=\"long\">{}</code></p>\n{}{}",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
        study.sha256,
        markup(&file_name(&study.base.file)),
        study.base.sha256,
        details("Study file", &format!("<pre>{}</pre>\n", markup(&study.text))),
        details("Base case", &format!("<pre>{}</pre>\n", markup(&study.base.text))),
    )
}

fn file_name(path: &str) -> String {
    let name = std::path::Path::new(path).file_name();
    name.map_or_else(|| path.to_owned(), |name| name.to_string_lossy().into_owned())
}

/// The data inside the page.
fn data(rows: &mut Table<'_>) -> Result<Value, JournalError> {
    let described: Vec<Value> = columns(rows.study, rows.numbers)
        .into_iter()
        .map(|column| json!({ "name": column.name, "unit": column.unit, "meaning": column.meaning, "kind": column.kind }))
        .collect();
    let mut all = Vec::new();
    for index in 0..rows.points.len() {
        if all.len() == MOST_ROWS {
            break;
        }
        let Some(row) = rows.row(index)? else { continue };
        let cells: Vec<Value> = row
            .cells
            .iter()
            .map(|cell| match cell {
                Cell::Count(count) => json!(count),
                Cell::Text(text) => json!(text),
                Cell::Number(number) => json!(number.map(crate::report::number::rounded)),
            })
            .collect();
        all.push(Value::Array(cells));
    }
    let axes: Vec<&str> = rows.study.axes.iter().map(|axis| axis.name.as_str()).collect();
    let numbers: Vec<&str> = rows.numbers.iter().map(|number| number.name.as_str()).collect();
    Ok(json!({ "axes": axes, "numbers": numbers, "columns": described, "rows": all }))
}
