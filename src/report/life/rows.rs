//! The tables of a life, as cells of text, for terminal and page alike.

use crate::fatigue::assessment::{Assessed, Comparison, CrackOrigin};
use crate::fatigue::end::LifeEnd;
use crate::fatigue::initiation::LoopSource;
use crate::fatigue::inspection::{NoPartInspection, PartInspection, part_inspection};
use crate::fatigue::strain_life::{Initiation, MeanStress};
use crate::report::show::{NOTHING, Show, angle, fixed, short};
use crate::study::lives::LifeReport;
use crate::units::quantity::Quantity;

/// Cycles as people read them: three or four digits that mean something, groups of three.
pub(super) fn cycles(value: f64) -> String {
    if value.is_infinite() {
        return "no end".to_owned();
    }
    if !value.is_finite() {
        return NOTHING.to_owned();
    }
    if value >= 1e7 {
        return format!("{value:.2e}");
    }
    let whole = format!("{value:.0}");
    let first = whole.len() % 3;
    let mut text = whole[..first].to_owned();
    for start in (first..whole.len()).step_by(3) {
        if !text.is_empty() {
            text.push('\u{202f}'); // narrow, no break
        }
        text.push_str(&whole[start..start + 3]);
    }
    text
}

/// A factor with two decimals below ten, one above.
pub(super) fn factor(value: f64) -> String {
    if value.is_finite() {
        fixed(value, if value < 10.0 { 2 } else { 1 })
    } else {
        "no end".to_owned()
    }
}

/// How a life ends, with the length.
pub(super) fn end(report: &LifeReport, assessed: &Assessed) -> String {
    let show = Show { units: report.units };
    if let LifeEnd::Arrest { length } = assessed.life.end
        && length <= report.ground.initial * (1.0 + 1e-9)
    {
        return "does not grow".to_owned();
    }
    let words = match assessed.life.end {
        LifeEnd::Arrest { .. } => "arrest",
        LifeEnd::Fracture { .. } => "fracture",
        LifeEnd::NetSectionYield { .. } => "net section yields",
        LifeEnd::EdgeReached { .. } => "edge reached",
        LifeEnd::ModelEnds { .. } => "beyond the weight function",
        LifeEnd::CyclesReached { .. } => "cycles used up",
    };
    let length = show.length(assessed.life.end.length());
    format!("{words} at {length} {}", report.units.length_name())
}

pub(super) fn intensity(report: &LifeReport, value: f64) -> String {
    fixed(Quantity::Intensity.at_border(value, report.units), 2)
}

/// `A 0°`, or `A 0°, from the plate edge`.
pub(super) fn place(comparison: &Comparison) -> String {
    let at = &comparison.place;
    let from = match at.origin {
        CrackOrigin::Hole => "",
        CrackOrigin::PlateEdge => ", from the plate edge",
    };
    format!("{} {}{from}", at.hole, angle(at.angle_deg))
}

/// Word for the end of the line that a crack starts from.
pub(super) fn origin_name(origin: CrackOrigin) -> &'static str {
    match origin {
        CrackOrigin::Hole => "hole",
        CrackOrigin::PlateEdge => "plate edge",
    }
}

/// Cycles of a life, in words where it ends at once.
pub(super) fn life(value: f64) -> String {
    if value == 0.0 { "fails at once".to_owned() } else { cycles(value) }
}

pub(super) fn head(names: &[&str]) -> Vec<String> {
    names.iter().map(|name| (*name).to_owned()).collect()
}

/// A row a place: both lives and how they end.
pub(super) fn lives(report: &LifeReport) -> Vec<Vec<String>> {
    let mut rows =
        vec![head(&["crack at", "plain: cycles", "end", "expanded: cycles", "end", "improvement"])];
    rows.extend(report.comparisons.iter().map(|comparison| {
        let improvement = comparison.improvement().map_or_else(|| NOTHING.to_owned(), factor);
        vec![
            place(comparison),
            life(comparison.plain.life.cycles_borne()),
            end(report, &comparison.plain),
            life(comparison.expanded.life.cycles_borne()),
            end(report, &comparison.expanded),
            improvement,
        ]
    }));
    rows
}

/// Lives under the hardening laws that bound the one given.
pub(super) fn bounds(report: &LifeReport) -> Vec<Vec<String>> {
    if report.bounds.is_empty() {
        return Vec::new();
    }
    let mut rows = vec![head(&["hardening", "crack at", "expanded: cycles", "end"])];
    let given = ("as given", &report.governing);
    let others = report.bounds.iter().map(|bound| (bound.hardening.as_str(), &bound.worst));
    rows.extend(std::iter::once(given).chain(others).map(|(name, worst)| {
        vec![
            name.to_owned(),
            place(worst),
            life(worst.expanded.life.cycles_borne()),
            end(report, &worst.expanded),
        ]
    }));
    rows
}

/// Lives with shares of the residual stress, whatever the reason that less of it is there.
pub(super) fn knock_downs(report: &LifeReport) -> Vec<Vec<String>> {
    let plain = report.plain_life();
    let mut rows = vec![head(&["residual stress", "expanded: cycles", "over the plain hole"])];
    rows.extend(report.knock_downs.iter().map(|knock_down| {
        let over = knock_down.cycles / plain;
        vec![
            format!("{:.0} %", 100.0 * knock_down.share),
            life(knock_down.cycles),
            if over.is_nan() { NOTHING.to_owned() } else { factor(over) },
        ]
    }));
    rows
}

