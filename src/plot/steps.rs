//! Stress against distance from the edge, increment by increment.
//!
//! Floor 7, `plot`.

use std::path::Path;

use crate::plot::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::plot::level::label;
use crate::process::job::Job;
use crate::process::trace::{Frame, Trace};
use crate::result::frames::read_frame;
use crate::result::path::{PathPoint, StressPath};

/// Lines of one phase at most, in a run of two phases and in a longer one; more cannot be told
/// apart.
const MOST: [usize; 2] = [4, 2];

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
/// The end of a phase is a full line, what came before it dashed, in the colour of the phase.
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
    let mut curves = Vec::new();
    for (colour, (words, frames)) in phases(trace).into_iter().enumerate() {
        for (k, frame) in frames.iter().enumerate() {
            let path = read_frame(trace, frame, job)
                .map_err(|_| FigureError::Mesh { figure: name.clone() })?
                .1;
            let last = k + 1 == frames.len();
            let record = &trace.records[frame.record];
            curves.push(Curve {
                label: if last {
                    format!("{words}, end")
                } else {
                    let percent = label(100.0 * record.share, 1.0);
                    if frames.len() > 2 {
                        format!("{words}, on the way")
                    } else {
                        format!("{words}, {percent} %")
                    }
                },
                points: points(&path, value, reach, context),
                look: if last { Look::Line(colour) } else { Look::Dashed(colour) },
            });
        }
    }
    curves.extend_from_slice(further);
    let title =
        format!("{} stress through the steps", if word == "hoop" { "Hoop" } else { "Radial" });
    let chart = CurveChart {
        name: &name,
        title: &title,
        stage: &format!("at {}°", label(trace.watched().angle.to_degrees(), 1.0)),
        x: &context.length_axis(&format!("Distance from the edge of hole {}", trace.hole().name)),
        y: &context.stress_axis(&title.replace(" through the steps", "")),
        equal: false,
        curves: &curves,
    };
    curve_chart(&chart, context, folder)
}

fn points(
    path: &StressPath,
    value: fn(&PathPoint) -> f64,
    reach: f64,
    context: FigureContext,
) -> Vec<[f64; 2]> {
    let shown = path.points.iter().filter(|point| point.distance <= reach);
    shown.map(|p| [context.length(p.distance), context.stress(value(p))]).collect()
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
