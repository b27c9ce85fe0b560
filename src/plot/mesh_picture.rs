//! The mesh itself: whole, and close to each hole. Ring quadrilaterals and fill triangles
//! have different tints; sides are drawn with their curvature.
//!
//! Floor 7, `plot`.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::mesh::topology::Mesh;
use crate::plot::chart::{Key, Sample};
use crate::plot::clip::Window;
use crate::plot::colour::{FILL_TINT, MESH, RING_TINT, Rgb};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_mesh, save};
use crate::plot::lattice::Spread;
use crate::plot::plate_view::{PlateView, Surround, close_up, edge_pen, whole};
use crate::plot::sheet::Pen;

/// Hole diameters to each side in a close-up: the rings are what one wants to see.
const REACH: f64 = 1.5;

/// The mesh into `mesh.svg` and `.png`, and near each hole into `mesh-HOLE.svg` and `.png`.
///
/// # Errors
/// [`FigureError`] when the mesh is empty or names nodes it does not have, or a file
/// cannot be written.
pub fn mesh_picture(
    mesh: &Mesh,
    holes: &[Hole],
    context: FigureContext,
    folder: &Path,
) -> Result<Vec<Figure>, FigureError> {
    check_mesh("mesh", mesh)?;
    let all = whole(mesh, |node| mesh.nodes[node]);
    let mut figures = vec![picture(mesh, holes, all, ["mesh", "Mesh"], context, folder)?];
    for (index, hole) in holes.iter().enumerate() {
        let window = close_up(mesh, hole, Some(index), REACH);
        let (name, title) =
            (format!("mesh-{}", hole.name), format!("Mesh near hole {}", hole.name));
        figures.push(picture(mesh, holes, window, [&name, &title], context, folder)?);
    }
    Ok(figures)
}

fn picture(
    mesh: &Mesh,
    holes: &[Hole],
    window: Window,
    [name, title]: [&str; 2],
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let modelled = match mesh.symmetry.copies() {
        1 => "",
        2 => ", half of it modelled",
        _ => ", a quarter of it modelled",
    };
    let subtitle = context.subtitle(&format!(
        "{} nodes, {} quadrilaterals, {} triangles{modelled}",
        mesh.nodes.len(),
        mesh.quads.len(),
        mesh.triangles.len()
    ));
    let kinds = [
        (Mesh { triangles: Vec::new(), ..mesh.clone() }, RING_TINT, "8-node quadrilaterals"),
        (Mesh { quads: Vec::new(), ..mesh.clone() }, FILL_TINT, "6-node triangles"),
    ];
    let present: Vec<&(Mesh, Rgb, &str)> =
        kinds.iter().filter(|(part, ..)| part.element_count() > 0).collect();
    let keys: Vec<Key> =
        present.iter().map(|(_, colour, words)| Key::new(Sample::Area(*colour), *words)).collect();
    let surround = Surround { heads: [title, &subtitle], keys: &keys, right: 30.0 };
    let (mut sheet, view) = PlateView::lay(mesh, window, &surround, context)?;
    let nothing = vec![0.0; mesh.nodes.len()];
    for (part, colour, _) in present {
        let everything = [([f64::NEG_INFINITY, f64::INFINITY], *colour)];
        view.of(part).fill(&mut sheet, &nothing, Spread::Quadratic, &everything);
    }
    view.element_sides(&mut sheet, Pen::new(MESH, 0.7));
    view.outline(&mut sheet, |node| mesh.nodes[node], edge_pen());
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, name)
}
