//! The fringes of a photoelastic coating over the plate, in white light or in one wavelength.
//!
//! The order comes from the strains of the face, see [`crate::result::coating`]; the colours
//! from the optics, see `interference.rs`. The components are carried between the nodes, not
//! the order: that has a sharp point where the principal strains are equal.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::figure::{Figure, FigureContext, FigureError, check_finite, check_mesh, save};
use crate::plot::level::{count, label, round_step};
use crate::plot::paper::colour::{INK, Rgb, WHITE};
use crate::plot::paper::pixels::Pixels;
use crate::plot::paper::raster::{FINE, whole as whole_pixels};
use crate::plot::paper::sheet::{Anchor, Image, Mark, Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::plot::plate::interference::{WhiteLight, monochrome};
use crate::plot::plate::view::{PlateView, Surround, close_up, edge_pen, whole};
use crate::process::coating::{Coating, Light};
use crate::result::coating::FaceStrain;

/// Orders between two colours, too little to be seen as a step.
const STEP: f64 = 0.002;
/// Highest order with a colour of its own; far beyond it white light is one grey.
const MOST: f64 = 100.0;
/// Hole diameters shown to each side in a close-up.
const REACH: f64 = 2.5;
/// Room for the colour bar.
const BAR_ROOM: f64 = 130.0;

/// Fringes over the plate, into `LABEL-fringes.svg` and `.png`; close to hole number `near`,
/// when there is one, into `LABEL-fringes-near-HOLE`.
///
/// `strain` is what the coating has taken over: total, or since it was bonded. `label` names
/// the files, `heading` stands under the title.
///
/// # Errors
/// [`FigureError::Nothing`] when there is no hole `near`; [`FigureError`] when the strains do
/// not fit the mesh, are not finite, or a file cannot be written.
pub fn fringe_view(
    strain: &FaceStrain,
    coating: &Coating,
    (label, heading): (&str, &str),
    (holes, near): (&[Hole], Option<usize>),
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let mesh = &strain.mesh;
    let mut name = format!("{label}-fringes");
    let mut window = whole(mesh, |node| mesh.nodes[node]);
    if let Some(index) = near {
        let Some(hole) = holes.get(index) else {
            return Err(FigureError::Nothing { figure: name, missing: "such hole" });
        };
        name = format!("{name}-near-{}", hole.name);
        window = close_up(mesh, hole, Some(index), REACH);
    }
    check_mesh(&name, mesh)?;
    if mesh.nodes.len() != strain.values.len() {
        let (nodes, values) = (mesh.nodes.len(), strain.values.len());
        return Err(FigureError::Mismatch { figure: name, nodes, values });
    }
    check_finite(&name, "strain of the face", strain.values.iter().flatten())?;

    let orders = strain.orders(coating);
    let inside = |node: &usize| window.contains(mesh.nodes[*node]) || mesh.symmetry.copies() > 1;
    let most = (0..orders.len()).filter(inside).fold(0.0, |most: f64, node| most.max(orders[node]));
    let scale = Scale::new(most, coating);
    let subtitle = context.subtitle(heading);
    let words = words(coating, most);
    let surround = Surround { heads: [&words, &subtitle], keys: &[], right: BAR_ROOM };
    let (mut sheet, view) = PlateView::lay(mesh, window, &surround, context)?;
    sheet.description = format!("{subtitle}. Highest fringe order {}.", highest(most));
    let part = |k: usize| -> Vec<f64> {
        strain.values.iter().map(|value| coating.order(value[k])).collect()
    };
    view.paint(&mut sheet, [&part(0), &part(1)], |[a, b]| scale.colour(a.hypot(b)));
    bar(&mut sheet, &scale, view.frame());
    view.outline(&mut sheet, |node| mesh.nodes[node], edge_pen());
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, &name)
}

/// The title: what one fringe is worth, and the light.
fn words(coating: &Coating, most: f64) -> String {
    let micro = 1e6 * coating.fringe_value();
    let light = match coating.light {
        Light::White => "white light",
        Light::Monochrome => "one wavelength",
    };
    format!(
        "Fringes of a coating, {} µε a fringe, {light}, order up to {}",
        label(micro, 10f64.powf((micro.log10() - 3.0).floor().max(0.0))),
        highest(most)
    )
}

/// The highest order, with two decimals where tenths would say too little.
fn highest(most: f64) -> String {
    label(most, if most < 2.0 { 0.01 } else { 0.1 })
}

/// The colours of all orders in a picture.
struct Scale {
    most: f64,
    /// Colours of orders 0, [`STEP`], 2 [`STEP`] and so on.
    colours: Vec<Rgb>,
}

impl Scale {
    fn new(most: f64, coating: &Coating) -> Self {
        let most = most.max(0.1);
        let white = WhiteLight::new(coating.wavelength);
        let colour = |order: f64| match coating.light {
            Light::White => white.colour(order),
            Light::Monochrome => monochrome(order),
        };
        // A parabola may pass its nodal values by a little.
        let steps = index(1.02 * most.min(MOST));
        Self { most, colours: (0..=steps).map(|k| colour(STEP * count(k))).collect() }
    }

    fn colour(&self, order: f64) -> Rgb {
        self.colours[index(order).min(self.colours.len() - 1)]
    }
}

/// Number of the nearest colour of an order.
fn index(order: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let index = (order.clamp(0.0, MOST) / STEP).round() as usize;
    index
}

/// The colour bar in fringe orders.
fn bar(sheet: &mut Sheet, scale: &Scale, frame: Window) {
    const WIDTH: f64 = 28.0;
    let (left, top) = ((frame.high[0] + 26.0).round(), frame.low[1].round());
    let bottom = frame.high[1].max(top + 180.0).round();
    let height = |order: f64| bottom - (order / scale.most).min(1.0) * (bottom - top);
    let window = Window { low: [left, top], high: [left + WIDTH, bottom] };
    let size = window.size().map(|side| whole_pixels(side) as usize * FINE);
    let mut pixels = Pixels::new(size, WHITE);
    for y in 0..size[1] {
        let order = scale.most * (1.0 - (count(y) + 0.5) / count(size[1]));
        let Rgb(colour) = scale.colour(order);
        pixels.row_mut(y, 0, size[0]).copy_from_slice(&colour.repeat(size[0]));
    }
    sheet.marks.push(Mark::Image(Image { window, pixels }));
    sheet.border(window, Pen::new(INK, 1.2));
    let step = if scale.most > 1.0 { round_step(scale.most, 12).max(1.0) } else { 0.1 };
    for order in crate::plot::level::multiples(0.0, scale.most, step) {
        let y = height(order);
        sheet.line(&[[left + WIDTH, y], [left + WIDTH + 5.0, y]], Pen::new(INK, 1.0));
        sheet.text([left + WIDTH + 10.0, y + 5.8], Anchor::Start, &label(order, step));
    }
    sheet.upward_text([left + WIDTH + 66.0, 0.5 * (top + bottom)], "Fringe order");
}
