//! A plate on a sheet: equal scales in x and y, filled fields, lines of constant value,
//! element sides and outlines, always mirrored to the whole plate.
//!
//! Positions come in mm and are drawn in the unit of the figure.
//!
//! Floor 7, `plot`.

use std::collections::HashSet;

use crate::geometry::hole::Hole;
use crate::mesh::topology::{Mesh, NodeId};
use crate::plot::chart::{Axis, Chart, Key, ROW, legend, rows};
use crate::plot::clip::{Corner, Window, band, chains, isoline};
use crate::plot::colour::{INK, Rgb};
use crate::plot::figure::FigureContext;
use crate::plot::font::{self, FontUnusable};
use crate::plot::lattice::{Mirror, Spread, triangles};
use crate::plot::level::count;
use crate::plot::sheet::{Anchor, Field, HEAD, Mark, Pen, Sheet, Spot, TITLE};
use crate::plot::stroke::bend;

/// Room left of the frame for numbers and name of the vertical axis.
const LEFT: f64 = 92.0;
/// Room below the frame for numbers and name of the horizontal axis.
const FOOT: f64 = 64.0;
/// Largest frame.
const FRAME: [f64; 2] = [760.0, 660.0];

/// A plate and the frame it is drawn in.
pub(crate) struct PlateView<'a> {
    mesh: &'a Mesh,
    mirrors: Vec<Mirror>,
    chart: Chart,
    context: FigureContext<'a>,
}

/// What stands round a view.
pub(crate) struct Surround<'a> {
    /// Title and the line below it.
    pub(crate) heads: [&'a str; 2],
    /// Legend below the frame.
    pub(crate) keys: &'a [Key],
    /// Room right of the frame, e.g. for a colour bar.
    pub(crate) right: f64,
}

impl<'a> PlateView<'a> {
    /// A sheet with the frame for `window` (mm) laid out and its legend in place.
    pub(crate) fn lay(
        mesh: &'a Mesh,
        window: Window,
        surround: &Surround,
        context: FigureContext<'a>,
    ) -> Result<(Sheet, Self), FontUnusable> {
        let low = window.low.map(|c| context.length(c));
        let high = window.high.map(|c| context.length(c));
        let span = [high[0] - low[0], high[1] - low[1]];
        let scale = (FRAME[0] / span[0]).min(FRAME[1] / span[1]);
        let size = [scale * span[0], scale * span[1]];

        let title = font::width(surround.heads[0], TITLE, true)? + 48.0;
        let subtitle = font::width(surround.heads[1], crate::plot::sheet::TEXT, false)? + 48.0;
        let width = (LEFT + size[0] + surround.right).max(title).max(subtitle).max(620.0).ceil();
        let keys = rows(surround.keys, width - 48.0)?;
        let room = count(keys.len()) * ROW;
        let height = (HEAD + size[1] + FOOT + room + 14.0).max(420.0).ceil();

        let spare = width - LEFT - size[0] - surround.right;
        let corner = [LEFT + 0.5 * spare, HEAD];
        let frame = Window { low: corner, high: [corner[0] + size[0], corner[1] + size[1]] };
        let most = |side: f64| if side > 420.0 { 8 } else { 4 };
        let chart = Chart {
            window: frame,
            x: Axis::exact(low[0], high[0], most(size[0]), context.length_axis("x")),
            y: Axis::exact(low[1], high[1], most(size[1]), context.length_axis("y")),
        };
        let mut sheet = Sheet::new([width, height], surround.heads[0], surround.heads[1]);
        legend(&mut sheet, &keys, [24.0, frame.high[1] + FOOT]);
        Ok((sheet, Self { mesh, mirrors: Mirror::all(&mesh.symmetry), chart, context }))
    }