/// Parts of K at some lengths of the governing crack.
pub(super) fn parts(report: &LifeReport) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let (mm, unit) = (report.units.length_name(), Quantity::Intensity.unit(report.units));
    let mut rows = vec![vec![
        format!("crack length {mm}"),
        format!("remote {unit}"),
        format!("residual {unit}"),
        format!("highest {unit}"),
        format!("lowest {unit}"),
        "state".to_owned(),
    ]];
    let table = report.governing.expanded.grower.table();
    let ((start, _), last) = (table.ends(), report.reach());
    let cycle = report.ground.sequence.severest().cycle;
    for k in 0..=7 {
        let parts = table.at(start * (last / start).powf(f64::from(k) / 7.0));
        let tip = parts.cycle(&cycle, report.ground.contact);
        rows.push(vec![
            show.length(parts.length),
            intensity(report, parts.per_stress() * cycle.maximum()),
            intensity(report, parts.residual),
            intensity(report, tip.maximum),
            intensity(report, tip.minimum),
            state_name(tip.state).to_owned(),
        ]);
    }
    rows
}

/// Word for a crack state.
pub(super) fn state_name(state: crate::fatigue::intensity::CrackState) -> &'static str {
    use crate::fatigue::intensity::CrackState;
    match state {
        CrackState::Open => "open",
        CrackState::PartlyClosed => "partly closed",
        CrackState::Closed => "closed",
    }
}

/// Inspection plans of the part: for each hole the earliest first inspection and the shortest interval
/// of all places.
pub(super) fn inspections(report: &LifeReport) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let Some(size) = report.ground.detectable else { return Vec::new() };
    let mut rows = vec![head(&[
        "hole",
        "first inspection, cycles",
        "crack at",
        "interval, cycles",
        "crack at",
        "note",
    ])];
    for (name, part) in part_plans(report) {
        let at = |index: usize| place(&report.comparisons[index]);
        rows.push(match part {
            Ok(part) => vec![
                name.to_owned(),
                cycles(part.first.1.first),
                at(part.first.0),
                cycles(part.interval.1.interval),
                at(part.interval.0),
                format!(
                    "detectable {} {}{}, factor {}",
                    show.input_length(size),
                    report.units.length_name(),
                    if size <= report.ground.initial { ", as is the flaw" } else { "" },
                    short(part.interval.1.factor, 2)
                ),
            ],
            Err((index, error)) => {
                let mut row = vec![name.to_owned()];
                row.extend(std::iter::repeat_n(NOTHING.to_owned(), 4));
                row.push(format!("{}: {}", at(index), never_seen(report, &error)));
                row
            }
        });
    }
    rows
}

/// The inspection plans of the part, plain and expanded.
pub(super) fn part_plans(
    report: &LifeReport,
) -> [(&'static str, Result<PartInspection, NoPartInspection>); 2] {
    let part = |of: fn(&Comparison) -> &Assessed| {
        let plans: Vec<_> = report
            .comparisons
            .iter()
            .map(of)
            .filter_map(|one| Some((one.life.cycles_borne(), one.inspection?)))
            .collect();
        part_inspection(&plans)
    };
    [("plain", part(|c| &c.plain)), ("expanded", part(|c| &c.expanded))]
}

fn never_seen(report: &LifeReport, error: &crate::fatigue::inspection::InspectionError) -> String {
    use crate::fatigue::inspection::InspectionError::NeverSeen;
    let show = Show { units: report.units };
    match error {
        NeverSeen { detectable, from, to } => format!(
            "a crack from {} to {} is never {} {} long",
            show.length(*from),
            show.length(*to),
            show.input_length(*detectable),
            report.units.length_name()
        ),
        other => other.to_string(),
    }
}

/// Initiation of the governing place.
pub(super) fn initiation(report: &LifeReport) -> Vec<Vec<String>> {
    let show = Show { units: report.units };
    let mpa = report.units.stress_name();
    let all = [("plain", &report.governing.plain), ("expanded", &report.governing.expanded)];
    if all.iter().all(|(_, one)| one.initiation.is_empty()) {
        return Vec::new();
    }
    let mut rows = vec![vec![
        "hole".to_owned(),
        "loop from".to_owned(),
        "rule".to_owned(),
        "strain amplitude %".to_owned(),
        format!("highest {mpa}"),
        format!("mean {mpa}"),
        "cycles to initiation".to_owned(),
    ]];
    for (name, one) in all {
        rows.extend(one.initiation.iter().map(|found| {
            vec![
                name.to_owned(),
                source_name(found.source).to_owned(),
                rule_name(found.rule).to_owned(),
                fixed(100.0 * found.local.strain_amplitude, 3),
                show.stress(found.local.maximum),
                show.stress(found.local.mean()),
                match found.initiation {
                    Initiation::Cycles(number) => cycles(number),
                    Initiation::Endless => "no end".to_owned(),
                    Initiation::Immediate => "at once".to_owned(),
                },
            ]
        }));
    }
    rows
}

/// Name of where a loop comes from.
pub(super) fn source_name(source: LoopSource) -> &'static str {
    match source {
        LoopSource::Neuber => "Neuber",
        LoopSource::FiniteElements => "finite-element loop",
    }
}

/// Name of a rule of the mean stress.
pub(super) fn rule_name(rule: MeanStress) -> &'static str {
    match rule {
        MeanStress::SmithWatsonTopper => "Smith–Watson–Topper",
        MeanStress::Morrow => "Morrow",
    }
}
