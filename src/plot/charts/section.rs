//! Charts of a section: hoop stress at every depth, beside the plane, diameter along the bore, pull force.

use std::path::Path;

use crate::numeric::profile::Profile;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::process::measured::{Component, MeasuredPoint};
use crate::process::section::record::{SectionPhase, TravelRecord};
use crate::result::measured::Agreement;
use crate::result::section::{SectionPath, SectionReading};

/// Name and look of every curve of hoop stress, by its place among the paths.
const DEPTHS: [(usize, &str, Look); 5] = [
    (0, "entry face", Look::Bare(0)),
    (1, "5 % of the thickness", Look::Dashed(0)),
    (3, "middle", Look::Bare(1)),
    (6, "exit face", Look::Bare(2)),
    (7, "mean over the thickness", Look::Guide),
];

/// Residual hoop stress against distance at entry face, middle, exit face and their mean, as far as
/// `reach` mm from the bore, with what was `measured` laid over; into `hoop-by-depth-STAGE`.
///
/// # Errors
/// [`FigureError::Nothing`] without a point; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn hoop_by_depth(
    reading: &SectionReading,
    (heading, reach): (&str, f64),
    measured: &[Agreement],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let mut curves = depth_curves(reading, reach, context);
    for agreement in measured.iter().filter(|one| one.component == Component::Hoop) {
        let points = agreement.points.iter().map(|one| &one.point);
        let at =
            |point: &MeasuredPoint| [context.length(point.distance), context.stress(point.stress)];
        let points = points.filter(|point| point.distance <= reach).map(at).collect();
        curves.push(Curve {
            label: agreement.label.clone(),
            points,
            look: Look::Open(curves.len()),
        });
    }
    let chart = CurveChart {
        name: &format!("hoop-by-depth-{}", reading.label),
        title: "Hoop stress through the thickness",
        stage: heading,
        x: &context.length_axis("Distance from the bore"),
        y: &context.stress_axis("Hoop stress"),
        equal: false,
        smooth: false,
        curves: &curves,
    };
    curve_chart(&chart, context, folder)
}

/// Residual hoop stress of a section at entry face, middle, exit face and their mean beside that of the same ring
/// in the plane, each with its name, as far as `reach` mm; into `section-beside-plane-HOLE`.
///
/// # Errors
/// As [`hoop_by_depth`].
pub fn hoop_beside(
    (hole, reading): (&str, &SectionReading),
    rings: &[(&str, &Profile)],
    reach: f64,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let mut curves = depth_curves(reading, reach, context);
    for (k, (name, hoop)) in rings.iter().enumerate() {
        let near = hoop.up_to(reach);
        let pairs = near.distances().iter().zip(near.values());
        let points = pairs.map(|(d, s)| [context.length(*d), context.stress(*s)]).collect();
        let label = format!("ring, {name}");
        curves.push(Curve { label, points, look: Look::Dashed(3 + k) });
    }
    let chart = CurveChart {
        name: &format!("section-beside-plane-{hole}"),
        title: &format!("Hole {hole}: section and plane models of the same ring"),
        stage: "residual hoop stress after the work",
        x: &context.length_axis("Distance from the bore"),
        y: &context.stress_axis("Hoop stress"),
        equal: false,
        smooth: false,
        curves: &curves,
    };
    curve_chart(&chart, context, folder)
}

/// Hoop stress at every depth of [`DEPTHS`], and zero.
fn depth_curves(reading: &SectionReading, reach: f64, context: FigureContext) -> Vec<Curve> {
    let points = |path: &SectionPath| -> Vec<[f64; 2]> {
        let near = path.points.iter().filter(|point| point.distance <= reach);
        near.map(|point| [context.length(point.distance), context.stress(point.hoop)]).collect()
    };
    let mut curves: Vec<Curve> = DEPTHS
        .iter()
        .filter_map(|&(k, label, look)| {
            let points = points(reading.paths.get(k)?);
            Some(Curve { label: label.to_owned(), points, look })
        })
        .collect();
    let zero = vec![[0.0, 0.0], [context.length(reach), 0.0]];
    curves.push(Curve { label: "zero".to_owned(), points: zero, look: Look::Axis });
    curves
}

/// Hoop stress at the bore against depth for every stage given; into `hoop-along-bore`.
///
/// # Errors
/// As [`hoop_by_depth`].
pub fn hoop_along_bore(
    readings: &[&SectionReading],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let curves: Vec<Curve> = readings
        .iter()
        .enumerate()
        .map(|(k, reading)| {
            let wall = reading.wall.iter();
            let points = wall.map(|at| [context.length(at.z), context.stress(at.hoop)]).collect();
            Curve { label: reading.label.clone(), points, look: Look::Bare(k) }
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            ["hoop-along-bore", "Hoop stress along the bore", "entry face on the left"],
            [
                &context.length_axis("Depth below the entry face"),
                &context.stress_axis("Hoop stress at the bore"),
            ],
            &curves,
        ),
        context,
        folder,
    )
}

/// Diameter of the bore against depth for every stage given; into `bore-diameter`.
///
/// # Errors
/// As [`hoop_by_depth`].
pub fn bore_diameter(
    readings: &[&SectionReading],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let curves: Vec<Curve> = readings
        .iter()
        .enumerate()
        .map(|(k, reading)| Curve {
            label: reading.label.clone(),
            points: reading.bore.iter().map(|at| at.map(|mm| context.length(mm))).collect(),
            look: Look::Bare(k),
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            ["bore-diameter", "Diameter of the bore", "entry face on the left"],
            [&context.length_axis("Depth as it stands"), &context.length_axis("Diameter")],
            &curves,
        ),
        context,
        folder,
    )
}

/// Pull force of a draw against travel, and what friction takes of it; into `pull-force-STAGE`.
///
/// # Errors
/// As [`hoop_by_depth`].
pub fn pull_force(
    travel: &[TravelRecord],
    stage: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let scale = context.units.force_scale();
    let curve = |label: &str, look: Look, force: fn(&TravelRecord) -> f64| {
        // What a sleeve gives up as it comes out has no travel.
        let drawn = |record: &&TravelRecord| record.phase == SectionPhase::Draw;
        let of_stage = travel.iter().filter(|record| record.stage == stage);
        let points = of_stage
            .filter(drawn)
            .map(|record| [context.length(record.travel), force(record) / scale])
            .collect();
        Curve { label: label.to_owned(), points, look }
    };
    let curves = [
        curve("pull", Look::Bare(0), |record| record.pull_force),
        curve("taken by friction", Look::Dashed(1), |record| record.friction_force),
    ];
    curve_chart(
        &CurveChart::new(
            [&format!("pull-force-{stage}"), "Force on the mandrel", stage],
            [
                &context.length_axis("Travel since first touch"),
                &format!("Force ({})", context.units.force_name()),
            ],
            &curves,
        ),
        context,
        folder,
    )
}
