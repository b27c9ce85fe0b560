//! Hoop stress against distance from the edge of one hole: every path and stage on one
//! chart, with theory, measured points and a band of the hardening law laid over.
//!
//! Colour, width and marker tell the stage, the dash tells the angle, so the chart survives
//! print. Paths that mirror each other are one line; a later stage is drawn thinner and on
//! top, so that an earlier one behind it stays visible.
//!
//! Floor 9, `plot`.

mod choice;

use std::fmt::Write as _;
use std::path::Path;

use crate::geometry::hole::Hole;
use crate::numeric::profile::Profile;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, Sample, legend, rows};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::charts::measured::{Measured, MeasuredPoint};
use crate::plot::charts::paths::choice::{Shown, Sides, choose, lines, sides, with_paths};
use crate::plot::charts::scales::{Normal, Scales};
use crate::plot::figure::{Figure, FigureContext, FigureError, cell, check_finite, save};
use crate::plot::level::{count, degrees};
use crate::plot::paper::colour::{BAND, INK, MESH, SERIES, series};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::result::stage::StageResult;

pub use choice::drawn_stages;

/// A further line: a closed form, or another run.
#[derive(Clone, Debug, PartialEq)]
pub struct Overlay {
    /// Words in the legend, with the source.
    pub label: String,
    /// Hoop stress (MPa) against distance from the hole edge (mm).
    pub profile: Profile,
}

/// An area between two profiles, e.g. what the hardening law leaves open.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Words in the legend.
    pub label: String,
    /// Its two ends, hoop stress (MPa) against distance from the hole edge (mm); they may cross.
    pub ends: [Profile; 2],
}

/// Contents of a chart of paths beside the stages.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PathChart<'a> {
    /// Further lines.
    pub overlays: &'a [Overlay],
    /// Measured points; those of other holes are left out.
    pub measured: &'a [Measured],
    /// Areas behind the lines.
    pub bands: &'a [Band],
    /// Largest distance shown, mm; 3 diameters when `None`.
    pub reach: Option<f64>,
    /// Length and stress that values are divided by; the units of the case when `None`.
    pub normal: Option<Normal<'a>>,
}

/// Hole diameters shown when the caller names no reach.
const REACH: f64 = 3.0;
/// Distance of two markers of one line along it.
const MARKERS_APART: f64 = 280.0;
/// The same for an overlaid line.
const FORM_MARKERS_APART: f64 = 80.0;
/// Width of the last stage's lines and of the first's.
const WIDTHS: [f64; 2] = [1.8, 4.4];
const SIZE: [f64; 2] = [1000.0, 750.0];
const DASHES: [&[f64]; 4] = [&[], &[9.0, 4.0], &[2.5, 3.0], &[12.0, 4.0, 2.5, 4.0]];
const OVERLAY_DASHES: [&[f64]; 4] =
    [&[6.0, 6.0], &[2.0, 4.0], &[10.0, 3.0, 2.0, 3.0], &[12.0, 6.0]];

/// Hoop stress along the paths of `hole`, into `hoop-paths-HOLE.svg`, `.png` and `.csv`.
///
/// More than eight lines are thinned: first those under tool or load go, then the earlier
/// stages; the line under the title says what was left out. The CSV always holds all.
///
/// # Errors
/// [`FigureError::Nothing`] when no stage has a path of `hole`; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn hoop_paths(
    stages: &[StageResult],
    hole: &Hole,
    beside: &PathChart<'_>,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("hoop-paths-{}", hole.name);
    let all = with_paths(stages, hole);
    if all.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    }
    check(&name, &all, beside)?;
    let sides = sides(&all);
    let (shown, left_out) = choose(&all, &sides);
    let stage_words = if left_out == 0 {
        "all stages".to_owned()
    } else {
        format!("{} of {} snapshots drawn, all in the CSV", shown.len(), all.len())
    };
    let first = stages.iter().flat_map(|stage| &stage.paths).next();
    let own = Measures {
        of: beside.measured,
        hole: &hole.name,
        first: first.is_some_and(|path| path.hole == hole.name),
    };
    let scales = Scales::new(context, beside.normal);
    let [x, y] = axes(&shown, hole, (beside, &own), scales);

    let keys = keys(&shown, &sides, beside, &own);
    let key_rows = rows(&keys, SIZE[0] - 116.0)?;
    let bottom = SIZE[1] - 64.0 - count(key_rows.len()) * ROW - 14.0;
    let window = Window { low: [96.0, HEAD], high: [SIZE[0] - 30.0, bottom] };
    let chart = Chart { window, x, y };
    let title = format!("Hoop stress along paths from hole {}", hole.name);
    let mut sheet = Sheet::new(SIZE, &title, &context.subtitle(&stage_words));
    for band in beside.bands {
        let ends = band.ends.each_ref().map(|end| over(end, &band.ends, scales));
        chart.between(&mut sheet, [&ends[0], &ends[1]], BAND);
    }
    chart.grid(&mut sheet);
    chart.curve(&mut sheet, &[[chart.x.low, 0.0], [chart.x.high, 0.0]], Pen::new(INK, 1.4));
    lay_stages(&mut sheet, &chart, (&shown, &sides), scales);
    for (k, overlay) in beside.overlays.iter().enumerate() {
        let points = scaled(&overlay.profile, scales);
        // A form that agrees lies on its line: the open markers keep it in sight.
        chart.curve(&mut sheet, &points, overlay_pen(k));
        let start = FORM_MARKERS_APART * (0.2 + 0.25 * count(k % 4));
        chart.spaced_markers(&mut sheet, &points, form_marker(k), [start, FORM_MARKERS_APART]);
    }
    for (k, points) in own.each() {
        lay_measured(&mut sheet, &chart, &points, measured_marker(k), scales);
    }
    chart.frame(&mut sheet)?;
    legend(&mut sheet, &key_rows, [96.0, bottom + 58.0]);
    save(&sheet, Some(&table(&all, beside, &own, scales)), folder, &name)
}

