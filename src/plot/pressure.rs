//! Contact pressure: against expansion through a stage, and round the hole at its end.
//!
//! Floor 7, `plot`.

use std::fmt::Write as _;
use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::chart::{Axis, Chart, Key, Marker, ROW, Sample, Shape, legend, rows};
use crate::plot::clip::Window;
use crate::plot::colour::series;
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::level::count;
use crate::plot::sheet::{HEAD, Pen, Sheet};
use crate::process::history::{HistoryRecord, Phase};
use crate::result::stage::StageResult;

const PEAK_DASH: &[f64] = &[8.0, 4.0];

/// Mean and peak contact pressure against expansion for the expansion called `stage` in
/// the records (e.g. `1-expand-A`), into `STAGE-pressure.svg`, `.png` and `.csv`.
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
    let branch = |phase: Phase, value: fn(&HistoryRecord) -> f64| -> Vec<[f64; 2]> {
        let of_branch = records.iter().filter(|r| r.stage == stage && r.phase == phase);
        of_branch.map(|r| [100.0 * r.expansion, context.stress(value(r))]).collect()
    };
    let mean = |r: &HistoryRecord| r.mean_pressure;
    let peak = |r: &HistoryRecord| r.peak_pressure;
    let (mut up, mut back) = (branch(Phase::Expand, mean), branch(Phase::Release, mean));
    let (mut peak_up, mut peak_back) = (branch(Phase::Expand, peak), branch(Phase::Release, peak));
    if up.is_empty() && back.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "expansion increment" });
    }
    let values = [&up, &back, &peak_up, &peak_back];
    check_finite(&name, "expansion or pressure", values.into_iter().flatten().flatten())?;
    let csv = branches(&[("expand", &up, &peak_up), ("release", &back, &peak_back)], context);

    // The branches start where the ones before them ended: at rest, and at full size.
    for (first, second) in [(&mut up, &mut back), (&mut peak_up, &mut peak_back)] {
        if let Some(full) = first.last() {
            second.insert(0, *full);
        }
        if first.first().is_some_and(|point| point[0] > 0.0) {
            first.insert(0, [0.0, 0.0]);
        }
    }
    let points = || [&up, &back, &peak_up, &peak_back].into_iter().flatten();
    let widest = points().fold(0.0, |high: f64, p| high.max(p[0]));
    let highest = points().fold(0.0, |high: f64, p| high.max(p[1]));
    let mut keys = Vec::new();
    let curves = [
        ("mean", series(0), &[][..], Shape::Round, &up, &back),
        ("peak", series(1), PEAK_DASH, Shape::Square, &peak_up, &peak_back),
    ];
    for (words, colour, dash, shape, ..) in &curves {
        for (open, way) in [(false, "tool growing"), (true, "tool leaving")] {
            let marker = Marker { shape: *shape, colour: *colour, open };
            let pen = Pen::new(*colour, 2.4).dashed(dash);
            keys.push(Key::new(Sample::Marked(pen, marker), format!("{words}, {way}")));
        }
    }
    let (mut sheet, chart) = frame(
        ["Contact pressure against expansion", &context.subtitle(stage)],
        Axis::rounded(0.0, widest, 8, "Expansion of the hole (%)".to_owned()),
        Axis::rounded(0.0, highest, 8, context.stress_axis("Contact pressure")),
        &keys,
    )?;
    for (_, colour, dash, shape, up, back) in curves {
        for (open, points) in [(false, up), (true, back)] {
            let marker = Marker { shape, colour, open };
            chart.curve(&mut sheet, points, Pen::new(colour, 2.4).dashed(dash));
            chart.spaced_markers(&mut sheet, points, marker, [34.0, 68.0]);
        }
    }
    chart.frame(&mut sheet)?;
    save(&sheet, Some(&csv), folder, &name)
}

/// A phase with its mean and its peak pressure, `[percent, pressure]` each.
type Branch<'a> = (&'a str, &'a Vec<[f64; 2]>, &'a Vec<[f64; 2]>);

fn branches(parts: &[Branch], context: FigureContext) -> String {
    let unit = context.units.stress_name();
    let mut text = format!("phase,expansion_percent,mean_pressure_{unit},peak_pressure_{unit}\n");
    for (phase, mean, peak) in parts {
        for (mean, peak) in mean.iter().zip(peak.iter()) {
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
    let mut x = Axis::exact(0.0, 360.0, 8, "Angle from +x (degrees)".to_owned());
    x.ticks = (0..=8).map(|k| (45.0 * f64::from(k), (45 * k).to_string())).collect();
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
