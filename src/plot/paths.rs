//! Hoop stress against distance from the edge of one hole: every path and stage on one
//! chart, with theory or measured points laid over.
//!
//! Colour, width and marker tell the stage, the dash tells the angle, so the chart survives
//! print. Paths that mirror each other are one line; a later stage is drawn thinner and on
//! top, so that an earlier one behind it stays visible.
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
/// Distance of two markers of one line along it.
const MARKERS_APART: f64 = 280.0;
/// The same for an overlaid line.
const FORM_MARKERS_APART: f64 = 80.0;
/// Width of the last stage's lines and of the first's.
const WIDTHS: [f64; 2] = [1.8, 4.4];
/// How far values of two paths that mirror each other may part, over their largest.
const SAME: f64 = 1e-9;
const DASHES: [&[f64]; 4] = [&[], &[9.0, 4.0], &[2.5, 3.0], &[12.0, 4.0, 2.5, 4.0]];
const OVERLAY_DASHES: [&[f64]; 4] =
    [&[6.0, 6.0], &[2.0, 4.0], &[10.0, 3.0, 2.0, 3.0], &[12.0, 6.0]];

/// Hoop stress along the paths of `hole`, into `hoop-paths-HOLE.svg`, `.png` and `.csv`.
///
/// `reach` is the largest distance shown, mm; 3 diameters when `None`. More than eight
/// lines are thinned: first those under tool or load go, then the earlier
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
    let all = with_paths(stages, hole);
    for path in all.iter().flat_map(|(_, paths)| paths) {
        let profile = path.hoop();
        check_finite(&name, "hoop stress on a path", profile.values())?;
        check_finite(&name, "distance on a path", profile.distances())?;
    }
    if all.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    }
    for overlay in overlays {
        check_finite(&name, "overlaid stress", overlay.profile.values())?;
    }
    let sides = sides(&all);
    let (shown, left_out) = choose(&all, &sides);
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

    let keys = keys(&shown, &sides, overlays);
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
        for (side, path) in lines(paths, &sides) {
            let points = scaled(&path.hoop(), context);
            let pen = stage_pen(k, shown.len()).dashed(DASHES[side % DASHES.len()]);
            chart.curve(&mut sheet, &points, pen);
            // Spread so that no two lines carry markers at one place.
            let turn = (count(k) + 0.5) / count(shown.len()) + 0.37 * count(side);
            let start = MARKERS_APART * (0.25 + turn.fract());
            chart.spaced_markers(&mut sheet, &points, marker(k), [start, MARKERS_APART]);
        }
    }
    for (k, overlay) in overlays.iter().enumerate() {
        let points = scaled(&overlay.profile, context);
        if overlay.points {
            chart.markers(&mut sheet, &points, overlay_marker(k));
        } else {
            // A form that agrees lies on its line: the open markers keep it in sight.
            chart.curve(&mut sheet, &points, overlay_pen(k));
            let start = FORM_MARKERS_APART * (0.2 + 0.25 * count(k % 4));
            chart.spaced_markers(&mut sheet, &points, form_marker(k), [start, FORM_MARKERS_APART]);
        }
    }
    chart.frame(&mut sheet)?;
    legend(&mut sheet, &key_rows, [96.0, bottom + 58.0]);
    save(&sheet, Some(&csv), folder, &name)
}

/// Labels of the snapshots that [`hoop_paths`] draws, so that no overlay stands there alone.
#[must_use]
pub fn drawn_stages(stages: &[StageResult], hole: &Hole) -> Vec<String> {
    let all = with_paths(stages, hole);
    let (shown, _) = choose(&all, &sides(&all));
    shown.iter().map(|(stage, _)| stage.label.clone()).collect()
}

/// The stages with paths of `hole`.
fn with_paths<'a>(stages: &'a [StageResult], hole: &Hole) -> Shown<'a> {
    let paths = |stage: &'a StageResult| -> Vec<&'a StressPath> {
        let of_hole = |path: &&StressPath| path.hole == hole.name && !path.points.is_empty();
        stage.paths.iter().filter(of_hole).collect()
    };
    let all = stages.iter().map(|stage| (stage, paths(stage)));
    all.filter(|(_, paths)| !paths.is_empty()).collect()
}

type Shown<'a> = Vec<(&'a StageResult, Vec<&'a StressPath>)>;

/// The angles of each line: those whose paths agree in every stage, rising.
type Sides = Vec<Vec<f64>>;

