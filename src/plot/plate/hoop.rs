//! Hoop stress over the plate, whole and close to one hole: true filled contours.
//!
//! Compression is blue, tension rust, zero white with a thin dark line. The levels are
//! round and the same in both pictures of a stage, so their colours can be compared.

use std::path::Path;

use crate::geometry::hole::Hole;
use crate::plot::band_bar::bar;
use crate::plot::charts::legend::{Key, Sample};
use crate::plot::figure::{Figure, FigureContext, FigureError, check_field, check_mesh, save};
use crate::plot::level::{Levels, label};
use crate::plot::paper::colour::{INK, MESH, diverging};
use crate::plot::paper::sheet::{Pen, Sheet};
use crate::plot::paper::window::Window;
use crate::plot::plate::lattice::Spread;
use crate::plot::plate::view::{PlateView, Surround, close_up, edge_pen, whole};
use crate::plot::plate::zone_border::{SPREAD, any, signed};
use crate::result::stage::StageResult;

/// Whether element sides are drawn over a field.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MeshLines {
    /// The field alone.
    #[default]
    Hidden,
    /// Every element side as a thin line.
    Shown,
}

/// Hole diameters shown to each side of the hole in a close-up.
const REACH: f64 = 2.5;
/// Stress, MPa, that is rounding: a plate with no more has none.
const ROUNDING: f64 = 1e-6;
/// Room for the colour bar.
const BAR_ROOM: f64 = 148.0;
/// Plastic zone and reverse-yield zone are told apart by their dashes as well.
const PLASTIC_DASH: &[f64] = &[9.0, 4.0];
const REVERSE_DASH: &[f64] = &[2.0, 3.0];

/// Hoop stress over the whole plate, into `STAGE-hoop.svg` and `.png`.
///
/// `holes` are those of the plate, in its order; each point shows the hoop stress about
/// the hole nearest to it.
///
/// # Errors
/// [`FigureError`] when the fields do not fit the mesh, are not finite, or a file cannot
/// be written.
pub fn hoop_contour(
    stage: &StageResult,
    holes: &[Hole],
    lines: MeshLines,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let name = format!("{}-hoop", stage.label);
    check(&name, stage)?;
    let title = match holes {
        [only] => format!("Hoop stress about hole {}", only.name),
        _ => "Hoop stress about the nearest hole".to_owned(),
    };
    let keys = [zero_key()];
    let window = whole(&stage.mesh, |node| stage.mesh.nodes[node]);
    let (mut sheet, view) = field(stage, (window, &title, &keys), lines, context)?;
    view.outline(&mut sheet, |node| stage.mesh.nodes[node], edge_pen());
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, &name)
}

/// Hoop stress near hole number `index`, with the borders of the yielded metal, into
/// `STAGE-hoop-near-HOLE.svg` and `.png`.
///
/// # Errors
/// As [`hoop_contour`]; [`FigureError::Nothing`] when there is no hole `index`.
pub fn hoop_closeup(
    stage: &StageResult,
    holes: &[Hole],
    index: usize,
    lines: MeshLines,
    context: FigureContext,
    folder: &Path,
) -> Result<Figure, FigureError> {
    let Some(hole) = holes.get(index) else {
        return Err(FigureError::Nothing { figure: stage.label.clone(), missing: "such hole" });
    };
    let name = format!("{}-hoop-near-{}", stage.label, hole.name);
    check(&name, stage)?;
    let plastic = &stage.nodal.equivalent_plastic_strain;
    let reverse = &stage.nodal.reverse_plastic_strain;
    check_field(&name, "equivalent plastic strain", &stage.mesh, plastic)?;
    check_field(&name, "reverse plastic strain", &stage.mesh, reverse)?;
    let borders = [
        (plastic, Pen::new(INK, 1.8).dashed(PLASTIC_DASH), "border of the plastic zone"),
        (reverse, Pen::new(INK, 2.2).dashed(REVERSE_DASH), "border of reverse yielding"),
    ]
    .map(|(strain, pen, words)| (strain, pen, words, any(strain)));
    let mut keys = vec![zero_key()];
    for (_, pen, words, present) in &borders {
        if *present {
            keys.push(Key::new(Sample::Line(*pen), *words));
        }
    }
    let title = if holes.len() == 1 {
        format!("Hoop stress about hole {}, close up", hole.name)
    } else {
        format!("Hoop stress near hole {}, about the nearest hole", hole.name)
    };
    let window = close_up(&stage.mesh, hole, Some(index), REACH);
    let (mut sheet, view) = field(stage, (window, &title, &keys), lines, context)?;
    for (strain, pen, _, present) in borders {
        if present {
            let zone = view.contours(&signed(&stage.mesh, strain), &[0.0], SPREAD);
            view.isoline(&mut sheet, &zone, 0, pen);
        }
    }
    view.outline(&mut sheet, |node| stage.mesh.nodes[node], edge_pen());
    view.hole_names(&mut sheet, holes);
    view.finish(&mut sheet)?;
    save(&sheet, None, folder, &name)
}

