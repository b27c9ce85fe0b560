//! A plate on a sheet: equal scales in x and y, filled fields, lines of constant value,
//! element sides and outlines, always mirrored to the whole plate.
//!
//! Positions come in mm and are drawn in the unit of the figure.

use std::collections::{HashMap, HashSet};

use crate::geometry::hole::Hole;
use crate::mesh::mating::Mating;
use crate::mesh::topology::{Mesh, NodeId};
use crate::plot::charts::axis::Axis;
use crate::plot::charts::chart::Chart;
use crate::plot::charts::legend::{Key, ROW, legend, rows};
use crate::plot::figure::FigureContext;
use crate::plot::level::count;
use crate::plot::paper::colour::{INK, Rgb, WHITE};
use crate::plot::paper::font::{self, FontUnusable};
use crate::plot::paper::lines::{bend, simplified, simplified_loop};
use crate::plot::paper::pixels::Pixels;
use crate::plot::paper::raster::{FINE, whole as whole_pixels};
use crate::plot::paper::sheet::{Anchor, HEAD, Image, Mark, Pen, Sheet, Spot, TEXT, TITLE};
use crate::plot::paper::window::Window;
use crate::plot::plate::contour::{Contours, chained};
use crate::plot::plate::lattice::{Mirror, Spread, visit};
use crate::plot::plate::scan::paint;

/// Farthest a line may pass from its points, pixels: too little to be seen, enough to spare most
/// of the points.
const STRAIGHT: f64 = 0.04;
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

