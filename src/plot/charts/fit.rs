//! Pressure round the fit of a bush, state by state.

use std::path::Path;

use crate::mesh::topology::Symmetry;
use crate::plot::charts::curves::{Curve, CurveChart, Look, curve_chart};
use crate::plot::figure::{Figure, FigureContext, FigureError};
use crate::result::fit::{BushSummary, FitPoint};

/// A bush in one state: words for the state, whether tool or load act, its numbers.
pub type FitState<'a> = (&'a str, bool, &'a BushSummary);

/// Contact pressure against the direction, all round, of the bush that `states` are of, into
/// `fit-BUSH.svg`, `.png` and `.csv`. Dashed while tool or load act. `symmetry` is that of the mesh.
///
/// # Errors
/// [`FigureError::Nothing`] without a state; [`FigureError::NotFinite`]; [`FigureError::Write`].
pub fn fit_pressure(
    states: &[FitState<'_>],
    symmetry: Symmetry,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let bush = states.first().map_or("", |(_, _, bush)| bush.name.as_str());
    let name = format!("fit-{bush}");
    if states.is_empty() {
        return Err(FigureError::Nothing { figure: name, missing: "bush" });
    }
    let curves: Vec<Curve> = states
        .iter()
        .enumerate()
        .map(|(number, (words, loaded, bush))| Curve {
            label: (*words).to_owned(),
            points: (all_round(&bush.points, symmetry).into_iter())
                .map(|[angle, pressure]| [angle, context.stress(pressure)])
                .collect(),
            look: if *loaded { Look::Dashed(number) } else { Look::Bare(number) },
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            [
                &name,
                &format!("Contact pressure between bush {bush} and its hole"),
                "of every pair of nodes, over the area it stands for",
            ],
            ["Direction (degrees from +x)", &context.stress_axis("Pressure")],
            &curves,
        ),
        context,
        folder,
    )
}

/// `[angle in degrees, 0 to 360, pressure in MPa]` all round, rising.
fn all_round(points: &[FitPoint], symmetry: Symmetry) -> Vec<[f64; 2]> {
    let mut all: Vec<[f64; 2]> = points.iter().map(|at| [at.angle_deg, at.pressure]).collect();
    if symmetry.x.is_some() {
        let mirrored: Vec<_> = all.iter().map(|[angle, p]| [180.0 - angle, *p]).collect();
        all.extend(mirrored);
    }
    if symmetry.y.is_some() {
        let mirrored: Vec<_> = all.iter().map(|[angle, p]| [-angle, *p]).collect();
        all.extend(mirrored);
    }
    for [angle, _] in &mut all {
        *angle = angle.rem_euclid(360.0);
    }
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    all.dedup_by(|next, before| next[0] - before[0] < 1e-6);
    // The curve closes where it began.
    if let Some(&[angle, pressure]) = all.first() {
        all.push([angle + 360.0, pressure]);
    }
    all
}
