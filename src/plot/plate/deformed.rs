//! Outline and hole edges as drawn and as deformed, displacements magnified.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::legend::{Key, Sample};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, check_mesh, save};
use crate::plot::level::label;
use crate::plot::paper::colour::{MESH, series};
use crate::plot::paper::sheet::Pen;
use crate::plot::paper::window::Window;
use crate::plot::plate::view::{PlateView, Surround, whole};
use crate::result::stage::StageResult;

/// Largest magnified displacement, over the larger side of the plate.
const SHOWN: f64 = 0.05;

/// Drawn and deformed outline, into `STAGE-deformed.svg` and `.png`. The magnification is
/// a round number and stands in the title.
///
/// # Errors
/// [`FigureError`] when the displacements do not fit the mesh, are not finite, or a file
/// cannot be written.
pub fn deformed_outline(
    stage: &StageResult,
    holes: &[Hole],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{}-deformed", stage.label);
    let (mesh, displacement) = (&stage.mesh, &stage.nodal.displacement);
    check_mesh(&name, mesh)?;
    if mesh.nodes.len() != displacement.len() {
        let (nodes, values) = (mesh.nodes.len(), displacement.len());
        return Err(FigureError::Mismatch { figure: name, nodes, values });
    }
    check_finite(&name, "displacement", displacement.iter().flatten())?;

    let drawn = whole(mesh, |node| mesh.nodes[node]);
    let largest = displacement.iter().map(|[x, y]| x.hypot(*y)).fold(0.0, f64::max);
    let factor = magnification(largest, drawn.size()[0].max(drawn.size()[1]));
    let moved = |node: usize| -> [f64; 2] {
        std::array::from_fn(|k| mesh.nodes[node][k] + factor * displacement[node][k])
    };
    let deformed = whole(mesh, moved);
    let window = Window::around([drawn.low, drawn.high, deformed.low, deformed.high]);

    let title =
        format!("Deformed outline, displacements magnified {} times", label(factor, factor));
    let subtitle = context.subtitle(&stage.heading);
    let before = Pen::new(MESH, 1.4);
    let after = Pen::new(series(1), 2.4);
    let unit = context.units.length_name();
    let keys = [
        Key::new(Sample::Line(before), "as drawn"),
        Key::new(
            Sample::Line(after),
            format!(
                "deformed × {} (largest {:.4} {unit})",
                label(factor, factor),
                context.length(largest)
            ),
        ),
    ];
    let surround = Surround { heads: [&title, &subtitle], keys: &keys, right: 30.0 };
    let (mut sheet, view) = PlateView::lay(mesh, window, &surround, context)?;
    view.outline(&mut sheet, |node| mesh.nodes[node], before);
    view.outline(&mut sheet, moved, after);
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, &name)
}

/// The largest round factor that shows `largest` as no more than a twentieth of `side`.
fn magnification(largest: f64, side: f64) -> f64 {
    let wanted = SHOWN * side / largest;
    if !wanted.is_finite() {
        return 1.0;
    }
    let power = 10f64.powf(wanted.log10().floor());
    [5.0, 2.0].map(|digit| digit * power).into_iter().find(|f| *f <= wanted).unwrap_or(power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[expect(clippy::float_cmp, reason = "round numbers are chosen, not computed")]
    fn the_magnification_is_round_and_shows_the_displacement() {
        assert_eq!(magnification(0.1, 60.0), 20.0);
        assert_eq!(magnification(0.0, 60.0), 1.0);
        let factor = magnification(0.0137, 60.0);
        assert!(factor * 0.0137 <= 0.05 * 60.0 && factor * 0.0137 > 0.018 * 60.0);
    }
}
