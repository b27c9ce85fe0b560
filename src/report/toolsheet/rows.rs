//! The tables of a sheet, for terminal and page alike.

use crate::case::sheet::Sheet;
use crate::report::show::{NOTHING, Show, angle, fixed, percent};
use crate::study::toolsheet::{Corner, Finished, Found, OUTPUTS, Output, SHARES, Sizes, direction};

pub(super) type Rows = Vec<Vec<String>>;

pub(super) fn cells<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.iter().map(|cell| (*cell).to_owned()).collect()
}

/// Tools and holes: smallest, largest.
pub(super) fn limits(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let limits = &finished.limits;
    let row = |what: &str, [low, high]: [f64; 2]| {
        vec![what.to_owned(), show.length(low), show.length(high)]
    };
    let mut rows = vec![
        cells(["", "smallest", "largest"]),
        row("starting hole", limits.start),
        row("mandrel, new", limits.mandrel),
        vec!["mandrel, worn out below".to_owned(), show.length(limits.worn), NOTHING.to_owned()],
    ];
    if sheet.sleeve_thickness > 0.0 {
        rows.push(row("sleeve wall", limits.sleeve));
    }
    rows.push(row("ream, finished hole", limits.finished));
    rows
}

/// Gauges and what to measure.
pub(super) fn gauges(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let limits = &finished.limits;
    let [low, high] = finished.expanded();
    let row = |what: &str, size: String, how: &str| vec![what.to_owned(), size, how.to_owned()];
    vec![
        cells(["gauge or reading", "size", "accept when"]),
        row("starting hole, go plug", show.length(limits.start[0]), "it enters"),
        row("starting hole, no-go plug", show.length(limits.start[1]), "it does not enter"),
        row(
            "expanded hole, plug",
            finished.expanded_plug.map_or_else(|| NOTHING.to_owned(), |plug| show.length(plug)),
            "it enters",
        ),
        row("expanded hole, at least", show.length(low), "any direction reads more"),
        row("expanded hole, at most", show.length(high), "any direction reads less"),
    ]
}

/// One sentence on whether a gauge can tell.
pub(super) fn separation(sheet: &Sheet, finished: &Finished) -> String {
    let show = Show { units: sheet.units };
    let gap = finished.expanded()[0] - finished.limits.start[1];
    let unit = sheet.units.length_name();
    if gap > 0.0 {
        format!(
            "Expanded and starting holes are apart: {} {unit} lie between the largest starting hole and \
             the smallest expanded one. The reading after expansion follows the tool, not the start \
             hole: an oversize starting hole shows on its no-go plug only.",
            show.length(gap)
        )
    } else {
        format!(
            "Expanded and starting holes overlap by {} {unit}: no gauge tells them apart.",
            show.length(-gap)
        )
    }
}

/// The three sets of sizes and what they leave.
pub(super) fn stack(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let (mm, mpa) = (sheet.units.length_name(), sheet.units.stress_name());
    let row = |what: String, value: &dyn Fn(&Corner) -> String| {
        let mut row = vec![what];
        row.extend(finished.corners.iter().map(value));
        row
    };
    let found =
        |output: Output| move |corner: &Corner| number(show, output, corner.found.get(output));
    let cut = |found: &Found, corner: &Corner| corner.sizes.finished - found.expanded.mean;
    vec![
        cells(["", "smallest", "nominal", "largest"]),
        row("applied expansion %".to_owned(), &|c| percent(c.sizes.expansion())),
        row(format!("starting hole {mm}"), &|c| show.length(c.sizes.start)),
        row(format!("mandrel {mm}"), &|c| show.length(c.sizes.mandrel)),
        row(format!("mandrel and sleeve {mm}"), &|c| show.length(c.sizes.acting())),
        row("retained expansion %".to_owned(), &found(Output::Retained)),
        row(format!("expanded diameter, mean {mm}"), &found(Output::ExpandedDiameter)),
        row(format!("expanded, smallest direction {mm}"), &|c| {
            show.length(c.found.expanded.smallest)
        }),
        row(format!("expanded, largest direction {mm}"), &|c| {
            show.length(c.found.expanded.largest)
        }),
        row(format!("reamed to {mm}"), &|c| show.length(c.sizes.finished)),
        row(format!("ream takes off the diameter {mm}"), &|c| show.length(cut(&c.found, c))),
        row(format!("edge hoop {mpa}"), &found(Output::EdgeHoop)),
        row(format!("peak compression {mpa}"), &found(Output::PeakCompression)),
        row(format!("depth of compression {mm}"), &found(Output::Depth)),
        row(format!("peak tension {mpa}"), &found(Output::PeakTension)),
    ]
}

