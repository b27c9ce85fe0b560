//! The answer of a service load in words and rows, for the terminal and the page.

use crate::process::program::Program;
use crate::report::show::{NOTHING, Show, angle, short};
use crate::result::service_summary::{ServiceCourse, ServicePath, ServiceSummary, Shakedown};
use crate::units::Units;

/// How the load goes, e.g. `5 cycles between 0.1 and 1 times the load`.
#[must_use]
pub(crate) fn program_words(program: &Program) -> String {
    match program {
        Program::Blocks(blocks) => {
            let each = blocks.iter().map(|block| {
                let cycles = if block.cycles == 1 { "cycle" } else { "cycles" };
                format!(
                    "{} {cycles} between {} and {}",
                    block.cycles,
                    short(block.lowest, 6),
                    short(block.highest, 6)
                )
            });
            format!("{} times the load", each.collect::<Vec<_>>().join(", then "))
        }
        Program::Spectrum { turns, repeats } => {
            let [highest, lowest] = program.extremes();
            let times = if *repeats == 1 { "once".to_owned() } else { format!("{repeats} times") };
            format!(
                "a spectrum of {} turning points between {} and {} times the load, {times}",
                turns.len(),
                short(lowest, 6),
                short(highest, 6)
            )
        }
    }
}

/// One line on what the metal does: the last cycle that yields, or the strain that each cycle adds.
#[must_use]
pub(crate) fn settled_words(course: &ServiceCourse) -> String {
    let Some(last) = course.periods.last() else { return String::new() };
    let strain = |value: f64| format!("{value:.1e}");
    match course.shakedown {
        Shakedown::Reached => {
            let first = settled_after(course);
            let when = if first == 0 {
                "elastic from the first cycle on".to_owned()
            } else {
                format!("yields last in cycle {first} of {}, then elastic", course.periods.len())
            };
            format!("shakedown: {when}")
        }
        Shakedown::None => {
            let way = if last.drift > 0.5 * last.growth {
                "and it piles up one way"
            } else {
                "to and fro"
            };
            format!(
                "no shakedown: every cycle adds {} to the equivalent plastic strain where it adds most, {way}",
                strain(last.growth)
            )
        }
        Shakedown::Undecided => format!(
            "shakedown undecided: the last cycle still adds {} to the equivalent plastic strain where it adds most",
            strain(last.growth)
        ),
    }
}

/// Number of the last cycle that yielded; 0 when none did.
fn settled_after(course: &ServiceCourse) -> usize {
    let yields = |growth: f64| growth > crate::result::service_summary::SHAKEN_DOWN;
    course.periods.iter().rev().find(|period| yields(period.growth)).map_or(0, |p| p.number)
}

/// Head and rows of the table of one service stage; cells as text.
#[must_use]
pub fn rows(service: &ServiceSummary, units: Units) -> Vec<Vec<String>> {
    let show = Show { units };
    let mpa = units.stress_name();
    let head = ["before", "after", "maximum", "minimum", "mean", "range"];
    let mut rows = vec![vec!["path".to_owned()]];
    rows[0].extend(head.map(|word| format!("{word} {mpa}")));
    if service.plain.is_some() {
        rows[0].extend(["maximum", "mean", "range"].map(|word| format!("plain: {word} {mpa}")));
        rows[0].push(format!("lowered by {mpa}"));
    }
    for (index, path) in service.worked.paths.iter().enumerate() {
        let values =
            [path.before, path.after, path.highest, path.lowest, path.mean(), path.range()];
        let mut row = vec![format!("{} {}", path.hole, angle(path.angle_deg))];
        row.extend(values.map(|value| show.stress(value)));
        if let Some(plain) = &service.plain {
            let plain: Option<&ServicePath> = plain.paths.get(index);
            let value = |of: fn(&ServicePath) -> f64| {
                plain.map_or_else(|| NOTHING.to_owned(), |path| show.stress(of(path)))
            };
            row.extend([value(|p| p.highest), value(ServicePath::mean), value(ServicePath::range)]);
            let lowered = service.lowered(index);
            row.push(lowered.map_or_else(|| NOTHING.to_owned(), |by| show.stress(by)));
        }
        let of_hole = format!("{} ", path.hole);
        let twin = rows.iter_mut().find(|r| r[0].starts_with(&of_hole) && r[1..] == row[1..]);
        match twin {
            Some(twin) => twin[0].push_str(&format!(", {}", angle(path.angle_deg))),
            None => rows.push(row),
        }
    }
    rows
}
