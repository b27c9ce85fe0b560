//! A chart of curves with an axis of powers of ten.

use std::path::Path;

use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::curves::{Curve, CurveChart, USUAL, as_drawn, lay_curves, table};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, save};
use crate::plot::paper::sheet::Sheet;
use crate::plot::paper::window::Window;

/// Scale of an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Even, widened to round numbers; zero is not forced in.
    Linear,
    /// Powers of ten; points at zero or below are left out.
    Powers,
}

impl Scale {
    fn place(self, value: f64) -> Option<f64> {
        match self {
            Self::Linear => Some(value),
            Self::Powers => (value > 0.0).then(|| value.log10()),
        }
    }

    fn axis(self, low: f64, high: f64, name: &str) -> Axis {
        match self {
            Self::Linear => Axis::rounded(low, high, 8, name.to_owned()),
            Self::Powers => Axis::powers(low, high, name.to_owned()),
        }
    }
}

/// Draws `chart` with the scales `[x, y]` into `NAME.svg`, `.png` and `.csv`.
///
/// # Errors
/// [`FigureError::Nothing`] without a point that can be shown; [`FigureError::NotFinite`];
/// [`FigureError::Write`].
pub fn scaled_chart(
    chart: &CurveChart<'_>,
    [x, y]: [Scale; 2],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = chart.name;
    check_finite(name, "value of a curve", chart.curves.iter().flat_map(|c| &c.points).flatten())?;
    let placed = |point: &[f64; 2]| Some([x.place(point[0])?, y.place(point[1])?]);
    let curves: Vec<Curve> = chart
        .curves
        .iter()
        .map(|curve| Curve {
            points: curve.points.iter().filter_map(placed).collect(),
            ..curve.clone()
        })
        .collect();
    if curves.iter().all(|curve| curve.points.is_empty()) {
        return Err(FigureError::Nothing { figure: name.to_owned(), missing: "point" });
    }
    let around = Window::around(curves.iter().flat_map(|curve| curve.points.iter().copied()));
    let frame = Chart {
        window: USUAL.window(&curves)?,
        x: x.axis(around.low[0], around.high[0], chart.x),
        y: y.axis(around.low[1], around.high[1], chart.y),
    };
    let mut sheet = Sheet::new(USUAL.size, chart.title, &context.subtitle(chart.stage));
    frame.grid(&mut sheet);
    lay_curves(&mut sheet, &frame, &as_drawn(&curves, chart.smooth), USUAL)?;
    save(&sheet, Some(&table([chart.x, chart.y], chart.curves)), folder, name)
}
