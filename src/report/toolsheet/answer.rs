//! The sheet for the terminal.

use crate::case::sheet::Sheet;
use crate::report::toolsheet::chain;
use crate::report::toolsheet::rows::{self, Rows};
use crate::study::toolsheet::Finished;

/// The sheet for the terminal.
#[must_use]
pub fn answer(sheet: &Sheet, finished: &Finished) -> String {
    let unit = sheet.units.length_name();
    let mut text = format!("{}\n\nTools and limits, {unit}\n", sheet.title);
    text.push_str(&aligned(&rows::limits(sheet, finished)));
    text.push_str(&format!("\nGauges and readings, {unit}\n"));
    text.push_str(&aligned(&rows::gauges(sheet, finished)));
    text.push_str(&format!("  {}\n", rows::separation(sheet, finished)));
    text.push_str(&format!("\nWhat the tolerances leave; stresses {}\n", rows::place(sheet)));
    text.push_str(&aligned(&rows::stack(sheet, finished)));
    text.push_str("\nDrawn sizes\n");
    text.push_str(&aligned(&rows::draws(sheet, finished)));
    text.push_str(&format!("  {}\n", rows::drawn(sheet)));
    if !finished.chain.is_empty() {
        text.push_str(&format!("\nChain of sizes, {unit}\n"));
        text.push_str(&aligned(&chain::tools(sheet, finished)));
        text.push_str("\nWhat the chain leaves\n");
        text.push_str(&aligned(&chain::left(sheet, finished)));
        text.push_str(&format!("  {}\n", chain::WORDS));
    }
    if !sheet.assumed.is_empty() {
        let assumed = sheet.assumed.join("; ");
        text.push_str(&format!("\nLeft to common practice, no source: {assumed}.\n"));
    }
    text.push_str(
        "\nNot a substitute for the governing specification, approved data and licensed engineering \
         judgement.\nPulling equipment stores energy: stay out of the line of the mandrel.\n",
    );
    text
}

/// Columns under each other; the first to the left, numbers to the right.
fn aligned(rows: &Rows) -> String {
    let columns = rows.first().map_or(0, Vec::len);
    let width = |k: usize| rows.iter().map(|row| row[k].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut text = String::new();
    for row in rows {
        let mut line = format!("  {:w$}", row[0], w = widths[0]);
        for (cell, width) in row.iter().zip(&widths).skip(1) {
            line.push_str(&format!("  {cell:>width$}"));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}
