//! The watched point of a run: hoop stress against hoop strain, and the path of its stress in
//! the deviatoric plane.
//!
//! The deviatoric plane is seen along the line of equal stresses, scaled so that the distance
//! from the origin is the von Mises stress: `x = (√3/2)(σr − σz)`, `y = σθ − (σr + σz)/2`. A
//! pull along the hoop goes straight up. The yield surface of von Mises is a circle there, its
//! radius the yield stress, its centre the backstress. The axes are principal as long as the
//! shear about the hole vanishes, as at an edge and along a mirror line; the line under the
//! title says when it does not.

use std::f64::consts::TAU;
use std::path::Path;

use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::plot::level::{count, label};
use crate::process::trace::{Stretch, Trace, TraceRecord};
use crate::tensor::Polar;

/// Shear over the yield stress, above which the picture says that it leaves it out.
const SHEAR: f64 = 0.02;
/// Change of centre or radius over the first radius, above which a circle is drawn anew.
const MOVED: f64 = 0.01;

/// Hoop stress against hoop strain of the watched point, into `edge-loop-HOLE.svg`, `.png` and
/// `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] when nothing was recorded; otherwise as [`curve_chart`].
pub fn edge_loop(
    trace: &Trace,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let curves = curves(&trace.stretches(), |record| on_loop(record, context));
    curve_chart(
        &CurveChart::new(
            [
                &format!("edge-loop-{}", trace.hole().name),
                &format!("Stress and strain in the metal beside hole {}", trace.hole().name),
                &place(trace, context),
            ],
            ["Hoop strain (%)", &context.stress_axis("Hoop stress")],
            &curves,
        ),
        context,
        folder,
    )
}

/// Path of the watched point's stress in the deviatoric plane, with the yield circle at the
/// start, at the end of each phase that moved or grew it, into `deviatoric-path-HOLE.svg`,
/// `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] when nothing was recorded; otherwise as [`curve_chart`].
pub fn deviatoric_path(
    trace: &Trace,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let stretches = trace.stretches();
    let on_plane = |stress: &Polar| deviatoric(stress).map(|value| context.stress(value));
    let mut curves_drawn = Vec::new();
    let Some(first) = trace.records.first() else {
        return Err(FigureError::Nothing {
            figure: "deviatoric-path".to_owned(),
            missing: "record",
        });
    };
    let circle = |record: &TraceRecord, label: String, look: Look| {
        let [x, y] = on_plane(&record.backstress);
        let radius = context.stress(record.yield_stress);
        let points = (0..=120).map(|k| {
            let (sin, cos) = (TAU * count(k) / 120.0).sin_cos();
            [x + radius * cos, y + radius * sin]
        });
        Curve { label, points: points.collect(), look }
    };
    curves_drawn.push(circle(first, "yield circle at the start".to_owned(), Look::Guide));
    let mut shown = first;
    for (k, stretch) in stretches.iter().enumerate() {
        let Some(end) = stretch.records.last() else { continue };
        if moved(shown, end) {
            let words = format!("yield circle after {}", stretch.words);
            curves_drawn.push(circle(end, words, Look::Dashed(k)));
            shown = end;
        }
    }
    curves_drawn.extend(axes(&curves_drawn));
    curves_drawn.extend(curves(&stretches, |r| on_plane(&r.stress)));
    let shear = trace.records.iter().map(|r| (r.stress.shear / r.yield_stress).abs());
    let shear = shear.fold(0.0, f64::max);
    let mut stage = place(trace, context);
    if shear > SHEAR {
        let percent = label(100.0 * shear, 1.0);
        stage = format!("{stage}; shear of up to {percent} % of yield left out");
    }
    let chart = CurveChart {
        name: &format!("deviatoric-path-{}", trace.hole().name),
        title: "Stress path in the deviatoric plane",
        stage: &stage,
        x: &context.stress_axis("(√3/2)(radial − axial)"),
        y: &context.stress_axis("hoop − (radial + axial)/2"),
        equal: true,
        smooth: false,
        curves: &curves_drawn,
    };
    curve_chart(&chart, context, folder)
}