/// The measured points of one hole.
struct Measures<'a> {
    of: &'a [Measured],
    hole: &'a str,
    /// Whether it is the first of the plate, to which points without a hole belong.
    first: bool,
}

impl Measures<'_> {
    /// Every measurement that has points here, with its number.
    fn each(&self) -> impl Iterator<Item = (usize, Vec<&MeasuredPoint>)> {
        let each = self.of.iter().enumerate();
        each.map(|(k, measured)| (k, measured.of_hole(self.hole, self.first).collect::<Vec<_>>()))
            .filter(|(_, points)| !points.is_empty())
    }
}

fn check(name: &str, all: &Shown, beside: &PathChart<'_>) -> Result<(), FigureError> {
    for path in all.iter().flat_map(|(_, paths)| paths) {
        let profile = path.hoop();
        check_finite(name, "hoop stress on a path", profile.values())?;
        check_finite(name, "distance on a path", profile.distances())?;
    }
    for overlay in beside.overlays {
        check_finite(name, "overlaid stress", overlay.profile.values())?;
    }
    for end in beside.bands.iter().flat_map(|band| &band.ends) {
        check_finite(name, "stress of a band", end.values())?;
    }
    let measured = || beside.measured.iter().flat_map(|measured| &measured.points);
    check_finite(name, "measured stress", measured().map(|point| &point.hoop))?;
    check_finite(name, "distance of a measured point", measured().map(|point| &point.distance))
}

/// Axes that hold everything up to the reach.
fn axes(
    shown: &Shown,
    hole: &Hole,
    (beside, own): (&PathChart<'_>, &Measures<'_>),
    scales: Scales,
) -> [Axis; 2] {
    let ends = shown.iter().flat_map(|(_, paths)| paths).filter_map(|path| path.points.last());
    let end = ends.fold(0.0, |end: f64, point| end.max(point.distance));
    let reach = end.min(beside.reach.unwrap_or(REACH * hole.starting_diameter));
    let x = Axis::exact(
        0.0,
        scales.length(reach),
        10,
        scales.length_axis(&format!("Distance from the edge of hole {}", hole.name)),
    );
    let profiles = shown.iter().flat_map(|(_, paths)| paths.iter().map(|path| path.hoop()));
    let further = beside.overlays.iter().map(|overlay| &overlay.profile);
    let further = further.chain(beside.bands.iter().flat_map(|band| &band.ends)).cloned();
    let lines = profiles.chain(further).flat_map(|profile| scaled(&profile, scales));
    let bars = own.each().flat_map(|(_, points)| points).flat_map(|point| {
        let spread = point.plus_minus.unwrap_or(0.0);
        [-spread, spread]
            .map(|off| [scales.length(point.distance), scales.stress(point.hoop + off)])
    });
    let (mut low, mut high) = (0.0f64, 0.0f64);
    for [distance, value] in lines.chain(bars) {
        if distance <= x.high {
            low = low.min(value);
            high = high.max(value);
        }
    }
    let y = Axis::rounded(low, high, 9, scales.stress_axis("Hoop stress"));
    [x, y]
}

fn lay_stages(sheet: &mut Sheet, chart: &Chart, (shown, sides): (&Shown, &Sides), scales: Scales) {
    for (k, (_, paths)) in shown.iter().enumerate() {
        for (side, path) in lines(paths, sides) {
            let points = scaled(&path.hoop(), scales);
            let pen = stage_pen(k, shown.len()).dashed(DASHES[side % DASHES.len()]);
            chart.curve(sheet, &points, pen);
            // Spread so that no two lines carry markers at one place.
            let turn = (count(k) + 0.5) / count(shown.len()) + 0.37 * count(side);
            let start = MARKERS_APART * (0.25 + turn.fract());
            chart.spaced_markers(sheet, &points, marker(k), [start, MARKERS_APART]);
        }
    }
}