/// Titles and legend round a view.
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
        let subtitle = font::width(surround.heads[1], TEXT, false)? + 48.0;
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

    /// The nodal `values` cut at `levels`, rising, as fine as this view needs.
    pub(crate) fn contours(&self, values: &[f64], levels: &[f64], spread: Spread) -> Contours<'a> {
        Contours::new(self.mesh, values, levels, (self.divisions(), spread))
    }

    /// Fills the metal at or above level number `k`.
    pub(crate) fn fill(&self, sheet: &mut Sheet, contours: &Contours, k: usize, colour: Rgb) {
        let frame = self.frame();
        let spots = |line: Vec<[f64; 2]>| -> Vec<Spot> {
            line.into_iter().map(|point| self.spot(point)).collect()
        };
        let loops = contours
            .loops(k)
            .into_iter()
            .map(spots)
            .filter(|corners| frame.may_meet(corners))
            .map(|corners| simplified_loop(&frame.part_of_loop(&corners), STRAIGHT))
            .filter(|corners| corners.len() > 2)
            .collect();
        sheet.areas(loops, colour);
    }

    /// Fills all of the metal.
    pub(crate) fn fill_all(&self, sheet: &mut Sheet, colour: Rgb) {
        let nothing = vec![0.0; self.mesh.nodes.len()];
        let all = self.contours(&nothing, &[f64::NEG_INFINITY], Spread::Straight);
        self.fill(sheet, &all, 0, colour);
    }

    /// Draws the lines of level number `k`.
    pub(crate) fn isoline(&self, sheet: &mut Sheet, contours: &Contours, k: usize, pen: Pen) {
        self.polylines(sheet, contours.lines(k), pen);
    }

    /// Paints every point of the metal in the `colour` of the nodal fields `values` there.
    pub(crate) fn paint<const D: usize>(
        &self,
        sheet: &mut Sheet,
        values: [&[f64]; D],
        colour: impl Fn([f64; D]) -> Rgb,
    ) {
        // Whole pixels, so that the picture need not be moved.
        let Window { low, high } = self.frame();
        let window = Window { low: low.map(f64::round), high: high.map(f64::round) };
        let fine = count(FINE);
        let size = window.size().map(|side| whole_pixels(side) as usize * FINE);
        let mut pixels = Pixels::new(size, WHITE);
        visit(
            self.mesh,
            values,
            (self.divisions(), Spread::Quadratic),
            |_| true,
            |cells| {
                for triangle in cells.triangles {
                    for mirror in &self.mirrors {
                        let corners = triangle.map(|index| {
                            let point = &cells.points[index];
                            let [x, y] = self.spot(mirror.apply(point.at));
                            ([fine * (x - window.low[0]), fine * (y - window.low[1])], point.values)
                        });
                        paint(&mut pixels, &corners, &colour);
                    }
                }
            },
        );
        sheet.marks.push(Mark::Image(Image { window, pixels }));
    }

    /// Lattice divisions of an element side: fine for few elements, enough for many.
    fn divisions(&self) -> usize {
        match self.mesh.element_count() * self.mirrors.len() {
            0..=4_000 => 6,
            4_001..=16_000 => 4,
            _ => 3,
        }
    }

    /// Lines in mm, cut at the frame, in one stroke.
    fn polylines(&self, sheet: &mut Sheet, lines: Vec<Vec<[f64; 2]>>, pen: Pen) {
        let frame = self.frame();
        let parts = lines.into_iter().flat_map(|line| {
            let spots: Vec<Spot> = line.into_iter().map(|point| self.spot(point)).collect();
            if frame.may_meet(&spots) { frame.polyline(&spots) } else { Vec::new() }
        });
        let parts: Vec<Vec<Spot>> = parts.map(|part| simplified(&part, STRAIGHT)).collect();
        if !parts.is_empty() {
            sheet.lines(parts, pen);
        }
    }

    /// Draws every element side once.
    pub(crate) fn element_sides(&self, sheet: &mut Sheet, pen: Pen) {
        // The mid-side node names a side.
        let mut seen = HashSet::new();
        let sides = self.mesh.element_sides().filter(|side| seen.insert(side[1]));
        let bent: Vec<[[f64; 2]; 9]> =
            sides.map(|side| bend(&side.map(|node| self.mesh.nodes[node]))).collect();
        let copies = self.mirrors.iter().flat_map(|mirror| {
            bent.iter().map(|line| line.iter().map(|point| mirror.apply(*point)).collect())
        });
        self.polylines(sheet, copies.collect(), pen);
    }

    /// Draws outline, hole edges, outlines of regions and the fits of bushes, each node at `place(node)` (mm).
    pub(crate) fn outline(&self, sheet: &mut Sheet, place: impl Fn(NodeId) -> [f64; 2], pen: Pen) {
        let sides = boundary(self.mesh);
        let bent: Vec<[[f64; 2]; 9]> = sides.iter().map(|side| bend(&side.map(&place))).collect();
        let mut lines = Vec::new();
        let between: Vec<[[f64; 2]; 9]> = region_sides(self.mesh)
            .iter()
            .chain(&fit_sides(self.mesh))
            .map(|side| bend(&side.map(&place)))
            .collect();
        let within = self.mirrors.iter().flat_map(|mirror| {
            between.iter().map(|line| line.iter().map(|point| mirror.apply(*point)).collect())
        });
        self.polylines(sheet, within.collect(), Pen { width: 0.6 * pen.width, ..pen });
        for mirror in &self.mirrors {
            for chain in
                chained(&sides.iter().map(|[from, _, to]| [*from, *to]).collect::<Vec<_>>())
            {
                let points = chain.iter().flat_map(|&side| bent[side]);
                lines.push(points.map(|point| mirror.apply(point)).collect());
            }
        }
        self.polylines(sheet, lines, pen);
    }

    /// Draws a straight line between two points of the plate, mm.
    pub(crate) fn segment(&self, sheet: &mut Sheet, ends: [[f64; 2]; 2], pen: Pen) {
        for part in self.frame().polyline(&ends.map(|end| self.spot(end))) {
            sheet.line(&part, pen);
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

/// Sides of outline and hole edges of the modelled part.
fn boundary(mesh: &Mesh) -> Vec<[NodeId; 3]> {
    let outer = mesh.edges.iter().flat_map(|edge| edge.sides.iter().copied());
    outer.chain(mesh.holes.iter().flat_map(crate::mesh::topology::HoleMesh::sides)).collect()
}

/// Sides of the edges that bushes sit in.
fn fit_sides(mesh: &Mesh) -> Vec<[NodeId; 3]> {
    let of = |mating: &Mating| {
        let side = |places: [usize; 3]| places.map(|place| mating.pairs[place][1]);
        mating.sides().map(side).collect::<Vec<_>>()
    };
    mesh.matings.iter().flat_map(of).collect()
}

/// Sides between regions, whether these share their nodes or not.
fn region_sides(mesh: &Mesh) -> Vec<[NodeId; 3]> {
    if mesh.regions.quads.is_empty() && mesh.regions.triangles.is_empty() {
        return Vec::new();
    }
    // A place names a side: nodes of parted regions lie on each other to the last bit.
    let mut first: HashMap<[u64; 2], u8> = HashMap::new();
    let quads = 4 * mesh.quads.len();
    let sides = mesh.element_sides().enumerate().map(|(number, side)| {
        let element =
            if number < quads { number / 4 } else { mesh.quads.len() + (number - quads) / 3 };
        (side, mesh.region_of(element))
    });
    sides
        .filter(|(side, region)| {
            let place = mesh.nodes[side[1]].map(f64::to_bits);
            *first.entry(place).or_insert(*region) != *region
        })
        .map(|(side, _)| side)
        .collect()
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
