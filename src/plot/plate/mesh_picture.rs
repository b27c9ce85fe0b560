//! The mesh itself: whole, and close to each hole. Ring quadrilaterals and fill triangles
//! have different tints; sides are drawn with their curvature, and the paths along which stresses
//! are read with dashes.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::mesh::topology::Mesh;
use crate::plot::charts::legend::{Key, Sample};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_mesh, save};
use crate::plot::level::degrees;
use crate::plot::paper::colour::{FILL_TINT, MESH, RING_TINT, Rgb, series};
use crate::plot::paper::sheet::Pen;
use crate::plot::paper::window::Window;
use crate::plot::plate::view::{PlateView, Surround, close_up, edge_pen, whole};
use crate::result::path::PathLine;

/// Hole diameters to each side in a close-up: the rings are what one wants to see.
const REACH: f64 = 1.5;
const PATH_DASH: &[f64] = &[9.0, 5.0];

/// The mesh into `mesh.svg` and `.png`, and near each hole into `mesh-HOLE.svg` and `.png`.
///
/// `paths` are drawn over it and named in the legend.
///
/// # Errors
/// [`FigureError`] when the mesh is empty or names nodes it does not have, or a file
/// cannot be written.
pub fn mesh_picture(
    mesh: &Mesh,
    holes: &[Hole],
    paths: &[PathLine],
    context: FigureContext,
    folder: &Path,
) -> Result<Vec<Figure>, FigureError> {
    check_mesh("mesh", mesh)?;
    let all = whole(mesh, |node| mesh.nodes[node]);
    let mut figures = vec![picture(mesh, holes, paths, all, ["mesh", "Mesh"], context, folder)?];
    for (index, hole) in holes.iter().enumerate() {
        let window = close_up(mesh, hole, Some(index), REACH);
        let (name, title) =
            (format!("mesh-{}", hole.name), format!("Mesh near hole {}", hole.name));
        figures.push(picture(mesh, holes, paths, window, [&name, &title], context, folder)?);
    }
    Ok(figures)
}

fn picture(
    mesh: &Mesh,
    holes: &[Hole],
    paths: &[PathLine],
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
    let mut keys: Vec<Key> =
        present.iter().map(|(_, colour, words)| Key::new(Sample::Area(*colour), *words)).collect();
    for (index, hole) in holes.iter().enumerate() {
        let in_view = |path: &&PathLine| {
            let [from, to] = path.ends;
            path.hole == index && !window.polyline(&[from, to]).is_empty()
        };
        let angles: Vec<String> =
            paths.iter().filter(in_view).map(|path| degrees(path.angle_deg)).collect();
        if !angles.is_empty() {
            let words = format!("paths of {} at {}", hole.name, angles.join(", "));
            keys.push(Key::new(Sample::Line(path_pen(index)), words));
        }
    }
    let surround = Surround { heads: [title, &subtitle], keys: &keys, right: 30.0 };
    let (mut sheet, view) = PlateView::lay(mesh, window, &surround, context)?;
    for (part, colour, _) in present {
        view.of(part).fill_all(&mut sheet, *colour);
    }
    view.element_sides(&mut sheet, Pen::new(MESH, 0.7));
    view.outline(&mut sheet, |node| mesh.nodes[node], edge_pen());
    for path in paths {
        view.segment(&mut sheet, path.ends, path_pen(path.hole));
    }
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, name)
}

fn path_pen(hole: usize) -> Pen {
    Pen::new(series(hole), 2.2).dashed(PATH_DASH)
}
