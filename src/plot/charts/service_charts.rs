//! A service load at the edge of a hole: its reversals in order, and stress against load.

use std::path::Path;

use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::plot::level::{count, degrees};
use crate::process::service_history::Mark;
use crate::result::service_summary::{ServiceCourse, ServiceRow, ServiceSummary};

/// Edge hoop stress of the path with the highest one at every reversal, worked and plain, into
/// `STAGE-reversals.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a path; otherwise as [`curve_chart`].
pub fn service_reversals(
    service: &ServiceSummary,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{}-reversals", service.stage);
    let path = worst(service, &name)?;
    let mut number = 0;
    let mut points = |course: &ServiceCourse| -> Vec<[f64; 2]> {
        number = 0;
        let kept = course.rows.iter().filter(|row| row.mark != Mark::Between);
        kept.map(|row| {
            number += 1;
            [count(number - 1), context.stress(row.edge_hoop[path])]
        })
        .collect()
    };
    let curves: Vec<Curve> = parts(service)
        .map(|(course, words, look)| Curve {
            label: words.to_owned(),
            points: points(course),
            look,
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            [&name, "Edge hoop stress at every reversal", &place(service, path)],
            [
                "Reversal (the first and the last are without load)",
                &context.stress_axis("Edge hoop stress"),
            ],
            &curves,
        ),
        context,
        folder,
    )
}

/// Edge hoop stress of that path against the load in the first period and the last, worked and
/// plain, into `STAGE-loop.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a path; otherwise as [`curve_chart`].
pub fn service_loop(
    service: &ServiceSummary,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{}-loop", service.stage);
    let path = worst(service, &name)?;
    let point = |row: &ServiceRow| [row.load, context.stress(row.edge_hoop[path])];
    let mut curves = Vec::new();
    for (colour, (course, words, _)) in parts(service).enumerate() {
        let last = course.periods.last().map_or(1, |period| period.number);
        let first = course.rows.iter().filter(|row| row.period <= 1 && row.mark != Mark::After);
        curves.push(Curve {
            label: format!("{words}, first cycle"),
            points: first.map(point).collect(),
            look: Look::Dashed(colour),
        });
        if last == 1 {
            continue;
        }
        let of_last = |row: &ServiceRow| row.period == last && row.mark != Mark::After;
        let begins = course.rows.iter().position(of_last).unwrap_or(0).saturating_sub(1);
        let turn = course.rows.get(begins).into_iter();
        curves.push(Curve {
            label: format!("{words}, last cycle"),
            points: turn.chain(course.rows.iter().filter(|row| of_last(row))).map(point).collect(),
            look: Look::Line(colour),
        });
    }
    curve_chart(
        &CurveChart::new(
            [&name, "Edge hoop stress against load", &place(service, path)],
            ["Load (share of the stated one)", &context.stress_axis("Edge hoop stress")],
            &curves,
        ),
        context,
        folder,
    )
}

fn parts(service: &ServiceSummary) -> impl Iterator<Item = (&ServiceCourse, &'static str, Look)> {
    let plain = service.plain.as_ref().map(|course| (course, "plain hole", Look::Dashed(1)));
    [(&service.worked, "as worked", Look::Line(0))].into_iter().chain(plain)
}

fn worst(service: &ServiceSummary, name: &str) -> Result<usize, FigureError> {
    let nothing = || FigureError::Nothing { figure: name.to_owned(), missing: "path" };
    service.worst().ok_or_else(nothing)
}

fn place(service: &ServiceSummary, path: usize) -> String {
    let path = &service.worked.paths[path];
    format!("{}, hole {} at {}", service.stage, path.hole, degrees(path.angle_deg))
}
