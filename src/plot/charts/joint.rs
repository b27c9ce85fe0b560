//! Forces along a doubler, in the plate, in the doubler, and of its fasteners; what a hole gains by it.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::process::joint_reading::JointReading;
use crate::result::path::StressPath;
use crate::result::stage::StageResult;
use crate::units::quantity::Quantity;

/// Hole diameters that a comparison shows.
const REACH: f64 = 2.0;

/// Forces in the sections of plate and doubler against their place, with what every fastener carries, of the
/// state `label`, described as `heading`, into `LABEL-forces-DOUBLER.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without sections; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn joint_forces(
    joint: &JointReading,
    [label, heading]: [&str; 2],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{label}-forces-{}", joint.doubler);
    if joint.sections.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "section" });
    }
    let force = |newtons: f64| Quantity::Force.at_border(newtons, context.units);
    let place = |mm: f64| context.length(mm);
    let sections = |of: fn(&crate::process::joint_reading::SectionForces) -> f64| {
        joint.sections.iter().map(|section| [place(section.at), force(of(section))]).collect()
    };
    let mut curves = vec![
        Curve {
            label: "in the plate".to_owned(),
            points: sections(|section| section.plate),
            look: Look::Bare(0),
        },
        Curve {
            label: format!("in doubler {}", joint.doubler),
            points: sections(|section| section.doubler),
            look: Look::Bare(1),
        },
    ];
    if !joint.fasteners.is_empty() {
        let points = joint.fasteners.iter().map(|fastener| {
            let [x, y] = fastener.force;
            [place(fastener.at), force(x.hypot(y))]
        });
        curves.push(Curve {
            label: "of each fastener".to_owned(),
            points: points.collect(),
            look: Look::Markers(2),
        });
    }
    let axis = ["x", "y"][joint.along];
    let unit = context.units.force_name();
    curve_chart(
        &CurveChart::new(
            [&name, &format!("Forces along doubler {}", joint.doubler), heading],
            [&context.length_axis(&format!("Place along {axis}")), &format!("Force ({unit})")],
            &curves,
        ),
        context,
        folder,
    )
}

/// Hoop stress from the edge of `hole` under one load without a doubler and with it, along the path whose edge
/// that load pulls most without it, into `LABEL-doubler-at-HOLE.svg`, `.png` and `.csv`; `LABEL` is that
/// of the stage with it.
///
/// # Errors
/// [`FigureError::Nothing`] when a stage has no path of `hole`; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn hoop_with_doubler(
    [without, with]: [&StageResult; 2],
    hole: &Hole,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{}-doubler-at-{}", with.label, hole.name);
    let edge = |path: &StressPath| path.points.first().map_or(f64::MIN, |point| point.stress.hoop);
    let of_hole = |path: &&StressPath| path.hole == hole.name;
    let most = without.paths.iter().filter(of_hole).max_by(|a, b| edge(a).total_cmp(&edge(b)));
    let Some(angle) = most.map(|path| path.angle_deg) else {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    };
    let curve = |(number, (stage, words)): (usize, (&StageResult, &str))| {
        let same = |path: &&StressPath| (path.angle_deg - angle).abs() < 1e-6;
        let path = stage.paths.iter().filter(of_hole).find(same)?;
        let near =
            path.points.iter().filter(|point| point.distance <= REACH * hole.starting_diameter);
        let place = |point: &crate::result::path::PathPoint| {
            [context.length(point.distance), context.stress(point.stress.hoop)]
        };
        Some(Curve {
            label: format!("{words}, {}", stage.label),
            points: near.map(place).collect(),
            look: Look::Bare(number),
        })
    };
    let both = [(without, "without a doubler"), (with, "with it")];
    let curves: Vec<Curve> = both.into_iter().enumerate().filter_map(curve).collect();
    if curves.len() < 2 {
        return Err(FigureError::Nothing { figure: name, missing: "path" });
    }
    let title = format!("Hoop stress from hole {} under load, with and without doubler", hole.name);
    let path = format!("path at {}°", angle.round());
    curve_chart(
        &CurveChart::new(
            [&name, &title, &path],
            [&context.length_axis("Distance from the edge"), &context.stress_axis("Hoop stress")],
            &curves,
        ),
        context,
        folder,
    )
}