/// Joins the angles whose paths carry the same hoop stress at the same distances.
fn sides(all: &Shown) -> Sides {
    let mut angles: Vec<f64> =
        all.iter().flat_map(|(_, paths)| paths.iter().map(|path| path.angle_deg)).collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    let at = |paths: &[&StressPath], angle: f64| {
        paths.iter().find(|path| path.angle_deg.total_cmp(&angle).is_eq()).map(|path| path.hoop())
    };
    let mirror = |one: f64, other: f64| {
        all.iter().all(|(_, paths)| match (at(paths, one), at(paths, other)) {
            (Some(one), Some(other)) => {
                agree(one.distances(), other.distances()) && agree(one.values(), other.values())
            }
            (None, None) => true,
            _ => false,
        })
    };
    let mut sides: Sides = Vec::new();
    for angle in angles {
        match sides.iter_mut().find(|side| mirror(side[0], angle)) {
            Some(side) => side.push(angle),
            None => sides.push(vec![angle]),
        }
    }
    sides
}

/// Whether two lists are equal up to rounding, measured by their largest value.
fn agree(one: &[f64], other: &[f64]) -> bool {
    let size = one.iter().fold(0.0, |size: f64, value| size.max(value.abs()));
    one.len() == other.len() && one.iter().zip(other).all(|(p, q)| (p - q).abs() <= SAME * size)
}

/// The paths to draw of one stage, with the number of their line.
fn lines<'a>(
    paths: &'a [&'a StressPath],
    sides: &'a Sides,
) -> impl Iterator<Item = (usize, &'a StressPath)> {
    sides.iter().enumerate().filter_map(|(k, side)| {
        let first = |path: &&&StressPath| path.angle_deg.total_cmp(&side[0]).is_eq();
        paths.iter().find(first).map(|path| (k, *path))
    })
}

/// The stages to draw and how many were left out.
fn choose<'a>(all: &Shown<'a>, sides: &Sides) -> (Shown<'a>, usize) {
    let lines =
        |shown: &Shown| shown.iter().map(|(_, paths)| lines(paths, sides).count()).sum::<usize>();
    let mut shown = all.clone();
    if lines(&shown) > MOST_LINES && shown.iter().any(|(stage, _)| !stage.loaded) {
        shown.retain(|(stage, _)| !stage.loaded);
    }
    while lines(&shown) > MOST_LINES && shown.len() > 1 {
        shown.remove(0);
    }
    let left_out = all.len() - shown.len();
    (shown, left_out)
}

fn stage_pen(stage: usize, stages: usize) -> Pen {
    let before = count(stages - 1 - stage) / count(stages.max(2) - 1);
    Pen::new(series(stage), WIDTHS[0] + before * (WIDTHS[1] - WIDTHS[0]))
}

fn marker(stage: usize) -> Marker {
    Marker::full(Shape::number(stage), series(stage))
}

fn overlay_pen(k: usize) -> Pen {
    // Colours from the end of the list, where the stages seldom come.
    let colour = SERIES[SERIES.len() - 1 - k % 2];
    Pen::new(colour, 2.0).dashed(OVERLAY_DASHES[k % OVERLAY_DASHES.len()])
}

fn form_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: overlay_pen(k).colour, open: true }
}

fn overlay_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: INK, open: true }
}

/// `90° and 270°`.
fn degrees(angles: &[f64]) -> String {
    let each = angles.iter().map(|angle| {
        let step = if angle.fract() == 0.0 { 1.0 } else { 0.1 };
        format!("{}°", label(*angle, step))
    });
    let mut words: Vec<String> = each.collect();
    let last = words.pop().unwrap_or_default();
    if words.is_empty() { last } else { format!("{} and {last}", words.join(", ")) }
}

fn keys(shown: &Shown, sides: &Sides, overlays: &[Overlay]) -> Vec<Key> {
    let stages = shown.iter().enumerate().map(|(k, (stage, _))| {
        let words = if stage.heading.is_empty() { &stage.label } else { &stage.heading };
        Key::new(Sample::Marked(stage_pen(k, shown.len()), marker(k)), words.clone())
    });
    let directions = sides.iter().enumerate().map(|(k, angles)| {
        let pen = Pen::new(MESH, 2.0).dashed(DASHES[k % DASHES.len()]);
        Key::new(Sample::Line(pen), format!("at {} from +x", degrees(angles)))
    });
    let further = overlays.iter().enumerate().map(|(k, overlay)| {
        let sample = if overlay.points {
            Sample::Marker(overlay_marker(k))
        } else {
            Sample::Marked(overlay_pen(k), form_marker(k))
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
