//! The plastic zone, and the zone of reverse yielding after the tool left.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::charts::legend::{Key, Sample};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_field, check_mesh, save};
use crate::plot::paper::colour::{ELASTIC, REVERSE_YIELDED, YIELDED};
use crate::plot::plate::view::{PlateView, Surround, close_up, edge_pen};
use crate::plot::plate::zone_border::{SPREAD, signed};
use crate::result::stage::StageResult;

/// Zones near hole number `index`, into `STAGE-zones-HOLE.svg` and `.png`.
///
/// # Errors
/// [`FigureError::Nothing`] when there is no hole `index`; otherwise when the fields do
/// not fit the mesh, are not finite, or a file cannot be written.
pub fn plastic_zones(
    stage: &StageResult,
    holes: &[Hole],
    index: usize,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let Some(hole) = holes.get(index) else {
        return Err(FigureError::Nothing { figure: stage.label.clone(), missing: "such hole" });
    };
    let name = format!("{}-zones-{}", stage.label, hole.name);
    let plastic = &stage.nodal.equivalent_plastic_strain;
    let reverse = &stage.nodal.reverse_plastic_strain;
    check_mesh(&name, &stage.mesh)?;
    check_field(&name, "equivalent plastic strain", &stage.mesh, plastic)?;
    check_field(&name, "reverse plastic strain", &stage.mesh, reverse)?;

    let keys = [
        Key::new(Sample::Area(ELASTIC), "elastic throughout"),
        Key::new(Sample::Area(YIELDED), "yielded"),
        Key::new(Sample::Area(REVERSE_YIELDED), "reverse yielding as the tool left"),
    ];
    let subtitle = context.subtitle(&stage.heading);
    let title = format!("Plastic and reverse-yield zones, hole {}", hole.name);
    let surround = Surround { heads: [&title, &subtitle], keys: &keys, right: 30.0 };
    let window = close_up(&stage.mesh, hole, Some(index), 2.5);
    let (mut sheet, view) = PlateView::lay(&stage.mesh, window, &surround, context)?;
    view.fill_all(&mut sheet, ELASTIC);
    for (strain, colour) in [(plastic, YIELDED), (reverse, REVERSE_YIELDED)] {
        let zone = view.contours(&signed(&stage.mesh, strain), &[0.0], SPREAD);
        view.fill(&mut sheet, &zone, 0, colour);
    }
    view.outline(&mut sheet, |node| stage.mesh.nodes[node], edge_pen());
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, &name)
}