fn lay_measured(
    sheet: &mut Sheet,
    chart: &Chart,
    points: &[&MeasuredPoint],
    marker: Marker,
    scales: Scales,
) {
    for point in points {
        let at = |off: f64| [scales.length(point.distance), scales.stress(point.hoop + off)];
        if let Some(spread) = point.plus_minus {
            chart.error_bar(sheet, [at(-spread), at(spread)], Pen::new(INK, 1.2));
        }
        chart.markers(sheet, &[at(0.0)], marker);
    }
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

fn measured_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: INK, open: true }
}

/// `90° and 270°`.
fn angles(angles: &[f64]) -> String {
    let mut words: Vec<String> = angles.iter().map(|angle| degrees(*angle)).collect();
    let last = words.pop().unwrap_or_default();
    if words.is_empty() { last } else { format!("{} and {last}", words.join(", ")) }
}

fn keys(shown: &Shown, sides: &Sides, beside: &PathChart<'_>, own: &Measures<'_>) -> Vec<Key> {
    let stages = shown.iter().enumerate().map(|(k, (stage, _))| {
        let words = if stage.heading.is_empty() { &stage.label } else { &stage.heading };
        Key::new(Sample::Marked(stage_pen(k, shown.len()), marker(k)), words.clone())
    });
    let directions = sides.iter().enumerate().map(|(k, side)| {
        let pen = Pen::new(MESH, 2.0).dashed(DASHES[k % DASHES.len()]);
        Key::new(Sample::Line(pen), format!("at {} from +x", angles(side)))
    });
    let further = beside.overlays.iter().enumerate().map(|(k, overlay)| {
        Key::new(Sample::Marked(overlay_pen(k), form_marker(k)), overlay.label.clone())
    });
    let bands = beside.bands.iter().map(|band| Key::new(Sample::Area(BAND), band.label.clone()));
    let measured = own.each().map(|(k, _)| {
        Key::new(Sample::Marker(measured_marker(k)), beside.measured[k].label.clone())
    });
    let mut keys: Vec<Key> =
        stages.chain(directions).chain(further).chain(bands).chain(measured).collect();
    // Bands of several directions are one thing.
    let mut known: Vec<String> = Vec::new();
    keys.retain(|key| {
        let new = !known.contains(&key.label);
        known.push(key.label.clone());
        new
    });
    keys
}

fn scaled(profile: &Profile, scales: Scales) -> Vec<[f64; 2]> {
    let pairs = profile.distances().iter().zip(profile.values());
    pairs.map(|(x, y)| [scales.length(*x), scales.stress(*y)]).collect()
}

/// One end of a band at the distances of both, as far as both reach.
fn over(end: &Profile, both: &[Profile; 2], scales: Scales) -> Vec<[f64; 2]> {
    let last = |profile: &Profile| profile.distances().last().copied().unwrap_or(0.0);
    let reach = last(&both[0]).min(last(&both[1]));
    let mut places: Vec<f64> = both.iter().flat_map(Profile::distances).copied().collect();
    places.retain(|place| *place <= reach);
    places.sort_by(f64::total_cmp);
    places.dedup();
    let point = |place: f64| Some([scales.length(place), scales.stress(end.at(place)?)]);
    places.into_iter().filter_map(point).collect()
}

fn table(all: &Shown, beside: &PathChart<'_>, own: &Measures<'_>, scales: Scales) -> String {
    let [length, stress] = scales.columns("distance", "hoop");
    let mut text = format!("curve,angle_deg,{length},{stress}\n");
    let mut put = |curve: &str, angle: &str, points: &[[f64; 2]]| {
        for [distance, value] in points {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{angle},{distance},{value}", cell(curve));
        }
    };
    for (stage, paths) in all {
        for path in paths {
            put(&stage.label, &path.angle_deg.to_string(), &scaled(&path.hoop(), scales));
        }
    }
    for overlay in beside.overlays {
        put(&overlay.label, "", &scaled(&overlay.profile, scales));
    }
    for band in beside.bands {
        for (end, profile) in ["one end", "other end"].iter().zip(&band.ends) {
            put(&format!("{}, {end}", band.label), "", &scaled(profile, scales));
        }
    }
    for (k, points) in own.each() {
        for point in points {
            let angle = point.angle_deg.map_or_else(String::new, |angle| angle.to_string());
            let at = [scales.length(point.distance), scales.stress(point.hoop)];
            put(&beside.measured[k].label, &angle, &[at]);
        }
    }
    text
}
