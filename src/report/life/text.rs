//! The answer for the terminal.

use crate::fatigue::initiation::UNCERTAINTY;
use crate::report::cautions::CAUTIONS;
use crate::report::life::corner;
use crate::report::life::outside::{DECIDE, LACK, OUTSIDE, USUAL_CREDIT};
use crate::report::life::rows::{self, cycles, factor};
use crate::report::life::stands;
use crate::report::life::trade_rows;
use crate::report::show::fixed;
use crate::report::table::aligned;
use crate::study::lives::LifeReport;

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
    text.push_str(&format!("\n{}\n", headline(report).join("\n")));
    let mut block = |title: &str, rows: &[Vec<String>]| {
        if !rows.is_empty() {
            text.push_str(&format!("\n{title}\n{}", aligned(rows)));
        }
    };
    block("Cycles from the initial flaw", &rows::lives(report));
    block("The same with part-through cracks", &corner::lives(report));
    block(
        "Drawn part-through cracks, worst place with and without the work",
        &corner::band(report),
    );
    block("Life of the part-through crack at the ends of each quantity", &corner::swings(report));
    block("Part-through cracks of other sizes, worst place", &corner::flaws(report));
    block("The through crack with the bounding hardening laws, worst place", &rows::bounds(report));
    block("The expanded hole with a share of its residual stress", &rows::knock_downs(report));
    let title = format!("K at {}, highest cycle", rows::place(&report.governing));
    block(&title, &rows::parts(report));
    block("Inspection", &rows::inspections(report));
    block("Initiation at the edge, beside growth from the flaw", &rows::initiation(report));
    let title = format!(
        "A plain hole for {} cycles, {}",
        cycles(report.trade.target),
        report.trade.target_words
    );
    block(&title, &trade_rows::trade(report));
    text.push_str(&format!("{}\n", rise(report)));
    for note in corner::notes(report) {
        text.push_str(&format!("{note}\n"));
    }
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

/// Explanation of the finite-element loops, when there are some.
pub(super) fn loops(report: &LifeReport) -> Option<String> {
    report.loop_words.as_ref().map(|words| {
        format!(
            "Finite-element loop: {words}; hoop stress and total hoop strain at the edge as computed, with \
             the hardening law of the case. Neuber: the load of [life], the cyclic curve of the constants."
        )
    })
}

/// The answer in sentences that stay together: the lives, how far the factor may be off, the life that
/// conservative practice would credit, and the weakness of the model.
pub(super) fn headline(report: &LifeReport) -> Vec<String> {
    let (plain, expanded) = (report.plain_life(), report.expanded_life());
    let worst = rows::place(&report.governing);
    let plain_words = if plain == 0.0 {
        "fails at once plain".to_owned()
    } else if plain.is_infinite() {
        "no end by this law plain".to_owned()
    } else {
        cycles(plain) + " cycles plain"
    };
    let expanded_words = if expanded == 0.0 {
        format!("fails at once expanded too ({worst})")
    } else if expanded.is_infinite() {
        let end = rows::end(report, &report.governing.expanded);
        format!("no end by this law expanded (worst crack {worst}: {end})")
    } else {
        format!("{} expanded ({worst})", cycles(expanded))
    };
    let gain = match report.improvement() {
        Some(gain) => format!("; life improvement factor {}{}", factor(gain), range(report)),
        None if plain == 0.0 || plain.is_infinite() => {
            "; there is no life improvement factor".to_owned()
        }
        None => format!("; the life improvement factor has no upper bound{}", range(report)),
    };
    let mut lines = vec![format!("From the initial flaw: {plain_words}, {expanded_words}{gain}.")];
    lines.extend(report.shorter_at_plate_edge().map(|at| {
        let (plain, expanded) = (at.plain.life.cycles_borne(), at.expanded.life.cycles_borne());
        format!(
            "A flaw of the same size at the edge of the plate ({} {}) lives shorter, {} cycles, and {} without \
             the work: the tension that balances the compression at the hole stands there.",
            at.place.hole,
            crate::report::show::angle(at.place.angle_deg),
            rows::life(expanded),
            rows::life(plain)
        )
    }));
    lines.extend(corner::sentences(report));
    lines.extend([credit(report), LACK.to_owned()]);
    lines
}

/// The factor over the bounding laws and the shares of the residual stress.
fn range(report: &LifeReport) -> String {
    let plain = report.plain_life();
    let bounds = report.bounds.iter().map(|bound| bound.worst.expanded.life.cycles_borne());
    let shares = report.knock_downs.iter().map(|knock_down| knock_down.cycles);
    let words = match (report.bounds.is_empty(), report.knock_downs.is_empty()) {
        (true, true) => return String::new(),
        (true, false) => "with 50 to 100 % of the residual stress",
        _ => "over the bounding hardening laws and 50 to 100 % of the residual stress",
    };
    let all = bounds.chain(shares).chain([report.expanded_life()]).map(|life| life / plain);
    let [low, high] = all.fold([f64::INFINITY, 0.0], |[low, high], f| [low.min(f), high.max(f)]);
    format!(" ({} to {} {words})", factor(low), factor(high))
}

/// The life that conservative practice would credit.
fn credit(report: &LifeReport) -> String {
    let plain = report.plain_life();
    let show = crate::report::show::Show { units: report.units };
    let flaw = format!("{} {}", show.input_length(report.credit.flaw), report.units.length_name());
    // The corner crack of that size is the one that the guidance means.
    let corner = report.corner.as_ref().and_then(|corner| corner.flaws.first());
    let small = corner.map_or(report.credit.cycles, |one| one.plain);
    let credited = small.min(USUAL_CREDIT * plain).min(report.expanded_life());
    format!(
        "Conservative practice would credit {} at most: no more than {} times the plain life, {} \
         (common practice, no source), nor than the life of a plain hole with a flaw of {flaw}, {} (public \
         military guidance, from memory).",
        if credited.is_finite() { cycles(credited) + " cycles" } else { "any life".to_owned() },
        fixed(USUAL_CREDIT, 0),
        cycles(USUAL_CREDIT * plain),
        cycles(small)
    )
}

/// How much the stress may rise.
pub(super) fn rise(report: &LifeReport) -> String {
    let rise = match &report.trade.rise {
        Ok(value) => format!(
            "With expansion every stress may be {} times as high for the life of the plain hole",
            fixed(*value, 3)
        ),
        Err(error) => {
            format!("How much the stress may rise with expansion has no answer: {error}")
        }
    };
    let field = if report.relaxation.is_some() {
        "the residual stress at each stress is what that stress leaves of it"
    } else {
        "the residual stress is that of the work at every stress (`relaxation = false`)"
    };
    let onset = report.trade.onset.map_or_else(
        || "The metal beside the crack does not yield under load at any of these stresses".to_owned(),
        |onset| {
            format!(
                "The metal beside the crack begins to yield under load at {} times the stress of the case",
                fixed(onset, 3)
            )
        },
    );
    format!("{rise}; {field}. {onset}.")
}
