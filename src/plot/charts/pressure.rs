//! Contact pressure: against expansion through a stage, and round the hole at its end.

use std::fmt::Write as _;
use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::series;
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::process::history::{HistoryRecord, Phase};
use crate::result::stage::StageResult;

const PEAK_DASH: &[f64] = &[8.0, 4.0];
const LETTING_GO: &[f64] = &[2.0, 4.0];
/// Mean and largest pressure that differ by less than this share of the highest are one curve.
const ONE: f64 = 0.01;
/// Least distance of two markers, pixels. Markers stand on increments; nearer ones are left out.
const APART: f64 = 18.0;
/// Share of the highest pressure below which the end of contact needs no line of its own.
const LITTLE: f64 = 0.02;
/// Name of the axis of expansion. The tool acts with the size it has under pressure; the edge of
/// the hole is there while it touches.
pub(crate) const EXPANSION: &str = "Expansion by the tool (%)";

/// The increments of one phase under pressure, `[percent, pressure]`.
struct Branch {
    mean: Vec<[f64; 2]>,
    peak: Vec<[f64; 2]>,
}

impl Branch {
    fn of(records: &[HistoryRecord], stage: &str, phase: Phase, context: FigureContext) -> Self {
        let of_phase = || records.iter().filter(|r| r.stage == stage && r.phase == phase);
        // Once nothing touches, the size of the tool says nothing about the hole.
        let pressed = || of_phase().filter(|r| phase == Phase::Expand || r.closed_nodes > 0);
        let points = |value: fn(&HistoryRecord) -> f64| {
            pressed().map(|r| [100.0 * r.expansion, context.stress(value(r))]).collect()
        };
        Self { mean: points(|r| r.mean_pressure), peak: points(|r| r.peak_pressure) }
    }

    fn points(&self) -> impl Iterator<Item = &[f64; 2]> {
        self.mean.iter().chain(&self.peak)
    }
}

/// Mean and largest contact pressure against expansion for the expansion called `stage` in
/// the records (e.g. `1-expand-A`), into `STAGE-pressure.svg`, `.png` and `.csv`.
///
/// The curve of the leaving tool ends at the last increment in which it touches; a dotted line goes
/// straight on from the last two to where the pressure would be zero.
///
/// # Errors
/// [`FigureError::Nothing`] when no record belongs to such a stage;
/// [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn pressure_history(
    records: &[HistoryRecord],
    stage: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{stage}-pressure");
    let [up, back] =
        [Phase::Expand, Phase::Release].map(|phase| Branch::of(records, stage, phase, context));
    if up.mean.is_empty() && back.mean.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "expansion increment" });
    }
    let points = || up.points().chain(back.points());
    check_finite(&name, "expansion or pressure", points().flatten())?;
    let widest = points().fold(0.0, |high: f64, p| high.max(p[0]));
    let highest = points().fold(0.0, |high: f64, p| high.max(p[1]));
    let differ = |branch: &Branch| {
        branch.mean.iter().zip(&branch.peak).any(|(m, p)| p[1] - m[1] > ONE * highest)
    };
    let kinds: &[(&str, usize)] = if differ(&up) || differ(&back) {
        &[("mean", 0), ("largest", 1)]
    } else {
        &[("mean and largest", 0)]
    };
    let mut lines = Vec::new();
    for &(words, number) in kinds {
        let of =
            |branch: &Branch| if number == 0 { branch.mean.clone() } else { branch.peak.clone() };
        let (mut up, back) = (of(&up), of(&back));
        // From rest, where the tool just touches, and from full size.
        let first = up.first().filter(|point| point[0] > 0.0).map(|_| [0.0, 0.0]);
        up.splice(0..0, first);
        let back: Vec<_> = up.last().copied().into_iter().chain(back).collect();
        lines.push(Line { words, number, up, back });
    }
    let mut keys: Vec<Key> = lines.iter().flat_map(Line::keys).collect();
    if lines.iter().any(|line| line.letting_go().is_some()) {
        keys.push(Key::new(Sample::Line(letting_go_pen(0)), "straight on to zero"));
    }
    let (mut sheet, chart) = frame(
        ["Contact pressure against expansion", &context.subtitle(stage)],
        Axis::rounded(0.0, widest, 8, EXPANSION.to_owned()),
        Axis::rounded(0.0, highest, 8, context.stress_axis("Contact pressure")),
        &keys,
    )?;
    for line in &lines {
        line.lay(&mut sheet, &chart);
    }
    chart.frame(&mut sheet)?;
    let csv = table(&[("expand", &up), ("release", &back)], context);
    save(&sheet, Some(&csv), folder, &name)
}

