//! The figures of corner cracks.

use std::path::Path;

use crate::fatigue::front::front_life::{FrontLife, FrontPoint};
use crate::plot::charts::bars::{Bars, bar_chart};
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::charts::depth_map::{DepthMap, depth_map};
use crate::plot::charts::scaled::{Scale, scaled_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::study::lives::{CornerReport, LifeReport};
use crate::units::quantity::Quantity;

/// A figure with its caption.
pub(super) type Captioned = (Figure, String);

/// Reach of the residual field, in radii of the hole.
const REACH: f64 = 4.0;
/// Shapes that are drawn of a growing crack.
const SHAPES: usize = 8;
/// Points of a quarter ellipse.
const POINTS: u32 = 24;

fn corner(report: &LifeReport) -> Result<&CornerReport, FigureError> {
    let missing = || FigureError::Nothing { figure: "corner crack".to_owned(), missing: "crack" };
    report.corner.as_ref().ok_or_else(missing)
}

fn place(corner: &CornerReport) -> String {
    let at = corner.worst();
    format!("corner crack at hole {}, {}°", at.hole, at.angle_deg)
}

fn mm(report: &LifeReport, length: f64) -> f64 {
    Quantity::Length.at_border(length, report.units)
}

/// Residual hoop stress over distance and depth that the crack grows in, when it is that of a section.
pub(super) fn field(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let corner = corner(report)?;
    let nothing =
        || FigureError::Nothing { figure: "corner-crack-field".to_owned(), missing: "field" };
    let field = corner.field.as_ref().ok_or_else(nothing)?;
    let far = REACH * corner.worst().grower.geometry.radius();
    let drawn = DepthMap {
        name: "corner-crack-field",
        title: "Residual hoop stress on the crack plane",
        stage: &place(corner),
        reach: field.distances().last().map_or(far, |end| end.min(far)),
        field,
    };
    let figure = depth_map(&drawn, context, folder)?;
    let caption = "Residual hoop stress over distance and depth that the corner crack grows in, an approximation";
    Ok((figure, caption.to_owned()))
}

/// Both sizes against cycles.
pub(super) fn sizes(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let corner = corner(report)?;
    let at = corner.worst();
    let mut curves = Vec::new();
    for (name, life, colour) in [("plain hole", &at.plain, 1), ("expanded hole", &at.expanded, 0)] {
        let points = |size: fn(&FrontPoint) -> f64| {
            let counted = life.points.iter().filter(|point| point.cycles >= 1.0);
            counted.map(|point| [point.cycles, mm(report, size(point))]).collect::<Vec<_>>()
        };
        let c = Curve {
            label: format!("{name}, along the face"),
            points: points(|p| p.c),
            look: Look::Line(colour),
        };
        let a = Curve {
            label: format!("{name}, along the bore"),
            points: points(|p| p.a),
            look: Look::Dashed(colour),
        };
        curves.extend([c, a]);
    }
    curves.retain(|curve| curve.points.len() > 1);
    let y = format!("Crack length ({})", report.units.length_name());
    let figure = scaled_chart(
        &CurveChart::new(
            ["corner-crack-length", "Size of a corner crack against cycles", &place(corner)],
            ["Cycles from the initial flaw", &y],
            &curves,
        ),
        [Scale::Powers, Scale::Linear],
        context,
        folder,
    )?;
    let caption = "Corner crack: length along the entry face and along the bore against cycles; along the bore it \
                   ends where the crack is through";
    Ok((figure, caption.to_owned()))
}

/// The front as it grows, expanded hole.
pub(super) fn shapes(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let corner = corner(report)?;
    let at = corner.worst();
    let mut curves = Vec::new();
    for (name, life, dashed) in [("plain", &at.plain, true), ("expanded", &at.expanded, false)] {
        for (k, point) in spaced(life).into_iter().enumerate() {
            let arc = (0..=POINTS).map(|n| {
                let phi = std::f64::consts::FRAC_PI_2 * f64::from(n) / f64::from(POINTS);
                [mm(report, point.c * phi.cos()), mm(report, point.a * phi.sin())]
            });
            let label = if k == 0 { name.to_owned() } else { String::new() };
            let look = if dashed { Look::Dashed(1) } else { Look::Bare(0) };
            curves.push(Curve { label, points: arc.collect(), look });
        }
    }
    let (x, y) = (
        format!("Along the entry face, from the bore ({})", report.units.length_name()),
        format!("Along the bore, from the entry face ({})", report.units.length_name()),
    );
    let chart = CurveChart {
        name: "corner-crack-shape",
        title: "Shape of a corner crack as it grows",
        stage: &place(corner),
        x: &x,
        y: &y,
        equal: true,
        smooth: false,
        curves: &curves,
    };
    let figure = curve_chart(&chart, context, folder)?;
    let caption = "Fronts of the corner crack from the flaw until it is through or stops, at equal steps of growth";
    Ok((figure, caption.to_owned()))
}

/// Sizes at equal steps of the logarithm of `c` while the crack is a corner crack.
fn spaced(life: &FrontLife) -> Vec<FrontPoint> {
    let until = life.through_at.map_or(life.points.len(), |at| at + 1);
    let corner = &life.points[..until.min(life.points.len())];
    let (Some(first), Some(last)) = (corner.first(), corner.last()) else { return Vec::new() };
    let ratio = last.c / first.c;
    if ratio < 1.02 {
        return vec![*first];
    }
    (0..SHAPES)
        .filter_map(|k| {
            let wanted = first.c * ratio.powf(k as f64 / (SHAPES - 1) as f64) * (1.0 - 1e-9);
            corner.iter().find(|point| point.c >= wanted).copied()
        })
        .collect()
}

/// K along the front of the flaw.
pub(super) fn front(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let corner = corner(report)?;
    let cycle = report.ground.sequence.severest().cycle;
    let line = |label: &str, look: Look, value: &dyn Fn(f64, f64) -> f64| {
        let points = corner.front.iter().map(|[degrees, load, residual]| {
            [*degrees, Quantity::Intensity.at_border(value(*load, *residual), report.units)]
        });
        Curve { label: label.to_owned(), points: points.collect(), look }
    };
    let curves = [
        line("remote, highest load (the plain hole)", Look::Dashed(1), &|load, _| {
            load * cycle.maximum()
        }),
        line("residual", Look::Dashed(2), &|_, residual| residual),
        line("total, highest load", Look::Line(0), &|load, r| load * cycle.maximum() + r),
        line("total, lowest load", Look::Line(3), &|load, r| load * cycle.minimum() + r),
    ];
    let y = format!("Stress intensity ({})", Quantity::Intensity.unit(report.units));
    let figure = curve_chart(
        &CurveChart::new(
            [
                "stress-intensity-along-front",
                "Stress intensity along the front of the flaw",
                &place(corner),
            ],
            ["Parametric angle, 0 on the face and 90 in the bore (degrees)", &y],
            &curves,
        ),
        context,
        folder,
    )?;
    let caption = "Stress intensity along the front of the corner flaw; below zero the faces press on each other \
                   and nothing grows there";
    Ok((figure, caption.to_owned()))
}

/// Sensitivities of the life.
pub(super) fn swings(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let corner = corner(report)?;
    let middle = corner.worst().expanded.cycles_borne();
    let rows: Vec<(String, [Option<f64>; 2])> = corner
        .band
        .swings
        .iter()
        .map(|swing| {
            let [low, high] = &swing.ends;
            let over = swing.lives.map(|life| life / middle).map(|r| r.is_finite().then_some(r));
            (format!("{}: {low}, {high}", swing.name), over)
        })
        .collect();
    let bars = Bars {
        name: "what-moves-the-life",
        title: "What moves the life of a corner crack",
        stage: &place(corner),
        axis: "Life over that of the middle",
        kinds: ["first end", "second end"],
        rows: &rows,
    };
    let figure = bar_chart(&bars, context, folder)?;
    let caption = "Life of the expanded hole at the ends of each quantity, over that with all of them in the \
                   middle; an end without a bar has no end of life";
    Ok((figure, caption.to_owned()))
}