/// Percentiles over the draws and the error of the surrogate.
pub(super) fn draws(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let mut rows = vec![cells(["", "5 %", "50 %", "95 %", "surrogate off by"])];
    let mut expansions: Vec<f64> = finished.sizes.iter().map(Sizes::expansion).collect();
    expansions.sort_by(f64::total_cmp);
    let mut row = vec!["applied expansion %".to_owned()];
    row.extend(SHARES.map(|share| {
        let value = crate::numeric::random::percentile(&expansions, share);
        value.map_or_else(|| NOTHING.to_owned(), percent)
    }));
    row.push("exact".to_owned());
    rows.push(row);
    for output in OUTPUTS {
        let mut row = vec![format!("{} {}", output.words(), unit(show, output))];
        match finished.percentiles(output) {
            Some(three) => row.extend(three.map(|value| number(show, output, Some(value)))),
            None => row.extend([NOTHING; 3].map(str::to_owned)),
        }
        row.push(error(show, output, finished.error(output)));
        rows.push(row);
    }
    rows
}

pub(super) fn unit(show: Show, output: Output) -> &'static str {
    match output {
        Output::Retained => "%",
        Output::Depth | Output::ExpandedDiameter => show.units.length_name(),
        _ => show.units.stress_name(),
    }
}

pub(super) fn number(show: Show, output: Output, value: Option<f64>) -> String {
    let Some(value) = value else { return NOTHING.to_owned() };
    match output {
        Output::Retained => percent(value),
        Output::Depth | Output::ExpandedDiameter => show.length(value),
        _ => show.stress(value),
    }
}

/// An error with one digit more than the number it belongs to.
fn error(show: Show, output: Output, value: Option<f64>) -> String {
    let Some(value) = value else { return NOTHING.to_owned() };
    let metric = show.units == crate::units::Units::MmMpa;
    match output {
        Output::Retained => fixed(100.0 * value, 4),
        Output::Depth | Output::ExpandedDiameter => {
            fixed(value / show.units.length_scale(), if metric { 5 } else { 6 })
        }
        _ => fixed(value / show.units.stress_scale(), if metric { 2 } else { 3 }),
    }
}

/// How sizes are drawn, in one sentence.
pub(super) fn drawn(sheet: &Sheet) -> String {
    let [start, mandrel, sleeve, hole] =
        sheet.draws.spreads.map(crate::numeric::random::Spread::name);
    format!(
        "{} draws, seed {}, independent: starting hole {start}, mandrel {mandrel} from worn out to new, \
         sleeve {sleeve}, finished hole {hole} (normal: limits three standard deviations off the \
         middle, cut there). On a quadratic surface through 9 solutions; the last column is its \
         largest error at {} drawn sets that were solved too, the extreme ones among them.",
        sheet.draws.count, sheet.draws.seed, sheet.draws.held_out
    )
}

/// Where stresses are read.
#[must_use]
pub fn place(sheet: &Sheet) -> String {
    let towards = if sheet.path.is_none() { ", towards the nearest edge" } else { "" };
    format!("at {}{towards}", angle(short_angle(direction(sheet))))
}

fn short_angle(degrees: f64) -> f64 {
    if (degrees - degrees.round()).abs() < 1e-6 {
        degrees.round().rem_euclid(360.0)
    } else {
        degrees.rem_euclid(360.0)
    }
}