/// A pressure through growing and leaving.
struct Line {
    words: &'static str,
    number: usize,
    up: Vec<[f64; 2]>,
    back: Vec<[f64; 2]>,
}

impl Line {
    fn pen(&self) -> Pen {
        let pen = Pen::new(series(self.number), 2.2);
        if self.number == 0 { pen } else { pen.dashed(PEAK_DASH) }
    }

    fn marker(&self, open: bool) -> Marker {
        Marker { shape: Shape::number(self.number), colour: series(self.number), open }
    }

    fn keys(&self) -> [Key; 2] {
        [(false, "tool growing"), (true, "tool leaving")].map(|(open, way)| {
            let sample = Sample::Marked(self.pen(), self.marker(open));
            Key::new(sample, format!("{}, {way}", self.words))
        })
    }

    /// From the last point under pressure straight on to zero, when the last two fall. The largest
    /// pressure has no such line: contact shrinks under it.
    fn letting_go(&self) -> Option<[[f64; 2]; 2]> {
        let highest = self.up.iter().fold(0.0, |high: f64, point| high.max(point[1]));
        if self.number > 0 || self.back.last()?[1] < LITTLE * highest {
            return None;
        }
        let [.., before, last] = self.back[..] else { return None };
        let share = last[1] / (before[1] - last[1]);
        let zero = last[0] + share * (last[0] - before[0]);
        (last[1] > 0.0 && share > 0.0 && zero >= 0.0).then_some([last, [zero, 0.0]])
    }

    fn lay(&self, sheet: &mut Sheet, chart: &Chart) {
        for (open, points) in [(false, &self.up), (true, &self.back)] {
            chart.curve(sheet, points, self.pen());
            // The first point is rest, or full size, which is marked already.
            let own = points.get(1..).unwrap_or_default();
            chart.sparse_markers(sheet, own, self.marker(open), APART);
        }
        if let Some(ends) = self.letting_go() {
            chart.curve(sheet, &ends, letting_go_pen(self.number));
        }
    }
}

fn letting_go_pen(number: usize) -> Pen {
    Pen::new(series(number), 1.4).dashed(LETTING_GO)
}

fn table(parts: &[(&str, &Branch)], context: FigureContext) -> String {
    let unit = context.units.stress_name();
    let mut text = format!("phase,expansion_percent,mean_pressure_{unit},peak_pressure_{unit}\n");
    for (phase, branch) in parts {
        for (mean, peak) in branch.mean.iter().zip(&branch.peak) {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{phase},{},{},{}", mean[0], mean[1], peak[1]);
        }
    }
    text
}

