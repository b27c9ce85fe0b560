//! The tables of a lot, for terminal and pages alike, and what is to be said of it.

use crate::case::shop::Shop;
use crate::report::show::{NOTHING, Show, fixed, percent};
use crate::report::table::aligned;
use crate::study::shop::causes::Cause;
use crate::study::shop::judge::Alarm;
use crate::study::shop::readings::Gauge;
use crate::study::shop::{Estimate, Judged, Lot, OUTPUTS, Output, Surrogate};
use crate::units::Units;

pub(super) type Rows = Vec<Vec<String>>;

/// Suspects that the terminal shows.
const SHOWN: usize = 20;
/// Shares of a likelihood below this are not told.
const SMALL_SHARE: f64 = 0.02;
/// Shares that differ by less are alike.
const SAME_SHARE: f64 = 1e-9;
/// Causes of one hole that are told.
const CAUSES: usize = 3;

/// A length difference with its sign: µm, or thousandths of an inch.
pub(super) fn small_length(mm: f64, units: Units) -> String {
    match units {
        Units::MmMpa => format!("{:+.0} µm", 1e3 * mm).replace('-', "−"),
        Units::InKsi => format!("{:+.2} mil", 1e3 * mm / units.length_scale()).replace('-', "−"),
    }
}

/// An odd reading in words.
pub(super) fn alarm(alarm: &Alarm, units: Units) -> String {
    let by = small_length(alarm.by, units);
    match alarm.gauge {
        Gauge::Expanded => format!("expanded {by} from expected"),
        gauge => format!("{} {by} beyond its limit", gauge.key()),
    }
}

/// A cause in words, with its share.
pub(super) fn cause(shop: &Shop, cause: &Cause) -> String {
    let whose = cause
        .partner
        .map_or_else(String::new, |partner| format!(" ({})", shop.holes[partner].name));
    format!("{}{whose} {}", cause.kind.words(), likelihood(cause.share))
}