/// Coordinates `[x, y]` in the deviatoric plane, MPa, see the head of this module.
#[must_use]
pub fn deviatoric(stress: &Polar) -> [f64; 2] {
    let Polar { radial, hoop, axial, .. } = *stress;
    [0.5 * 3.0_f64.sqrt() * (radial - axial), hoop - 0.5 * (radial + axial)]
}

/// Hoop strain in per cent and hoop stress in the unit printed.
pub(crate) fn on_loop(record: &TraceRecord, context: FigureContext) -> [f64; 2] {
    [100.0 * record.strain.hoop, context.stress(record.stress.hoop)]
}

/// The phases of a run as curves, each in its colour; where a cut took the followed point away, a
/// thin line leads to the one that is followed from there on.
pub(crate) fn curves(
    stretches: &[Stretch<'_>],
    point: impl Fn(&TraceRecord) -> [f64; 2],
) -> Vec<Curve> {
    let mut words: Vec<&str> = Vec::new();
    let mut curves: Vec<Curve> = Vec::with_capacity(stretches.len());
    let mut before: Option<[f64; 2]> = None;
    for stretch in stretches {
        // A load that comes again is drawn in the colour it had.
        let known = words.iter().position(|w| *w == stretch.words);
        let colour = known.unwrap_or(words.len());
        if known.is_none() {
            words.push(&stretch.words);
        }
        let points: Vec<[f64; 2]> = stretch.records.iter().map(|record| point(record)).collect();
        let (first, last) = (points.first().copied(), points.last().copied());
        if let (Some(end), Some(first)) = (before, first.filter(|first| before != Some(*first))) {
            curves.push(Curve {
                label: "to the nearest point that the cut left".to_owned(),
                points: vec![end, first],
                look: Look::Guide,
            });
        }
        curves.push(Curve { label: stretch.words.clone(), points, look: Look::Line(colour) });
        before = last;
    }
    curves
}

/// Traces of the three stress axes, as long as the largest circle.
fn axes(circles: &[Curve]) -> Vec<Curve> {
    let points = circles.iter().flat_map(|circle| &circle.points);
    let reach = points.fold(0.0, |reach: f64, [x, y]| reach.max(x.hypot(*y)));
    [90.0_f64, 210.0, 330.0]
        .map(|degrees| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            Curve {
                label: "axes: hoop up, axial left, radial right".to_owned(),
                points: vec![[0.0, 0.0], [1.1 * reach * cos, 1.1 * reach * sin]],
                look: Look::Axis,
            }
        })
        .into()
}

fn moved(one: &TraceRecord, other: &TraceRecord) -> bool {
    let [x, y] = deviatoric(&one.backstress);
    let [u, v] = deviatoric(&other.backstress);
    let grown = (one.yield_stress - other.yield_stress).abs();
    (x - u).hypot(y - v).max(grown) > MOVED * one.yield_stress
}

fn place(trace: &Trace, context: FigureContext) -> String {
    let Some(record) = trace.records.first() else { return String::new() };
    let hole = trace.hole();
    let depth = context.length(hole.distance_to(record.position) - hole.radius());
    format!(
        "integration point {} {} from the edge as drilled, at {}°",
        label(depth, 1e-3),
        context.units.length_name(),
        label(trace.watched().angle.to_degrees(), 1.0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_distance_from_the_origin_is_the_von_mises_stress() {
        let stress = Polar { radial: -120.0, hoop: 75.0, axial: 33.0, shear: 0.0 };
        let [x, y] = deviatoric(&stress);
        assert_relative_eq!(x.hypot(y), stress.cartesian(0.3).von_mises(), max_relative = 1e-12);
    }

    #[test]
    fn equal_stresses_lie_at_the_origin_and_a_hoop_pull_goes_straight_up() {
        let all = Polar { radial: 50.0, hoop: 50.0, axial: 50.0, shear: 0.0 };
        assert!(deviatoric(&all).iter().all(|value| value.abs() < 1e-12));
        let pull = Polar { hoop: 210.0, ..Polar::default() };
        assert_relative_eq!(deviatoric(&pull)[1], 210.0);
        assert!(deviatoric(&pull)[0].abs() < 1e-12);
    }
}
