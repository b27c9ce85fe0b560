//! The answer for the terminal.
//!
//! Floor 9, `report::life`.

use crate::fatigue::initiation::UNCERTAINTY;
use crate::report::cautions::CAUTIONS;
use crate::report::life::outside::{DECIDE, OUTSIDE};
use crate::report::life::rows::{self, cycles, factor};
use crate::report::life::stands;
use crate::report::show::fixed;
use crate::report::table::aligned;
use crate::study::life::LifeReport;

/// Lives, bounds, inspection, initiation and trade as plain text, sources and cautions with them.
#[must_use]
pub fn answer(report: &LifeReport) -> String {
    let mut text = format!("{}\n\n", report.title);
    for (name, value) in stands::ground(report) {
        text.push_str(&format!("  {name}: {value}\n"));
    }
    for flag in stands::flags(report) {
        text.push_str(&format!("  CAUTION: {flag}\n"));
    }
    text.push_str(&format!("\n{}\n", headline(report)));
    let mut block = |title: &str, rows: &[Vec<String>]| {
        if !rows.is_empty() {
            text.push_str(&format!("\n{title}\n{}", aligned(rows)));
        }
    };
    block("Cycles from the initial flaw", &rows::lives(report));
    block("The same with the bounding hardening laws, worst place", &rows::bounds(report));
    let title = format!("K at {}, highest cycle", rows::place(&report.governing));
    block(&title, &rows::parts(report));
    block("Inspection", &rows::inspections(report));
    block("Initiation at the edge, beside growth from the flaw", &rows::initiation(report));
    let title = format!(
        "A plain hole for {} cycles, {}",
        cycles(report.trade.target),
        report.trade.target_words
    );
    block(&title, &rows::trade(report));
    text.push_str(&format!("{}\n", rise(report)));
    if let Some(words) = loops(report) {
        text.push_str(&format!("{words}\n"));
    }
    if report.ground.strain_life.is_some() {
        text.push_str(&format!("{UNCERTAINTY}\n"));
    }
    text.push_str("\nOutside this model\n");
    for line in OUTSIDE {
        text.push_str(&format!("  - {line}\n"));
    }
    text.push_str("\nCautions\n");
    for line in CAUTIONS.iter().chain([&DECIDE]) {
        text.push_str(&format!("  - {line}\n"));
    }
    text
}

/// What the finite-element loops are, when there are some.
pub(super) fn loops(report: &LifeReport) -> Option<String> {
    report.loop_words.as_ref().map(|words| {
        format!(
            "Finite-element loop: {words}; hoop stress and total hoop strain at the edge as computed, with \
             the hardening law of the case. Neuber: the load of [life], the cyclic curve of the constants."
        )
    })
}

/// One sentence for those who read one sentence.
pub(super) fn headline(report: &LifeReport) -> String {
    let (plain, expanded) = (report.plain_life(), report.expanded_life());
    let worst = rows::place(&report.governing);
    match report.improvement() {
        Some(gain) => format!(
            "From the initial flaw: {} cycles plain, {} expanded ({worst}); life improvement factor {}.",
            cycles(plain),
            cycles(expanded),
            factor(gain)
        ),
        None => format!(
            "From the initial flaw: {} cycles plain; expanded, no end by this law: the worst crack ({worst}): {}.",
            cycles(plain),
            rows::end(report, &report.governing.expanded)
        ),
    }
}

/// How much the stress may rise.
pub(super) fn rise(report: &LifeReport) -> String {
    match &report.trade.rise {
        Ok(value) => format!(
            "With expansion every stress may be {} times as high for the life of the plain hole, as long as \
             the residual stress does not relax.",
            fixed(*value, 3)
        ),
        Err(error) => {
            format!("How much the stress may rise with expansion has no answer: {error}.")
        }
    }
}
