//! Hoop stress against distance from the edge of one hole: every path and stage on one
//! chart, with theory or measured points laid over.
//!
//! Colour and marker tell the stage, the dash tells the angle, so the chart survives print.
//!
//! Floor 7, `plot`.

use std::fmt::Write as _;
use std::path::Path;

use crate::geometry::hole::Hole;
use crate::numeric::profile::Profile;
use crate::plot::chart::{Axis, Chart, Key, Marker, ROW, Sample, Shape, legend, rows};
use crate::plot::clip::Window;
use crate::plot::colour::{INK, MESH, SERIES, series};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::{count, label};
use crate::plot::sheet::{HEAD, Pen, Sheet};
use crate::result::path::StressPath;
use crate::result::stage::StageResult;

/// A further curve: a closed form, another run, or measured points.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// Words in the legend, with the source.
    pub label: String,
    /// Hoop stress (MPa) against distance from the hole edge (mm).
    pub profile: Profile,
    /// Whether it is drawn as points rather than as a line.
    pub points: bool,
}

/// Lines that a reader can still tell apart.
const MOST_LINES: usize = 8;
/// Hole diameters shown when the caller names no reach.
const REACH: f64 = 3.0;
const DASHES: [&[f64]; 4] = [&[], &[9.0, 4.0], &[2.5, 3.0], &[12.0, 4.0, 2.5, 4.0]];
const OVERLAY_DASHES: [&[f64]; 2] = [&[6.0, 6.0], &[2.0, 4.0]];

/// Hoop stress along the paths of `hole`, into `hoop-paths-HOLE.svg`, `.png` and `.csv`.
///
/// `reach` is the largest distance shown, mm; 3 diameters when `None`. More than eight
/// lines are thinned: first the stages with the tool at full size go, then the earlier
/// stages; the line under the title says what was left out. The CSV always holds all.
///
/// # Errors
/// [`FigureError::Nothing`] when no stage has a path of `hole`; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn hoop_paths(
    stages: &[StageResult],
    hole: &Hole,
    overlays: &[Overlay],
    reach: Option<f64>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("hoop-paths-{}", hole.name);
    let mut all: Vec<(&StageResult, Vec<&StressPath>)> = Vec::new();
    for stage in stages {
        let of_hole = |path: &&StressPath| path.hole == hole.name && !path.points.is_empty();
        let paths: Vec<_> = stage.paths.iter().filter(of_hole).collect();
        for path in &paths {
            let profile = path.hoop();
            check_finite(&name, "hoop stress on a path", profile.values())?;
            check_finite(&name, "distance on a path", profile.distances())?;
        }
        if !paths.is_empty() {
            all.push((stage, paths));
        }
    }
    if all.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    }
    for overlay in overlays {
        check_finite(&name, "overlaid stress", overlay.profile.values())?;
    }
    let (shown, left_out) = choose(&all);
    let stage_words = if left_out == 0 {
        "all stages".to_owned()
    } else {
        format!("{} of {} snapshots drawn, all in the CSV", shown.len(), all.len())
    };
    let csv = table(&all, overlays, context);

    let farthest = |limit: f64| {
        let ends = shown.iter().flat_map(|(_, paths)| paths);
        let end = ends.filter_map(|p| p.points.last()).fold(0.0, |e: f64, p| e.max(p.distance));
        end.min(limit)
    };
    let limit = reach.unwrap_or(REACH * hole.starting_diameter);
    let x = Axis::exact(
        0.0,
        context.length(farthest(limit)),
        10,
        context.length_axis(&format!("Distance from the edge of hole {}", hole.name)),
    );
    let curves = shown.iter().flat_map(|(_, paths)| paths.iter().map(|path| path.hoop()));
    let drawn = curves.chain(overlays.iter().map(|overlay| overlay.profile.clone()));
    let (mut low, mut high) = (0.0f64, 0.0f64);
    for [distance, value] in drawn.flat_map(|profile| scaled(&profile, context)) {
        if distance <= x.high {
            low = low.min(value);
            high = high.max(value);
        }
    }
    let y = Axis::rounded(low, high, 9, context.stress_axis("Hoop stress"));

    let keys = keys(&shown, overlays);
    let (width, height) = (1000.0, 750.0);
    let key_rows = rows(&keys, width - 116.0)?;
    let bottom = height - 64.0 - count(key_rows.len()) * ROW - 14.0;
    let window = Window { low: [96.0, HEAD], high: [width - 30.0, bottom] };
    let chart = Chart { window, x, y };
    let title = format!("Hoop stress along paths from hole {}", hole.name);
    let mut sheet = Sheet::new([width, height], &title, &context.subtitle(&stage_words));
    chart.grid(&mut sheet);
    chart.curve(&mut sheet, &[[chart.x.low, 0.0], [chart.x.high, 0.0]], Pen::new(INK, 1.4));
    for (k, (_, paths)) in shown.iter().enumerate() {
        for path in paths {
            let points = scaled(&path.hoop(), context);
            chart.curve(&mut sheet, &points, line_pen(k, angle_number(&shown, path)));
            let start = 26.0 + 23.0 * count(k) + 9.0 * count(angle_number(&shown, path));
            chart.spaced_markers(&mut sheet, &points, marker(k), [start, 120.0]);
        }
    }
    for (k, overlay) in overlays.iter().enumerate() {
        let points = scaled(&overlay.profile, context);
        if overlay.points {
            chart.markers(&mut sheet, &points, overlay_marker(k));
        } else {
            chart.curve(&mut sheet, &points, overlay_pen(k));
        }
    }
    chart.frame(&mut sheet)?;
    legend(&mut sheet, &key_rows, [96.0, bottom + 58.0]);
    save(&sheet, Some(&csv), folder, &name)
}

