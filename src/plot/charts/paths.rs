//! Hoop stress against distance from the edge of one hole: every path and stage on one
//! chart, with theory, measured points and a band of the hardening law laid over.
//!
//! Colour, width and marker tell the stage, the dash tells the angle, so the chart survives
//! print. Paths that mirror each other are one line; a later stage is drawn thinner and on
//! top, so that an earlier one behind it stays visible.

mod choice;
mod contents;
mod looks;

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{ROW, legend, rows};
use crate::plot::charts::marker::Marker;
use crate::plot::charts::paths::choice::{Shown, Sides, choose, lines, sides, with_paths};
use crate::plot::charts::paths::contents::{Measures, over, scaled, table};
use crate::plot::charts::paths::looks::{
    DASHES, form_marker, keys, marker, measured_marker, overlay_pen, stage_pen,
};
use crate::plot::charts::scales::Scales;
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::level::count;
use crate::plot::paper::colour::{BAND, INK};
use crate::plot::paper::sheet::{HEAD, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::process::measured::MeasuredPoint;
use crate::result::stage::StageResult;

pub use choice::drawn_stages;
pub use contents::{Band, Overlay, PathChart};

/// Hole diameters shown when the caller names no reach.
const REACH: f64 = 3.0;
/// Distance of two markers of one line along it.
const MARKERS_APART: f64 = 280.0;
/// The same for an overlaid line.
const FORM_MARKERS_APART: f64 = 80.0;
const SIZE: [f64; 2] = [1000.0, 750.0];

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
    check_finite(name, "measured stress", measured().map(|point| &point.stress))?;
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
            .map(|off| [scales.length(point.distance), scales.stress(point.stress + off)])
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
        let at = |off: f64| [scales.length(point.distance), scales.stress(point.stress + off)];
        if let Some(spread) = point.plus_minus {
            chart.error_bar(sheet, [at(-spread), at(spread)], Pen::new(INK, 1.2));
        }
        chart.markers(sheet, &[at(0.0)], marker);
    }
}