    /// The same frame for another mesh, e.g. a part of this one.
    pub(crate) fn of<'b>(&self, mesh: &'b Mesh) -> PlateView<'b>
    where
        'a: 'b,
    {
        let (mirrors, chart) = (self.mirrors.clone(), self.chart.clone());
        PlateView { mesh, mirrors, chart, context: self.context }
    }

    /// The frame on the sheet.
    pub(crate) fn frame(&self) -> Window {
        self.chart.window
    }

    /// Where a point in mm lies on the sheet.
    pub(crate) fn spot(&self, point: [f64; 2]) -> Spot {
        self.chart.spot(point.map(|c| self.context.length(c)))
    }

    /// Fills the plate: each band `[low, high]` of the nodal `values` in its colour. Bands rise.
    pub(crate) fn fill(
        &self,
        sheet: &mut Sheet,
        values: &[f64],
        spread: Spread,
        bands: &[([f64; 2], Rgb)],
    ) {
        let mut field = Field::new(self.frame());
        triangles(self.mesh, values, self.divisions(), spread, |triangle| {
            self.paint(&mut field, triangle, bands);
        });
        lay_field(sheet, field);
    }

    /// Fills the plate by the length of a vector with the nodal components `[a, b]`, which are
    /// smooth where the length has a sharp point.
    pub(crate) fn fill_length(
        &self,
        sheet: &mut Sheet,
        [a, b]: [&[f64]; 2],
        bands: &[([f64; 2], Rgb)],
    ) {
        let mut pieces = Vec::new();
        triangles(self.mesh, a, self.divisions(), Spread::Quadratic, |t| pieces.push(*t));
        let mut next = pieces.iter();
        let mut field = Field::new(self.frame());
        triangles(self.mesh, b, self.divisions(), Spread::Quadratic, |other| {
            let Some(one) = next.next() else { return };
            let long = |k: usize| [one[k][0], one[k][1], one[k][2].hypot(other[k][2])];
            self.paint(&mut field, &[long(0), long(1), long(2)], bands);
        });
        lay_field(sheet, field);
    }

    /// Cuts a triangle into bands and puts them into the field, mirrored.
    fn paint(&self, field: &mut Field, triangle: &[Corner; 3], bands: &[([f64; 2], Rgb)]) {
        let lowest = triangle.iter().fold(f64::INFINITY, |low, c| low.min(c[2]));
        let highest = triangle.iter().fold(f64::NEG_INFINITY, |high, c| high.max(c[2]));
        let first = bands.partition_point(|([_, high], _)| *high < lowest);
        for &([low, high], colour) in &bands[first..] {
            if lowest > high {
                continue;
            }
            if highest < low {
                break;
            }
            let piece = band(triangle, low, high);
            for mirror in &self.mirrors {
                let spots = piece.corners().iter().map(|c| self.spot(mirror.apply([c[0], c[1]])));
                field.push(spots, colour);
            }
        }
    }

    /// Lattice divisions of an element side: fine for few elements, enough for many.
    fn divisions(&self) -> usize {
        match self.mesh.element_count() * self.mirrors.len() {
            0..=4_000 => 6,
            4_001..=16_000 => 4,
            _ => 3,
        }
    }

    /// Draws where the nodal `values` equal `level`.
    pub(crate) fn isoline(
        &self,
        sheet: &mut Sheet,
        values: &[f64],
        level: f64,
        spread: Spread,
        pen: Pen,
    ) {
        let mut segments = Vec::new();
        triangles(self.mesh, values, self.divisions(), spread, |triangle| {
            segments.extend(isoline(triangle, level));
        });
        let mirrored: Vec<_> = self
            .mirrors
            .iter()
            .flat_map(|mirror| segments.iter().map(|s| s.map(|p| self.spot(mirror.apply(p)))))
            .collect();
        for chain in chains(&mirrored, 1e-6) {
            for part in self.frame().polyline(&chain) {
                sheet.line(part, pen);
            }
        }
    }

    /// Draws every element side once.
    pub(crate) fn element_sides(&self, sheet: &mut Sheet, pen: Pen) {
        // The mid-side node names a side.
        let mut seen = HashSet::new();
        let sides: Vec<_> = self.mesh.element_sides().filter(|side| seen.insert(side[1])).collect();
        self.sides(sheet, &sides, |node| self.mesh.nodes[node], pen);
    }

    /// Draws outline and hole edges, each node at `place(node)` (mm).
    pub(crate) fn outline(&self, sheet: &mut Sheet, place: impl Fn(NodeId) -> [f64; 2], pen: Pen) {
        self.sides(sheet, &boundary(self.mesh), place, pen);
    }

    fn sides(
        &self,
        sheet: &mut Sheet,
        sides: &[[NodeId; 3]],
        place: impl Fn(NodeId) -> [f64; 2],
        pen: Pen,
    ) {
        let frame = self.frame();
        let mut segments = Vec::new();
        for mirror in &self.mirrors {
            for side in sides {
                let nodes = side.map(|node| self.spot(mirror.apply(place(node))));
                if frame.may_meet(&nodes) {
                    segments.extend(bend(&nodes).windows(2).map(|pair| [pair[0], pair[1]]));
                }
            }
        }
        for chain in chains(&segments, 1e-6) {
            for part in frame.polyline(&chain) {
                sheet.line(part, pen);
            }
        }
    }

    /// Draws a straight line between two points of the plate, mm.
    pub(crate) fn segment(&self, sheet: &mut Sheet, ends: [[f64; 2]; 2], pen: Pen) {
        for part in self.frame().polyline(&ends.map(|end| self.spot(end))) {
            sheet.line(part, pen);
        }
    }

    /// Writes the name of each hole into it, where it fits.
    pub(crate) fn hole_names(&self, sheet: &mut Sheet, holes: &[Hole]) {
        for hole in holes {
            let centre = self.spot(hole.centre);
            let across =
                self.spot([hole.centre[0] + hole.starting_diameter, hole.centre[1]])[0] - centre[0];
            let narrow = count(hole.name.chars().count()) * 11.0 + 6.0;
            if across > narrow.max(20.0) && self.frame().contains(centre) {
                sheet.text([centre[0], centre[1] + 6.0], Anchor::Middle, &hole.name);
            }
        }
    }

    /// Frame and axes; last, so that nothing covers them.
    pub(crate) fn finish(&self, sheet: &mut Sheet) -> Result<(), FontUnusable> {
        self.chart.frame(sheet)
    }
}