/// Contact pressure against the angle round the worked hole, into
/// `STAGE-pressure-round-HOLE.svg`, `.png` and `.csv`. A hole cut by a mirror line is
/// shown whole.
///
/// # Errors
/// [`FigureError::Nothing`] when nothing presses in this stage; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn contact_pressure_round_hole(
    stage: &StageResult,
    holes: &[Hole],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let nothing = || FigureError::Nothing {
        figure: format!("{}-pressure-round", stage.label),
        missing: "contact pressure",
    };
    let (index, pressures) = stage.contact.as_ref().ok_or_else(nothing)?;
    let hole = holes.get(*index).ok_or_else(nothing)?;
    if pressures.is_empty() {
        return Err(nothing());
    }
    let name = format!("{}-pressure-round-{}", stage.label, hole.name);
    check_finite(&name, "angle or contact pressure", pressures.iter().flatten())?;

    let points: Vec<[f64; 2]> = round(stage, hole, pressures)
        .into_iter()
        .map(|[angle, pressure]| [angle, context.stress(pressure)])
        .collect();
    let mut csv = format!("angle_deg,pressure_{}\n", context.units.stress_name());
    for [angle, pressure] in &points {
        let _ = writeln!(csv, "{angle},{pressure}");
    }
    let highest = points.iter().fold(0.0, |high: f64, p| high.max(p[1]));
    let x = Axis::whole_turn("Angle from +x (degrees)".to_owned());
    let y = Axis::rounded(0.0, highest, 8, context.stress_axis("Contact pressure"));
    let title = format!("Contact pressure round hole {}", hole.name);
    let (mut sheet, chart) = frame([&title, &context.subtitle(&stage.heading)], x, y, &[])?;
    chart.curve(&mut sheet, &points, Pen::new(series(0), 2.4));
    if points.len() <= 100 {
        chart.markers(&mut sheet, &points, Marker::full(Shape::Round, series(0)));
    }
    chart.frame(&mut sheet)?;
    save(&sheet, Some(&csv), folder, &name)
}

/// `[degrees, MPa]` over the full turn from 0 to 360, rising.
fn round(stage: &StageResult, hole: &Hole, pressures: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let symmetry = stage.mesh.symmetry;
    let on = |line: Option<f64>, centre: f64| {
        line.is_some_and(|line| (line - centre).abs() < 1e-6 * hole.radius())
    };
    let mut points: Vec<[f64; 2]> = pressures.iter().map(|[a, p]| [a.to_degrees(), *p]).collect();
    if on(symmetry.x, hole.centre[0]) {
        points.extend(points.clone().iter().map(|[angle, p]| [180.0 - angle, *p]));
    }
    if on(symmetry.y, hole.centre[1]) {
        points.extend(points.clone().iter().map(|[angle, p]| [-angle, *p]));
    }
    for point in &mut points {
        point[0] = point[0].rem_euclid(360.0);
        // The node at 0 may come out a hair below 360.
        if 360.0 - point[0] < 1e-6 {
            point[0] = 0.0;
        }
    }
    points.sort_by(|one, other| one[0].total_cmp(&other[0]));
    points.dedup_by(|later, earlier| (later[0] - earlier[0]).abs() < 1e-6);
    // Close the turn at both ends.
    let (first, last) = (points[0], points[points.len() - 1]);
    if first[0] > 1e-6 {
        let share = (360.0 - last[0]) / (first[0] + 360.0 - last[0]);
        let between = last[1] + share * (first[1] - last[1]);
        points.insert(0, [0.0, between]);
    }
    let start = points[0][1];
    points.push([360.0, start]);
    points
}

/// A chart of the usual size: the sheet with its legend, the chart with its grid laid.
fn frame(heads: [&str; 2], x: Axis, y: Axis, keys: &[Key]) -> Result<(Sheet, Chart), FigureError> {
    let (width, height) = (1000.0, 700.0);
    let key_rows = rows(keys, width - 126.0)?;
    let bottom = height - 64.0 - count(key_rows.len()) * ROW - 14.0;
    let window = Window { low: [96.0, HEAD], high: [width - 30.0, bottom] };
    let chart = Chart { window, x, y };
    let mut sheet = Sheet::new([width, height], heads[0], heads[1]);
    chart.grid(&mut sheet);
    legend(&mut sheet, &key_rows, [96.0, bottom + 58.0]);
    Ok((sheet, chart))
}