fn check(name: &str, stage: &StageResult) -> Result<(), FigureError> {
    check_mesh(name, &stage.mesh)?;
    check_field(name, "hoop stress", &stage.mesh, &stage.nodal.hoop)
}

fn zero_pen() -> Pen {
    Pen::new(INK, 1.0)
}

fn zero_key() -> Key {
    Key::new(Sample::Line(zero_pen()), "hoop stress 0")
}

/// The sheet with field, zero line and colour bar, and the view.
fn field<'a>(
    stage: &'a StageResult,
    (window, title, keys): (Window, &str, &[Key]),
    lines: MeshLines,
    context: FigureContext<'a>,
) -> Result<(Sheet, PlateView<'a>), FigureError> {
    let stressed = stage.nodal.hoop.iter().any(|value| value.abs() > ROUNDING);
    let shown = |value: &f64| if stressed { context.stress(*value) } else { 0.0 };
    let hoop: Vec<f64> = stage.nodal.hoop.iter().map(shown).collect();
    let low = hoop.iter().fold(f64::INFINITY, |low, value| low.min(*value));
    let high = hoop.iter().fold(f64::NEG_INFINITY, |high, value| high.max(*value));
    let levels = Levels::covering(low, high);
    let subtitle = context.subtitle(&stage.heading);
    let surround = Surround { heads: [title, &subtitle], keys, right: BAR_ROOM };
    let (mut sheet, view) = PlateView::lay(&stage.mesh, window, &surround, context)?;
    let unit = context.units.stress_name();
    sheet.description = format!(
        "{subtitle}. {} colour bands of {} {unit}, from {} to {} {unit}; compression blue, tension \
         rust, zero white.",
        levels.bands(),
        label(levels.step, levels.step),
        label(levels.band(levels.first)[0], levels.step),
        label(levels.band(levels.last)[1], levels.step),
    );
    // Each band is laid over the ones below it, so that no seam shows between two. The lowest
    // has no lower end, because an element's parabola may pass its nodal values by a little.
    let bands = levels.first..=levels.last;
    let ends = bands.clone().skip(1).map(|k| levels.band(k)[0]);
    let ends: Vec<f64> = std::iter::once(f64::NEG_INFINITY).chain(ends).collect();
    let contours = view.contours(&hoop, &ends, Spread::Quadratic);
    for (k, band) in bands.clone().enumerate() {
        view.fill(&mut sheet, &contours, k, diverging(levels.share(band)));
    }
    if lines == MeshLines::Shown {
        view.element_sides(&mut sheet, Pen::new(MESH, 0.6));
    }
    // Zero is a level; where it is the end of no band, the field does not pass it.
    if let Some(zero) = bands.skip(1).position(|band| band == 0) {
        view.isoline(&mut sheet, &contours, zero + 1, zero_pen());
    }
    bar(&mut sheet, &levels, view.frame(), &context.stress_axis("Hoop stress"));
    Ok((sheet, view))
}