/// Lays a field on the sheet; fields that follow each other share one image.
fn lay_field(sheet: &mut Sheet, field: Field) {
    match sheet.marks.last_mut() {
        Some(Mark::Field(under)) if under.window == field.window => under.append(field),
        _ => sheet.marks.push(Mark::Field(field)),
    }
}

/// Sides of outline and hole edges of the modelled part.
fn boundary(mesh: &Mesh) -> Vec<[NodeId; 3]> {
    let outer = mesh.edges.iter().flat_map(|edge| edge.sides.iter().copied());
    outer.chain(mesh.holes.iter().flat_map(crate::mesh::topology::HoleMesh::sides)).collect()
}

/// A window round the whole plate with a small margin, mm; `place` as in [`PlateView::outline`].
pub(crate) fn whole(mesh: &Mesh, place: impl Fn(NodeId) -> [f64; 2]) -> Window {
    let mirrors = Mirror::all(&mesh.symmetry);
    let nodes = (0..mesh.nodes.len()).map(place);
    let tight =
        Window::around(nodes.flat_map(|p| mirrors.iter().map(move |mirror| mirror.apply(p))));
    let margin = 0.02 * tight.size()[0].max(tight.size()[1]);
    widened(tight, margin)
}

/// A window of `reach` hole diameters to each side of a hole, cut at the plate, mm.
pub(crate) fn close_up(mesh: &Mesh, hole: &Hole, index: Option<usize>, reach: f64) -> Window {
    // The edge as it stands: a reamed hole is larger than the drilled one.
    let radius = index
        .and_then(|index| mesh.holes.get(index))
        .into_iter()
        .flat_map(|ring| &ring.edge)
        .map(|&node| hole.distance_to(mesh.nodes[node]))
        .fold(hole.radius(), f64::max);
    let plate = whole(mesh, |node| mesh.nodes[node]);
    let side = 2.0 * reach * radius;
    Window {
        low: std::array::from_fn(|k| plate.low[k].max(hole.centre[k] - side)),
        high: std::array::from_fn(|k| plate.high[k].min(hole.centre[k] + side)),
    }
}

fn widened(window: Window, margin: f64) -> Window {
    Window { low: window.low.map(|c| c - margin), high: window.high.map(|c| c + margin) }
}

/// The dark line round metal.
pub(crate) fn edge_pen() -> Pen {
    Pen::new(INK, 1.8)
}