/// A share of the likelihood: neither certainty nor none, which it never is.
fn likelihood(share: f64) -> String {
    match 100.0 * share {
        percent if percent >= 99.5 => "> 99 %".to_owned(),
        percent if percent < 0.5 => "< 1 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}

/// The causes of a hole that are worth telling.
pub(super) fn told(causes: &[Cause]) -> impl Iterator<Item = &Cause> {
    causes.iter().filter(|cause| cause.share >= SMALL_SHARE).take(CAUSES)
}

/// Head and rows of the suspects, `most` of them at most.
pub(super) fn suspects(shop: &Shop, lot: &Lot, most: usize) -> Rows {
    let head = ["hole", "odd", "what it looks like", "applied % as read", "if so"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for k in lot.suspects().take(most) {
        let hole = &lot.holes[k];
        let (causes, several) = &lot.causes[k];
        let odd: Vec<String> = hole.alarms.iter().map(|one| alarm(one, shop.units)).collect();
        let mut looks: Vec<String> = told(causes).map(|one| cause(shop, one)).collect();
        if *several {
            looks.push("and more than that: one thing does not explain all".to_owned());
        }
        rows.push(vec![
            shop.holes[k].name.clone(),
            odd.join("; "),
            looks.join("; "),
            percent(hole.expansion[0]),
            causes.first().map_or_else(|| NOTHING.to_owned(), |best| percent(best.expansion)),
        ]);
    }
    rows
}

/// Least, median and greatest of the holes that are no suspects.
pub(super) fn sound(shop: &Shop, lot: &Lot) -> Rows {
    let show = Show { units: shop.units };
    let (mm, mpa) = (shop.units.length_name(), shop.units.stress_name());
    let mut rows =
        vec![["", "least", "median", "greatest", "± of one"].map(str::to_owned).to_vec()];
    let mut put = |what: String,
                   values: &dyn Fn(&Judged) -> Option<[f64; 2]>,
                   text: &dyn Fn(f64) -> String| {
        let sound = lot.holes.iter().filter(|hole| hole.alarms.is_empty());
        let mut found: Vec<[f64; 2]> = sound.filter_map(values).collect();
        found.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let Some(last) = found.last() else { return };
        let error = found.iter().fold(0.0_f64, |most, pair| most.max(pair[1]));
        let quantile = crate::fit::statistics::normal_quantile();
        rows.push(vec![
            what,
            text(found[0][0]),
            text(found[found.len() / 2][0]),
            text(last[0]),
            text(quantile * error),
        ]);
    };
    put("applied expansion %".to_owned(), &|hole| Some(hole.expansion), &percent);
    put("retained expansion %, measured".to_owned(), &|hole| hole.retained, &percent);
    let pair = |estimate: Option<Estimate>| estimate.map(|one| [one.value, one.error]);
    put(format!("edge hoop {mpa}"), &|hole| pair(hole.edge), &|value| show.stress(value));
    put(format!("depth of compression {mm}"), &|hole| pair(hole.depth), &|v| show.length(v));
    rows
}

/// The error of the surrogate.
pub(super) fn errors(shop: &Shop, surrogate: &Surrogate) -> Rows {
    let show = Show { units: shop.units };
    let head = ["", "root mean square", "largest"].map(str::to_owned).to_vec();
    let mut rows = vec![head];
    for output in OUTPUTS {
        let (unit, text): (&str, Box<dyn Fn(f64) -> String>) = match output {
            Output::Retained => ("%", Box::new(|value| fixed(100.0 * value, 4))),
            Output::Depth => (shop.units.length_name(), Box::new(move |value| show.length(value))),
            _ => (shop.units.stress_name(), Box::new(move |value| show.stress(value))),
        };
        let deviation = surrogate.deviations[output as usize];
        let cell = |value: Option<f64>| value.map_or_else(|| NOTHING.to_owned(), &text);
        rows.push(vec![
            format!("{} {unit}", output.words()),
            cell(deviation.map(|one| one.rms)),
            cell(deviation.map(|one| one.largest)),
        ]);
    }
    rows
}

/// The most likely causes, counted; kinds that leave the same readings are one.
pub(super) fn counted(lot: &Lot) -> Vec<(String, usize)> {
    let mut counts: Vec<(String, usize)> = Vec::new();
    for causes in lot.suspects().map(|k| &lot.causes[k].0) {
        let alike = |cause: &&Cause| cause.share >= causes[0].share - SAME_SHARE;
        let kinds: Vec<&str> = causes.iter().filter(alike).map(|one| one.kind.words()).collect();
        let words = kinds.join(" or ");
        match counts.iter_mut().find(|(known, _)| *known == words) {
            Some((_, count)) => *count += 1,
            None => counts.push((words, 1)),
        }
    }
    counts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    counts
}

/// Everything to be said besides the tables, a sentence each.
#[must_use]
pub fn sentences(shop: &Shop, surrogate: &Surrogate, lot: &Lot) -> Vec<String> {
    let mut said = Vec::new();
    let (all, suspects) = (lot.holes.len(), lot.suspects().count());
    let counts: Vec<String> =
        counted(lot).iter().map(|(words, count)| format!("{count} {words}")).collect();
    said.push(if suspects == 0 {
        format!("No suspect among {all} holes")
    } else {
        format!("{suspects} suspects among {all} holes; most likely: {}", counts.join(", "))
    });
    said.push(format!(
        "Of sound holes {:.1} among {all} would be called suspects by chance, at most",
        shop.false_alarms * all as f64
    ));
    let offset = &lot.offset;
    if offset.odd {
        said.push(format!(
            "All holes are off: the expanded diameter is {} from the model in the median, more than the model's own \
             uncertainty and chance explain. Check the gauge of the expanded hole, and whether mandrel and sleeve are those of \
             the case",
            small_length(offset.value, shop.units)
        ));
    } else if offset.taken {
        said.push(format!(
            "The expanded diameter is {} from the model in the median of {} holes; this is taken off before holes \
             are compared",
            small_length(offset.value, shop.units),
            offset.readings
        ));
    } else if offset.readings > 0 {
        said.push(
            "Fewer than 20 readings of the expanded diameter: how far the model is off for all of them is not taken off \
             but counts as uncertainty"
                .to_owned(),
        );
    }
    let outside = lot.holes.iter().filter(|hole| !hole.inside).count();
    if outside > 0 {
        said.push(format!(
            "{outside} holes lie outside the range of the surrogate: they have no stress"
        ));
    }
    for series in &lot.series {
        let signals = [
            (series.out.len(), "beyond the limits"),
            (series.runs.len(), "in runs of nine or more on one side"),
        ];
        for (count, what) in signals.iter().filter(|(count, _)| *count > 0) {
            said.push(format!("Control chart of the {}: {count} {what}", series.words));
        }
    }
    if !surrogate.has_bracket() {
        said.push("The case has no hardening bracket: it is in no interval".to_owned());
    }
    said
}

/// The lot for the terminal.
#[must_use]
pub fn answer(shop: &Shop, surrogate: &Surrogate, lot: &Lot) -> String {
    let mut text = format!("{}\n\nSound holes, 90 % intervals\n", shop.title);
    text.push_str(&aligned(&sound(shop, lot)));
    if lot.suspects().next().is_some() {
        text.push_str("\nSuspects: what is odd, and what it looks like\n");
        for row in suspects(shop, lot, SHOWN).iter().skip(1) {
            text.push_str(&format!("  {}: {}: {}\n", row[0], row[1], row[2]));
        }
        let more = lot.suspects().count().saturating_sub(SHOWN);
        if more > 0 {
            text.push_str(&format!("  {more} more in holes.csv\n"));
        }
    }
    text.push_str(&format!(
        "\nError of the surrogate at {} solutions that it is not made of\n",
        surrogate.checks.len()
    ));
    text.push_str(&aligned(&errors(shop, surrogate)));
    text.push('\n');
    for sentence in sentences(shop, surrogate, lot) {
        text.push_str(&format!("{sentence}.\n"));
    }
    text.push_str(
        "\nNot a substitute for the governing specification, approved data and licensed engineering judgement.\n",
    );
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cause_is_certain_and_none_is_ruled_out() {
        let shown = [1.0, 0.995, 0.994, 0.5, 0.006, 0.004, 0.0].map(likelihood);
        assert_eq!(
            shown,
            ["> 99 %", "> 99 %", "99 %", "50 %", "1 %", "< 1 %", "< 1 %"].map(str::to_owned)
        );
    }
}
