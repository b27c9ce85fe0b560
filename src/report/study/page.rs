//! `study.html`: a study on one page that needs nothing else, with its data inside.
//!
//! The page fetches nothing. Its script draws one chart over the data and sorts and filters the table;
//! without scripts the figures and the text are still there.

use serde_json::{Value, json};

use crate::case::keys::{CASE_FILE, STUDY_FILE};
use crate::case::study::{Axis, Design, Study};
use crate::case::{Case, parse};
use crate::report::band::{Band, edge_words};
use crate::report::cautions::{CAUTIONS, LIMITS};
use crate::report::escape::markup;
use crate::report::inputs::echo;
use crate::report::page::figure::Figure;
use crate::report::page::html::{list, table};
use crate::report::page::shell::Shell;
use crate::report::record::Record;
use crate::report::show::NOTHING;
use crate::report::study::columns::{Cell, columns, meaning};
use crate::report::study::journal::JournalError;
use crate::report::study::table::Table;
use crate::study::sweep::ream_lines::ReamLines;
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
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// Number, revision and date of the report.
    pub record: Record,
    /// The plate of the base case with its dimensions.
    pub drawing: Option<&'a Figure>,
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
    let own = "The numbers below, when the base case is varied along the axes.";
    let question = if study.question.is_empty() { own.to_owned() } else { study.question.clone() };
    Ok(Shell {
        kind: "Study",
        title: &study.title,
        subtitle: format!(
            "{} cases: {done} done, {failed} failed, {skipped} skipped{} · units {}",
            rows.points.len(),
            if open > 0 { format!(", {open} not finished") } else { String::new() },
            study.base.units.name(),
        ),
        record: page.record.clone(),
        inputs: vec![
            ("Study file".to_owned(), study.sha256.clone()),
            (format!("Base case {}", file_name(&study.base.file)), study.base.sha256.clone()),
        ],
        asked: vec![question],
        answer: format!("{}{}", ranges(rows)?, axes(rows)),
        band: Some(band(study)),
        drawing: page.drawing,
        parts: vec![
            ("Charts", format!("{pictures}{left_out}{EXPLORE}")),
            ("Sensitivities", format!("{}{effects}{}", sensitivities(rows, page), list(&METHOD))),
            ("Table", format!("{note}{CASES}")),
            ("Numbers", numbers(rows)),
        ],
        assumptions: LIMITS.map(str::to_owned).into_iter().chain(lines(rows)).collect(),
        cautions: CAUTIONS.to_vec(),
        echo: format!(
            "<h3>Study</h3>\n{}<h3>Base case</h3>\n{}",
            echo("Study file", &study.text, &STUDY_FILE, study.base.units),
            echo("Base case", &study.base.text, &CASE_FILE, study.base.units)
        ),
        footer: "the table stands in table.csv and table.parquet, columns and units in study.json".to_owned(),
        styles: vec![OWN_STYLE],
        end: format!(
            "<script type=\"application/json\" id=\"data\">{}</script>\n<script>\n{SCRIPT}</script>\n",
            // No text of the data may end the element that holds it.
            serde_json::to_string(&data).unwrap_or_default().replace("</", "<\\/"),
        ),
        ..Shell::default()
    }
    .html())
}

/// The mesh of cases that differ in their reams, where it is not that of each alone.
fn lines(rows: &Table<'_>) -> Option<String> {
    let names = ReamLines::new(rows.study, rows.points).names(rows.study);
    (!names.is_empty()).then(|| {
        format!(
            "The mesh of every case has lines for the reams of all values of {}, so that these cases share the stages before. A case run alone has one line: its numbers differ by as much as those of two meshes of this fineness.",
            names.join(", ")
        )
    })
}

/// The band of every case.
fn band(study: &Study) -> Band {
    let base = &study.base;
    // A base case that cannot be read alone has none of its own to say.
    let case = parse(&base.text, &base.file).ok();
    let axis = |table: &str| {
        let names = study
            .axes
            .iter()
            .filter(|axis| axis.target.as_ref().is_some_and(|key| key.text().starts_with(table)));
        let names: Vec<String> = names.map(Axis::title).collect();
        (!names.is_empty()).then(|| names.join(", "))
    };
    let varied =
        |names: String| format!("varied by {names}: the lowest and highest above cover it");
    Band {
        mesh: match axis("numerics.") {
            Some(names) => format!("varied by {names}"),
            None => case.as_ref().map_or_else(
                || "as that of the base case".to_owned(),
                |Case { job, .. }| {
                    edge_words(&job.numerics, job.material.yield_stress, base.units)
                },
            ),
        },
        hardening: axis("material.").map_or_else(
            || {
                "one law, that of the base case: not in the table; a run of a case of the study gives its \
                 bounds"
                    .to_owned()
            },
            varied,
        ),
        idealisation: axis("plate.idealisation").map_or_else(
            || {
                let own = case.as_ref().map_or("that of the base case", |c| c.job.idealisation.name());
                format!("one, {own}: not in the table; an axis of plate.idealisation adds the others")
            },
            varied,
        ),
    }
}

/// Place of the chart that the reader chooses.
const EXPLORE: &str =
    "<div id=\"explorer\" class=\"screen\"><noscript>This chart needs scripts.</noscript></div>\n";
/// Place of the table of all cases.
const CASES: &str = "<p class=\"print\">The table of all cases stands in <code>table.csv</code>.</p>\n\
    <div id=\"cases\" class=\"screen\"><noscript>The table needs scripts; it stands in <code>table.csv</code>.</noscript></div>\n";

/// Lowest and highest value of every number over the cases that were done.
fn ranges(rows: &mut Table<'_>) -> Result<String, JournalError> {
    let count = rows.numbers.len();
    let mut ends: Vec<Option<[f64; 2]>> = vec![None; count];
    for index in 0..rows.points.len() {
        let Some(row) = rows.row(index)? else { continue };
        for (ends, value) in ends.iter_mut().zip(&row.outcome.numbers) {
            let Some(value) = *value else { continue };
            let [low, high] = ends.unwrap_or([value; 2]);
            *ends = Some([low.min(value), high.max(value)]);
        }
    }
    let mut cells = vec![["number", "unit", "lowest", "highest"].map(str::to_owned).to_vec()];
    for (number, ends) in rows.numbers.iter().zip(&ends) {
        let unit = if number.unit.is_empty() { NOTHING } else { &number.unit };
        let shown = |value: f64| crate::report::number::text(rounded_to(value));
        let [low, high] =
            ends.map_or([NOTHING.to_owned(), NOTHING.to_owned()], |ends| ends.map(shown));
        cells.push(vec![number.label.clone(), unit.to_owned(), low, high]);
    }
    Ok(table("Lowest and highest of every number", &cells))
}

/// `value` to five digits, for people.
fn rounded_to(value: f64) -> f64 {
    format!("{value:.4e}").parse().unwrap_or(value)
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
    format!("<p>{}{}.</p>\n{}", markup(&design), markup(&left), table("Axes", &cells))
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
    table("Sensitivities", &cells)
}

fn numbers(rows: &Table<'_>) -> String {
    let mut cells = vec![["column", "unit", "meaning"].map(str::to_owned).to_vec()];
    for number in rows.numbers {
        let unit = if number.unit.is_empty() { NOTHING.to_owned() } else { number.unit.clone() };
        cells.push(vec![number.name.clone(), unit, meaning(rows.study, number)]);
    }
    table("Numbers", &cells)
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
