//! Stress against distance from the edge, increment by increment.

use std::path::Path;

use crate::numeric::profile::Profile;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::plot::level::label;
use crate::process::job::Job;
use crate::process::trace::{Frame, Trace};
use crate::result::frames::read_frame;
use crate::result::path::{PathPoint, StressPath};

/// Lines of one phase at most, in a run of two phases and in a longer one; more cannot be told
/// apart.
const MOST: [usize; 2] = [4, 1];
/// Ends of phases that differ by less than this share of the highest stress are one line.
const SAME: f64 = 0.01;

/// Which stress is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Component {
    /// Along the circumference.
    Hoop,
    /// Along the radius.
    Radial,
}

/// Profiles along the watched direction in a few frames of every phase, into
/// `hoop-steps-HOLE.svg` (or `radial-…`), `.png` and `.csv`. `reach` is the largest distance
/// shown, mm; `further` are curves laid over, in the units of the case.
///
/// The end of a phase is a full line; in a run of two phases some increments before it are dashed
/// lines in the colour of the phase. Ends that agree are one line with both names.
///
/// # Errors
/// [`FigureError::Nothing`] when no frame was kept; [`FigureError::Mesh`] when a frame cannot be
/// read; otherwise as [`curve_chart`].
pub fn stress_steps(
    trace: &Trace,
    job: &Job,
    (component, reach): (Component, f64),
    further: &[Curve],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let (word, value): (_, fn(&PathPoint) -> f64) = match component {
        Component::Hoop => ("hoop", |point| point.stress.hoop),
        Component::Radial => ("radial", |point| point.stress.radial),
    };
    let name = format!("{word}-steps-{}", trace.hole().name);
    let mut curves: Vec<Curve> = Vec::new();
    for (colour, (words, frames)) in phases(trace).into_iter().enumerate() {
        for (k, frame) in frames.iter().enumerate() {
            let path = read_frame(trace, frame, job)
                .map_err(|_| FigureError::Mesh { figure: name.clone() })?
                .1;
            let last = k + 1 == frames.len();
            let points = points(&path, value, reach, context);
            let twin = curves.iter_mut().find(|curve| last && same(&curve.points, &points));
            if let Some(twin) = twin {
                twin.label = format!("{} and after {words}", twin.label);
                continue;
            }
            curves.push(Curve {
                label: if last { format!("after {words}") } else { format!("during {words}") },
                points,
                look: if last { Look::Line(colour) } else { Look::Dashed(colour) },
            });
        }
    }
    curves.extend_from_slice(further);
    let title =
        format!("{} stress through the steps", if word == "hoop" { "Hoop" } else { "Radial" });
    curve_chart(
        &CurveChart::new(
            [&name, &title, &format!("at {}°", label(trace.watched().angle.to_degrees(), 1.0))],
            [
                &context
                    .length_axis(&format!("Distance from the edge of hole {}", trace.hole().name)),
                &context.stress_axis(&title.replace(" through the steps", "")),
            ],
            &curves,
        )
        .smooth(),
        context,
        folder,
    )
}

/// The profile up to `reach`, its last point between two of the path.
fn points(
    path: &StressPath,
    value: fn(&PathPoint) -> f64,
    reach: f64,
    context: FigureContext,
) -> Vec<[f64; 2]> {
    let distances = path.points.iter().map(|point| point.distance).collect();
    let profile = Profile::new(distances, path.points.iter().map(value).collect());
    let within = profile.up_to(reach);
    let end = profile.distances().last().is_some_and(|last| *last > reach);
    let pairs = within.distances().iter().copied().zip(within.values().iter().copied());
    let end = end.then(|| profile.at(reach).map(|value| (reach, value))).flatten();
    pairs.chain(end).map(|(x, s)| [context.length(x), context.stress(s)]).collect()
}

/// Whether two profiles over the same places are one line to the eye.
fn same(one: &[[f64; 2]], other: &[[f64; 2]]) -> bool {
    let size = one.iter().chain(other).fold(0.0, |size: f64, point| size.max(point[1].abs()));
    let profile = |points: &[[f64; 2]]| {
        Profile::new(
            points.iter().map(|point| point[0]).collect(),
            points.iter().map(|point| point[1]).collect(),
        )
    };
    let (one, other) = (profile(one), profile(other));
    let near = |places: &[f64]| {
        places.iter().all(|place| match (one.at(*place), other.at(*place)) {
            (Some(a), Some(b)) => (a - b).abs() <= SAME * size,
            _ => false,
        })
    };
    near(one.distances()) && near(other.distances())
}

/// The frames of each phase, thinned evenly, its last always kept.
fn phases(trace: &Trace) -> Vec<(String, Vec<&Frame>)> {
    let mut phases: Vec<(String, Vec<&Frame>)> = Vec::new();
    let stretches = trace.stretches();
    let most = MOST[usize::from(stretches.len() > 2)];
    for stretch in stretches {
        let belongs = |frame: &&Frame| {
            let record = &trace.records[frame.record];
            let end = stretch.records.last();
            end.is_some_and(|end| end.stage == record.stage && end.phase == record.phase)
                && stretch.records.iter().any(|r| r.increment == record.increment)
        };
        let frames: Vec<&Frame> = trace.frames.iter().filter(belongs).collect();
        let each = frames.len().div_ceil(most).max(1);
        let kept = frames.iter().rev().step_by(each).rev().copied().collect::<Vec<_>>();
        if !kept.is_empty() {
            phases.push((stretch.words, kept));
        }
    }
    phases
}