type Shown<'a> = Vec<(&'a StageResult, Vec<&'a StressPath>)>;

/// The stages to draw and how many were left out.
fn choose<'a>(all: &Shown<'a>) -> (Shown<'a>, usize) {
    let lines = |shown: &Shown| shown.iter().map(|(_, paths)| paths.len()).sum::<usize>();
    let mut shown = all.clone();
    if lines(&shown) > MOST_LINES {
        let residual = |stage: &StageResult| !stage.label.ends_with("-full");
        if shown.iter().any(|(stage, _)| residual(stage)) {
            shown.retain(|(stage, _)| residual(stage));
        }
    }
    while lines(&shown) > MOST_LINES && shown.len() > 1 {
        shown.remove(0);
    }
    let left_out = all.len() - shown.len();
    (shown, left_out)
}

fn angles(shown: &Shown) -> Vec<f64> {
    let mut angles: Vec<f64> =
        shown.iter().flat_map(|(_, paths)| paths.iter().map(|path| path.angle_deg)).collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    angles
}

fn angle_number(shown: &Shown, path: &StressPath) -> usize {
    angles(shown).partition_point(|angle| *angle < path.angle_deg)
}

fn line_pen(stage: usize, angle: usize) -> Pen {
    Pen::new(series(stage), 2.4).dashed(DASHES[angle % DASHES.len()])
}

fn marker(stage: usize) -> Marker {
    Marker::full(Shape::number(stage), series(stage))
}

fn overlay_pen(k: usize) -> Pen {
    // Colours from the end of the list, where the stages seldom come.
    let colour = SERIES[SERIES.len() - 1 - k % 2];
    Pen::new(colour, 2.0).dashed(OVERLAY_DASHES[k % OVERLAY_DASHES.len()])
}

fn overlay_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: INK, open: true }
}

fn keys(shown: &Shown, overlays: &[Overlay]) -> Vec<Key> {
    let stages = shown.iter().enumerate().map(|(k, (stage, _))| {
        let words = if stage.heading.is_empty() { &stage.label } else { &stage.heading };
        Key::new(Sample::Marked(Pen::new(series(k), 2.4), marker(k)), words.clone())
    });
    let directions = angles(shown).into_iter().enumerate().map(|(k, angle)| {
        let pen = Pen::new(MESH, 2.0).dashed(DASHES[k % DASHES.len()]);
        let step = if angle.fract() == 0.0 { 1.0 } else { 0.1 };
        Key::new(Sample::Line(pen), format!("at {}° from +x", label(angle, step)))
    });
    let further = overlays.iter().enumerate().map(|(k, overlay)| {
        let sample = if overlay.points {
            Sample::Marker(overlay_marker(k))
        } else {
            Sample::Line(overlay_pen(k))
        };
        Key::new(sample, overlay.label.clone())
    });
    stages.chain(directions).chain(further).collect()
}

fn scaled(profile: &Profile, context: FigureContext) -> Vec<[f64; 2]> {
    let pairs = profile.distances().iter().zip(profile.values());
    pairs.map(|(x, y)| [context.length(*x), context.stress(*y)]).collect()
}

fn table(all: &Shown, overlays: &[Overlay], context: FigureContext) -> String {
    let units = context.units;
    let (length, stress) = (units.length_name(), units.stress_name());
    let mut text = format!("curve,angle_deg,distance_{length},hoop_{stress}\n");
    let mut put = |curve: &str, angle: &str, profile: &Profile| {
        for [distance, value] in scaled(profile, context) {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{angle},{distance},{value}", cell(curve));
        }
    };
    for (stage, paths) in all {
        for path in paths {
            put(&stage.label, &path.angle_deg.to_string(), &path.hoop());
        }
    }
    for overlay in overlays {
        put(&overlay.label, "", &overlay.profile);
    }
    text
}
