//! The book in Markdown: the summary, and a page for each case.

use crate::verify::Judged;
use crate::verify::bench::Effort;
use crate::verify::book::figures::{Picture, theoretical_order};
use crate::verify::book::words;

/// A text inside a table cell.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

/// The summary table of all cases.
pub(super) fn book(judged: &[Judged], effort: Effort) -> String {
    let mut text = format!(
        "# Verification book\n\n{} {}, {}.\n\n{}.\n\n\
         | case | quantity | expected | computed | error | tolerance | |\n\
         |---|---|---|---|---|---|---|\n",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
        words::effort(effort),
        words::score(judged),
    );
    for case in judged {
        let link = format!("[{0}]({0}/README.md)", case.name);
        if let Some(trouble) = &case.trouble {
            text.push_str(&format!("| {link} | {} | | | | | FAILED |\n", cell(trouble)));
        }
        for row in case.shown() {
            text.push_str(&format!(
                "| {link} | {} | {} | {} | {} | {} | {} |\n",
                cell(&row.expected.what),
                words::expected(&row.expected),
                words::computed(row),
                words::error(row),
                words::tolerance(&row.expected),
                row.verdict.word(),
            ));
        }
    }
    text
}

/// The page of a case.
pub(super) fn page(case: &Judged, pictures: &[Picture]) -> String {
    let expected = &case.expected;
    let mut text = format!("# {}\n\n{}\n\n", expected.title, expected.problem.trim());
    if !expected.sketch.is_empty() {
        text.push_str(&format!("```text\n{}\n```\n\n", expected.sketch.trim_matches('\n')));
    }
    text.push_str(
        "Input: [case.toml](case.toml); expected numbers: [expected.toml](expected.toml).\n\n",
    );
    if let Some(trouble) = &case.trouble {
        text.push_str(&format!("**It could not be computed: {trouble}**\n\n"));
    }
    text.push_str("| quantity | expected | computed | error | tolerance | | source |\n|---|---|---|---|---|---|---|\n");
    for row in case.shown() {
        text.push_str(&format!(
            "| {} | {} | {} | {} | {} | {} | {} |\n",
            cell(&row.expected.what),
            words::expected(&row.expected),
            words::computed(row),
            words::error(row),
            words::tolerance(&row.expected),
            row.verdict.word(),
            cell(&row.expected.source),
        ));
    }
    text.push_str("\n## Sources\n\n");
    for (key, source) in &expected.source {
        text.push_str(&format!("- *{key}* ({}): {}\n", source.label.words(), source.text.trim()));
    }
    text.push_str("\n## Why these tolerances\n\n");
    for (names, why) in reasons(case) {
        text.push_str(&format!("- {names}: {why}\n"));
    }
    for (heading, body) in [("Trap", &expected.trap), ("Notes", &expected.notes)] {
        if !body.is_empty() {
            text.push_str(&format!("\n## {heading}\n\n{}\n", body.trim()));
        }
    }
    text.push_str(&convergence(case));
    for picture in pictures {
        text.push_str(&format!("\n![{}]({}.svg)\n", picture.caption, picture.file));
    }
    text
}

/// Reasons of the tolerances, quantities with the same one together.
pub(super) fn reasons(case: &Judged) -> Vec<(String, &str)> {
    let mut reasons: Vec<(Vec<&str>, &str)> = Vec::new();
    for row in case.shown() {
        let (what, why) = (row.expected.what.as_str(), row.expected.why.trim());
        match reasons.iter_mut().find(|(_, known)| *known == why) {
            Some((names, _)) => names.push(what),
            None => reasons.push((vec![what], why)),
        }
    }
    let words = |names: &[&str]| match names {
        [first, second, rest @ ..] if !rest.is_empty() => {
            format!("{first}; {second}; {} more", rest.len())
        }
        _ => names.join("; "),
    };
    reasons.into_iter().map(|(names, why)| (words(&names), why)).collect()
}

/// Errors on every mesh, with the orders observed.
fn convergence(case: &Judged) -> String {
    let mut text = String::new();
    for series in case.findings.series.iter().filter(|series| series.levels.len() > 1) {
        if text.is_empty() {
            text.push_str("\n## Convergence\n");
        }
        text.push_str(&format!(
            "\n| {} | error: {} | order |\n|---|---|---|\n",
            series.levels_are,
            cell(&series.name)
        ));
        let orders = series.orders();
        for (k, (level, error)) in series.levels.iter().zip(&series.errors).enumerate() {
            let order = k.checked_sub(1).map_or(String::new(), |k| words::digits(orders[k], 3));
            text.push_str(&format!("| {level} | {} | {order} |\n", words::digits(*error, 3)));
        }
        if let Some(order) = theoretical_order(case, series) {
            text.push_str(&format!("\nIn theory: order {order}.\n"));
        }
    }
    text
}
