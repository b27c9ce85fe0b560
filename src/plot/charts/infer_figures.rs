//! The figures of an inference: the band of the hoop stress along each path, with the measured points.

use std::path::Path;

use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::process::measured::Component;
use crate::result::measured::Agreement;
use crate::study::infer::Inferred;
use crate::study::infer::line::Way;

/// Share of a path that a chart shows when gauges alone were read.
const OF_PATH: f64 = 0.3;

/// Depths of the measured points that a chart shows beyond the last.
const BEYOND: f64 = 1.5;

/// Whether a point that names this direction, or none, belongs to a line; a depth has every direction.
fn lies_on(way: Way, angle_deg: Option<f64>) -> bool {
    match (way, angle_deg) {
        (Way::Direction(own), Some(angle)) => (angle - own).rem_euclid(360.0) < 1e-6,
        _ => true,
    }
}

/// One chart for every path that has measured points, or for all when there are gauges alone, `hoop-HOLE-ANGLE`; a path without shares that of
/// points that name no direction.
///
/// # Errors
///
/// [`FigureError`] of any kind.
pub fn infer_figures(
    found: &Inferred,
    context: FigureContext,
    folder: &Path,
) -> Result<Vec<(Figure, String)>, FigureError> {
    let mut figures: Vec<(Figure, String)> = Vec::new();
    let mut drawn: Vec<&Vec<[f64; 3]>> = Vec::new();
    for band in &found.bands {
        // Paths that mirror each other are one chart.
        if drawn.contains(&&band.points) {
            continue;
        }
        let mut points = Vec::new();
        let of_line =
            |one: &&Agreement| one.component == Component::Hoop && one.level == band.way.level();
        for agreement in found.agreements.iter().filter(of_line) {
            let own = agreement
                .points
                .iter()
                .filter(|one| one.hole == band.hole && lies_on(band.way, one.point.angle_deg));
            let label = agreement.label.clone();
            let own: Vec<[f64; 2]> = own
                .map(|one| [context.length(one.point.distance), context.stress(one.point.stress)])
                .collect();
            if !own.is_empty() {
                points.push(Curve { label, points: own, look: Look::Points });
            }
        }
        let all = points.iter().flat_map(|curve| &curve.points);
        let mut farthest = all.fold(0.0_f64, |most, point| most.max(point[0]));
        if found.agreements.is_empty() {
            let end = band.points.last().map_or(0.0, |last| context.length(last[0]));
            farthest = OF_PATH * end / BEYOND;
        } else if points.is_empty() {
            continue;
        }
        drawn.push(&band.points);
        let line = |by: f64| -> Vec<[f64; 2]> {
            band.points
                .iter()
                .map(|[distance, hoop, error]| {
                    let half = by * found.certainty.quantile * error;
                    [context.length(*distance), context.stress(hoop + half)]
                })
                .filter(|point| point[0] <= BEYOND * farthest)
                .collect()
        };
        let mut curves = vec![
            Curve { label: "computed".to_owned(), points: line(0.0), look: Look::Bare(0) },
            Curve { label: "90 % band".to_owned(), points: line(-1.0), look: Look::Dashed(0) },
            Curve { label: "90 % band".to_owned(), points: line(1.0), look: Look::Dashed(0) },
        ];
        curves.append(&mut points);
        let place = format!("hole {}, {}", band.hole, band.way.words());
        let chart = CurveChart {
            name: &format!("hoop-{}-{}", band.hole, band.way.slug()),
            title: "Hoop stress, and how well it is known",
            stage: &place,
            x: &context.length_axis("Distance from the edge"),
            y: &context.stress_axis("Hoop stress"),
            equal: false,
            smooth: false,
            curves: &curves,
        };
        figures.push((curve_chart(&chart, context, folder)?, format!("Hoop stress, {place}")));
    }
    Ok(figures)
}
