//! Pens, markers and the legend of a chart of paths.

use crate::plot::charts::legend::{Key, Sample};
use crate::plot::charts::marker::{Marker, Shape};
use crate::plot::charts::paths::choice::{Shown, Sides};
use crate::plot::charts::paths::contents::{Measures, PathChart};
use crate::plot::level::{count, degrees};
use crate::plot::paper::colour::{BAND, INK, MESH, SERIES, series};
use crate::plot::paper::sheet::Pen;

/// Width of the last stage's lines and of the first's.
const WIDTHS: [f64; 2] = [1.8, 4.4];
/// One dash for each direction.
pub(super) const DASHES: [&[f64]; 4] = [&[], &[9.0, 4.0], &[2.5, 3.0], &[12.0, 4.0, 2.5, 4.0]];
const OVERLAY_DASHES: [&[f64]; 4] =
    [&[6.0, 6.0], &[2.0, 4.0], &[10.0, 3.0, 2.0, 3.0], &[12.0, 6.0]];

pub(super) fn stage_pen(stage: usize, stages: usize) -> Pen {
    let before = count(stages - 1 - stage) / count(stages.max(2) - 1);
    Pen::new(series(stage), WIDTHS[0] + before * (WIDTHS[1] - WIDTHS[0]))
}

pub(super) fn marker(stage: usize) -> Marker {
    Marker::full(Shape::number(stage), series(stage))
}

pub(super) fn overlay_pen(k: usize) -> Pen {
    // Colours from the end of the list, where the stages seldom come.
    let colour = SERIES[SERIES.len() - 1 - k % 2];
    Pen::new(colour, 2.0).dashed(OVERLAY_DASHES[k % OVERLAY_DASHES.len()])
}

pub(super) fn form_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: overlay_pen(k).colour, open: true }
}

pub(super) fn measured_marker(k: usize) -> Marker {
    Marker { shape: Shape::number(k), colour: INK, open: true }
}

/// `90° and 270°`.
fn angles(angles: &[f64]) -> String {
    let mut words: Vec<String> = angles.iter().map(|angle| degrees(*angle)).collect();
    let last = words.pop().unwrap_or_default();
    if words.is_empty() { last } else { format!("{} and {last}", words.join(", ")) }
}

pub(super) fn keys(
    shown: &Shown,
    sides: &Sides,
    beside: &PathChart<'_>,
    own: &Measures<'_>,
) -> Vec<Key> {
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
