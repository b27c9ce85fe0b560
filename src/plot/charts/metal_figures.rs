//! The figures of metal tests: the bar over the measured points, and what is left between them.

use std::path::Path;

use crate::fit::metal::Fitted;
use crate::fit::record::Record;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};

/// Draws `tests` and `deviations`, each as `.svg`, `.png`, `.csv`.
///
/// # Errors
///
/// [`FigureError`] of any kind.
pub fn metal_figures(
    records: &[Record],
    fitted: &Fitted,
    context: FigureContext,
    folder: &Path,
) -> Result<Vec<Figure>, FigureError> {
    let points = |record: &Record, stresses: &[f64]| -> Vec<[f64; 2]> {
        let pairs = record.strains.iter().zip(stresses);
        pairs.map(|(strain, mpa)| [100.0 * strain, context.stress(*mpa)]).collect()
    };
    let computed: Vec<Vec<f64>> =
        fitted.paths.iter().map(|path| path.iter().map(|point| point.stress).collect()).collect();
    let measured = records.iter().enumerate().map(|(k, record)| Curve {
        label: format!("{}, measured", record.label),
        points: points(record, &record.stresses),
        look: Look::Open(k),
    });
    let lines = records.iter().zip(&computed).enumerate().map(|(k, (record, stresses))| Curve {
        label: format!("{}, computed", record.label),
        points: points(record, stresses),
        look: Look::Bare(k),
    });
    let curves: Vec<Curve> = lines.chain(measured).collect();
    let stress = context.stress_axis("Stress");
    let chart = CurveChart::new(
        ["tests", "Tests, and the metal that was found", "a bar"],
        ["Logarithmic strain (%)", &stress],
        &curves,
    );
    let over = curve_chart(&chart, context, folder)?;
    let left: Vec<Curve> = records
        .iter()
        .zip(&computed)
        .enumerate()
        .map(|(k, (record, stresses))| {
            let pairs = record.stresses.iter().zip(stresses);
            let left: Vec<f64> = pairs.map(|(measured, computed)| measured - computed).collect();
            Curve {
                label: record.label.clone(),
                points: points(record, &left),
                look: Look::Open(k),
            }
        })
        .collect();
    let y = context.stress_axis("Measured less computed");
    let chart =
        CurveChart { name: "deviations", title: "What is left", y: &y, curves: &left, ..chart };
    Ok(vec![over, curve_chart(&chart, context, folder)?])
}
