//! The figures of a life.

use std::path::Path;

use rayon::prelude::*;

use crate::fatigue::assessment::{Assessed, CrackOrigin};
use crate::fatigue::end::LifeEnd;
use crate::plot::charts::bars::{Bars, bar_chart};
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::charts::front_figures::{self, Captioned};
use crate::plot::charts::scaled::{Scale, scaled_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::study::lives::{LifeReport, StressLife};
use crate::units::quantity::Quantity;

/// Reach of the profile chart, in radii of the hole.
const REACH: f64 = 6.0;
/// Points of a curve of K.
const POINTS: u32 = 160;

/// Draws one figure of a place, in words, into a folder.
type Draw = fn(&LifeReport, &str, FigureContext, &Path) -> Result<Captioned, FigureError>;

/// Draws every figure into `folder`, most telling first; what cannot be drawn is named instead.
#[must_use]
pub fn life_figures(report: &LifeReport, folder: &Path) -> (Vec<(Figure, String)>, Vec<String>) {
    let context = FigureContext { case_title: &report.title, units: report.units };
    let at = &report.governing.place;
    let from = match at.origin {
        CrackOrigin::Hole => "",
        CrackOrigin::PlateEdge => ", from the plate edge",
    };
    let place = format!("crack at hole {}, {}°{from}", at.hole, at.angle_deg);
    let mut all: Vec<Draw> = vec![length, stress_life, intensity, rate, profile, masses];
    if report.corner.is_some() {
        let own: [Draw; 4] = [
            front_figures::sizes,
            front_figures::shapes,
            front_figures::front,
            front_figures::swings,
        ];
        all.splice(1..1, own);
        if report.corner.as_ref().is_some_and(|corner| corner.field.is_some()) {
            all.push(front_figures::field);
        }
    }
    let (mut drawn, mut troubles) = (Vec::new(), Vec::new());
    // Side by side: each is drawn on one thread.
    let made: Vec<_> = all.par_iter().map(|draw| draw(report, &place, context, folder)).collect();
    for outcome in made {
        match outcome {
            Ok(figure) => drawn.push(figure),
            Err(error) => troubles.push(format!("a figure is missing: {error}")),
        }
    }
    (drawn, troubles)
}

/// Plain and expanded at the governing place, each with its colour number.
fn both(report: &LifeReport) -> [(&'static str, &Assessed, usize); 2] {
    let at = &report.governing;
    [("plain hole", &at.plain, 1), ("expanded hole", &at.expanded, 0)]
}

fn mm(report: &LifeReport, length: f64) -> f64 {
    Quantity::Length.at_border(length, report.units)
}

fn length_axis(report: &LifeReport) -> String {
    format!("Crack length from {} ({})", start(report), report.units.length_name())
}

/// Where the governing crack starts.
fn start(report: &LifeReport) -> &'static str {
    match report.governing.place.origin {
        CrackOrigin::Hole => "the edge of the hole",
        CrackOrigin::PlateEdge => "the edge of the plate",
    }
}

fn length(
    report: &LifeReport,
    place: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let lives = both(report).map(|(_, one, _)| one.life.cycles);
    // A crack that has stopped is drawn to well beyond the longest life that is counted.
    let reach = 10.0 * lives.into_iter().fold(1.0, f64::max);
    let mut curves = Vec::new();
    for (label, one, colour) in both(report) {
        let counted = one.life.curve.iter().filter(|point| point.cycles >= 1.0);
        let points = counted.map(|point| [point.cycles, mm(report, point.length)]).collect();
        curves.push(Curve { label: label.to_owned(), points, look: Look::Line(colour) });
        if let LifeEnd::Arrest { length } = one.life.end {
            curves.push(Curve {
                label: format!("{label}: no growth from here on"),
                points: [one.life.cycles.max(1.0), reach].map(|x| [x, mm(report, length)]).to_vec(),
                look: Look::Dashed(colour),
            });
        }
    }
    curves.retain(|curve| !curve.points.is_empty());
    let y = length_axis(report);
    let figure = scaled_chart(
        &CurveChart::new(
            ["crack-length", "Crack length against cycles", place],
            ["Cycles from the initial flaw", &y],
            &curves,
        ),
        [Scale::Powers, Scale::Linear],
        context,
        folder,
    )?;
    Ok((figure, "Crack length against cycles, plain and expanded".to_owned()))
}

fn rate(
    report: &LifeReport,
    place: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let mut curves = both(report)
        .map(|(label, one, colour)| Curve {
            label: label.to_owned(),
            points: one
                .life
                .rates
                .iter()
                .map(|point| {
                    [mm(report, point.length), Quantity::Growth.at_border(point.rate, report.units)]
                })
                .collect(),
            look: Look::Line(colour),
        })
        .to_vec();
    curves.retain(|curve| curve.points.iter().any(|point| point[1] > 0.0));
    let (x, y) = (
        length_axis(report),
        format!("Growth of the severest cycle ({})", Quantity::Growth.unit(report.units)),
    );
    let figure = scaled_chart(
        &CurveChart::new(
            ["growth-rate", "Crack growth against crack length", place],
            [&x, &y],
            &curves,
        ),
        [Scale::Linear, Scale::Powers],
        context,
        folder,
    )?;
    Ok((figure, "Growth of the severest cycle against crack length".to_owned()))
}

fn intensity(
    report: &LifeReport,
    place: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let table = report.governing.expanded.grower.table();
    let ((start, _), last) = (table.ends(), report.reach());
    let cycle = report.ground.sequence.severest().cycle;
    let parts: Vec<_> = (0..=POINTS)
        .map(|k| table.at(start * (last / start).powf(f64::from(k) / f64::from(POINTS))))
        .collect();
    let line = |label: &str,
                look: Look,
                value: &dyn Fn(&crate::fatigue::intensity::Parts) -> f64| {
        let points = parts
            .iter()
            .map(|part| {
                [mm(report, part.length), Quantity::Intensity.at_border(value(part), report.units)]
            })
            .collect();
        Curve { label: label.to_owned(), points, look }
    };
    let curves = [
        line("remote, highest load (the plain hole)", Look::Dashed(1), &|p| {
            p.per_stress() * cycle.maximum()
        }),
        line("residual", Look::Dashed(2), &|p| p.residual),
        line("total, highest load", Look::Line(0), &|p| p.total(cycle.maximum())),
        line("total, lowest load; below zero the crack is closed", Look::Line(3), &|p| {
            p.total(cycle.minimum())
        }),
    ];
    let (x, y) = (
        length_axis(report),
        format!("Stress intensity ({})", Quantity::Intensity.unit(report.units)),
    );
    let figure = curve_chart(
        &CurveChart::new(
            ["stress-intensity", "Stress intensity and its parts", place],
            [&x, &y],
            &curves,
        ),
        context,
        folder,
    )?;
    let caption = "Stress intensity against crack length with its parts; below zero the faces press on \
                   each other and nothing grows";
    Ok((figure, caption.to_owned()))
}

fn profile(
    report: &LifeReport,
    place: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let at = &report.governing.place;
    let reach = at.geometry.ligament().unwrap_or(REACH * at.geometry.radius());
    let stress = |value: f64| Quantity::Stress.at_border(value, report.units);
    let points = |profile: &crate::numeric::profile::Profile, factor: f64| {
        let profile = profile.up_to(reach);
        let pairs = profile.distances().iter().zip(profile.values());
        pairs.map(|(x, s)| [mm(report, *x), stress(factor * s)]).collect()
    };
    let mut curves = [
        Curve {
            label: "elastic, highest load".to_owned(),
            points: points(&at.load_hoop, report.ground.sequence.severest().cycle.maximum()),
            look: Look::Line(1),
        },
        Curve {
            label: "residual".to_owned(),
            points: points(&at.residual_hoop, 1.0),
            look: Look::Line(2),
        },
    ]
    .to_vec();
    if let Some(before) = at.worked_hoop.as_ref().filter(|before| **before != at.residual_hoop) {
        curves.push(Curve {
            label: "residual before the load".to_owned(),
            points: points(before, 1.0),
            look: Look::Dashed(2),
        });
    }
    for agreement in &report.measured {
        let own = agreement.points.iter().map(|one| &one.point);
        let own = own.filter(|point| point.distance <= reach);
        let points = own.map(|point| [mm(report, point.distance), stress(point.stress)]).collect();
        let (label, look) = (agreement.label.clone(), Look::Open(curves.len()));
        curves.push(Curve { label, points, look });
    }
    let x = format!("Distance from {} ({})", start(report), report.units.length_name());
    let y = format!("Hoop stress ({})", report.units.stress_name());
    let figure = curve_chart(
        &CurveChart::new(
            ["hoop-on-crack-line", "Hoop stress on the crack line, before there is a crack", place],
            [&x, &y],
            &curves,
        ),
        context,
        folder,
    )?;
    Ok((figure, "Hoop stress on the line of the crack: of the load, and residual".to_owned()))
}

fn stress_life(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let highest = report.ground.sequence.severest().cycle.maximum();
    let points = |life: &dyn Fn(&StressLife) -> f64| -> Vec<[f64; 2]> {
        let all = report.trade.curve.iter().map(|point| {
            let stress = Quantity::Stress.at_border(point.factor * highest, report.units);
            [life(point), stress]
        });
        all.filter(|point| point[0].is_finite()).collect()
    };
    let now = Quantity::Stress.at_border(highest, report.units);
    let mut curves = vec![
        Curve {
            label: "plain hole".to_owned(),
            points: points(&|point| point.plain),
            look: Look::Line(1),
        },
        Curve {
            label: "expanded hole".to_owned(),
            points: points(&|point| point.expanded),
            look: Look::Line(0),
        },
    ];
    let reach = curves.iter().flat_map(|curve| &curve.points).map(|point| point[0]);
    // A crack that fails at once has life 0, which has no place on an axis of powers of ten.
    let ends = reach
        .filter(|life| *life > 0.0)
        .fold([f64::INFINITY, 0.0_f64], |[a, b], x| [a.min(x), b.max(x)]);
    if ends[0] < ends[1] {
        curves.push(Curve {
            label: "the stress of the case".to_owned(),
            points: ends.map(|x| [x, now]).to_vec(),
            look: Look::Guide,
        });
        if let Some(onset) = report.trade.onset.filter(|onset| (0.5..=2.0).contains(onset)) {
            curves.push(Curve {
                label: "the metal beside the crack yields under load".to_owned(),
                points: ends.map(|x| [x, onset * now]).to_vec(),
                look: Look::Dashed(2),
            });
        }
    }
    let y = format!("Highest remote stress ({})", report.units.stress_name());
    let figure = scaled_chart(
        &CurveChart::new(
            [
                "stress-against-life",
                "Highest stress against life, plain and expanded",
                "worst crack of each",
            ],
            ["Cycles from the initial flaw to the end", &y],
            &curves,
        )
        .smooth(),
        [Scale::Powers, Scale::Linear],
        context,
        folder,
    )?;
    let caption = "Highest stress against life: read up or down for the stress that gives the same life, \
                   across for the life factor. Where a curve ends at a finite life, lower stresses have no \
                   end. Above the dashed line the metal beside the crack yields under load, and the residual stress is \
                   what the stress leaves of it";
    Ok((figure, caption.to_owned()))
}

fn masses(
    report: &LifeReport,
    _: &str,
    context: FigureContext,
    folder: &Path,
) -> Result<Captioned, FigureError> {
    let mut rows = vec![(format!("expanded, {}", report.material_name), [Some(1.0), Some(1.0)])];
    rows.extend(report.trade.options.iter().filter_map(|option| {
        let found = option.answer.as_ref().ok()?;
        let mass = option.mass_known.then_some(found.mass_ratio);
        Some((format!("plain, {}", option.material), [Some(found.thickness_ratio), mass]))
    }));
    let bars = Bars {
        name: "same-life",
        title: "Thickness and mass for the same life",
        stage: "worst crack of each",
        axis: "Over the expanded plate",
        kinds: ["thickness", "mass"],
        rows: &rows,
    };
    let figure = bar_chart(&bars, context, folder)?;
    Ok((figure, "Thickness and mass that a plain hole needs for the same life".to_owned()))
}
