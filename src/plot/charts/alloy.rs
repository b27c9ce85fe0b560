//! The figures of an alloy: first pull, and loops of a bar.

use std::path::Path;

use crate::material::hardening::Material;
use crate::material::specimen::{cycles, pulled};
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::units::quantity::Quantity;

/// Strain at the end of the first pull.
const PULL: f64 = 0.06;
/// Steps of the first pull.
const PULL_STEPS: u32 = 600;
/// Amplitudes of the loops.
const AMPLITUDES: [f64; 3] = [0.01, 0.02, 0.04];
/// Cycles at each amplitude: the last is close to its limit.
const CYCLES: usize = 3;
/// Steps to a quarter of a cycle.
const STEPS: usize = 200;

/// First pull and loops of `material` into `first-pull` and `loops`, each as `.svg`, `.png`, `.csv`.
///
/// # Errors
///
/// [`FigureError::Nothing`] when the metal cannot be followed; [`FigureError::Write`].
pub fn alloy_figures(
    material: &Material,
    context: FigureContext,
    folder: &Path,
) -> Result<Vec<Figure>, FigureError> {
    let stress = |mpa: f64| Quantity::Stress.at_border(mpa, context.units);
    let y = format!("True stress ({})", context.units.stress_name());
    let curve = |name: &str, strains: &[f64]| {
        let stresses = pulled(material, strains)
            .map_err(|_| FigureError::Nothing { figure: name.to_owned(), missing: "stress" })?;
        let points = strains.iter().zip(stresses).map(|(e, s)| [100.0 * e, stress(s)]);
        Ok::<_, FigureError>(points.collect::<Vec<_>>())
    };
    let strains: Vec<f64> =
        (0..=PULL_STEPS).map(|k| PULL * f64::from(k) / f64::from(PULL_STEPS)).collect();
    let first = [Curve {
        label: "first pull".to_owned(),
        points: curve("first-pull", &strains)?,
        look: Look::Bare(0),
    }];
    let chart = CurveChart::new(
        ["first-pull", "Stress against strain, first pull", "a bar, as the law has it"],
        ["Strain (%)", &y],
        &first,
    );
    let pull = curve_chart(&chart, context, folder)?;
    let mut loops = Vec::new();
    for (colour, amplitude) in AMPLITUDES.into_iter().enumerate().rev() {
        loops.push(Curve {
            label: format!("±{:.0} %, {CYCLES} cycles", 100.0 * amplitude),
            points: curve("loops", &cycles(amplitude, CYCLES, STEPS))?,
            look: Look::Bare(colour),
        });
    }
    let chart = CurveChart {
        name: "loops",
        title: "Stress against strain, pulled and pushed",
        curves: &loops,
        ..chart
    };
    Ok(vec![pull, curve_chart(&chart, context, folder)?])
}
