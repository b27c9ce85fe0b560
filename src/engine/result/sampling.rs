//! Reading the recovered fields along a straight path.
//!
//! A path may run through the part of the plate that symmetry has left out; it is then
//! read in the modelled part, where hoop and radial stress are the same and the shear has the
//! other sign.

mod way;

use crate::geometry::hole::Hole;
use crate::geometry::plate::Plate;
use crate::material::strains::Strains;
use crate::mesh::locate::{ElementRef, Located, Locator};
use crate::mesh::topology::Mesh;
use crate::process::job::Job;
use crate::process::region::Region;
use crate::result::kink::{Yielded, crossed, place_kinks};
use crate::result::path::{PathPoint, StressPath};
use crate::result::stage::{NodalFields, PointValues};
use crate::tensor::Polar;

/// How far from the outline of a region a path has a point on either side, as a share of the hole's
/// radius.
const BESIDE_REGION: f64 = 1e-6;

/// Cosine of the widest angle between a path and the layers' direction at which it runs along it: 18°, three sectors.
const ALONG: f64 = 0.95;

/// Reads paths of one snapshot.
pub struct Sampler<'a> {
    mesh: &'a Mesh,
    nodal: &'a NodalFields,
    points: &'a [PointValues],
    plate: &'a Plate,
    regions: &'a [Region],
    strains: Strains,
    locator: Locator<'a>,
    /// Locators of the plate and of every bush, when there is any: drawn, they may lie one over the other.
    bodies: Vec<Locator<'a>>,
}

impl<'a> Sampler<'a> {
    /// A sampler of recovered fields on the plate of a job.
    #[must_use]
    pub fn new(
        mesh: &'a Mesh,
        nodal: &'a NodalFields,
        points: &'a [PointValues],
        job: &'a Job,
    ) -> Self {
        let (plate, strains) = (&job.plate, job.numerics.strains);
        let (regions, locator) = (&job.regions[..], Locator::new(mesh));
        let of_bush = |region: u8| mesh.matings.iter().any(|mating| mating.region == region);
        let plate_alone = (!mesh.matings.is_empty())
            .then(|| Locator::among(mesh, |element| !of_bush(mesh.region_of(element))));
        let bushes = mesh
            .matings
            .iter()
            .map(|mating| Locator::among(mesh, |element| mesh.region_of(element) == mating.region));
        let bodies = plate_alone.into_iter().chain(bushes).collect();
        Self { mesh, nodal, points, plate, regions, strains, locator, bodies }
    }

    /// The path that leaves hole `index` at `angle_deg`, up to the next free edge.
    #[must_use]
    pub fn path(&self, index: usize, angle_deg: f64) -> StressPath {
        let hole = &self.plate.holes[index];
        let angle = angle_deg.to_radians();
        // Exact on the axes: a path along a mirror line must not leave it by a rounding.
        let direction = [
            exact_cos(angle_deg, angle),
            exact_cos(angle_deg - 90.0, angle - std::f64::consts::FRAC_PI_2),
        ];
        let at = |radius: f64| {
            [hole.centre[0] + radius * direction[0], hole.centre[1] + radius * direction[1]]
        };
        let end = self.plate.distance_to_outline_along(hole.centre, angle);
        let length = self.path_length(&end.at, end.distance, hole);
        let far = self.far_lines(&end.at, hole, direction);
        let spans = self.spans(index, hole, at(1.0), length);
        let mut points: Vec<PathPoint> = Vec::new();
        let beside = BESIDE_REGION * hole.radius();
        let mut begun = 0.0;
        for span in spans {
            let (body, [edge, end]) = (span.body, span.radii);
            let length = end - edge;
            let far = if body == 0 { &far[..] } else { &[] };
            let mut distances = self.distances(index, (hole, span.layers), length, far);
            self.straddle_regions(hole, direction, edge, &mut distances);
            // Where bodies meet, a point of each stands beside the fit.
            if body > 0 {
                distances.pop();
                distances.push(length - beside);
            } else if begun > 0.0 {
                distances[0] = beside;
            }
            let locator = self.bodies.get(body).unwrap_or(&self.locator);
            let read = |distance: f64| {
                let point = self.read(locator, hole, at(edge + distance), distance)?;
                Some(PathPoint { distance: begun + distance, ..point })
            };
            let between = |pair: &[PathPoint]| 0.5 * (pair[0].distance + pair[1].distance) - begun;
            let straight: Vec<PathPoint> = distances.into_iter().filter_map(read).collect();
            // Fields may jump at the outline of a region: what lies beyond it is a path of its own.
            let step =
                if self.regions.is_empty() { 0.0 } else { 3.0 * BESIDE_REGION * hole.radius() };
            for part in straight.chunk_by(|a, b| b.distance - a.distance >= step) {
                let mut part = part.to_vec();
                let middles = part.windows(2).map(|pair| at(edge + between(pair)));
                let yielded: Vec<Option<Yielded>> =
                    middles.map(|middle| self.yielded(locator, middle, direction)).collect();
                place_kinks(&mut part, &crossed(&yielded), |distance| read(distance - begun));
                points.append(&mut part);
            }
            begun += length;
        }
        self.as_it_stands(&mut points);
        StressPath { hole: hole.name.clone(), angle_deg, points }
    }

    /// `steps + 1` points along the straight line of the drawing between two places (mm), distances from
    /// the first. Polar components are about hole `index`. Places without metal are left out.
    #[must_use]
    pub fn line(&self, index: usize, [from, to]: [[f64; 2]; 2], steps: usize) -> Vec<PathPoint> {
        let hole = &self.plate.holes[index];
        let whole = (to[0] - from[0]).hypot(to[1] - from[1]);
        let at = |share: f64| [0, 1].map(|axis| from[axis] + share * (to[axis] - from[axis]));
        let shares = (0..=steps).map(|step| step as f64 / steps.max(1) as f64);
        let locator = &self.locator;
        let mut points: Vec<PathPoint> =
            shares.filter_map(|share| self.read(locator, hole, at(share), share * whole)).collect();
        self.as_it_stands(&mut points);
        points
    }

    /// Distances from the first point in the part as it stands, unless strains are small.
    fn as_it_stands(&self, points: &mut [PathPoint]) {
        if self.strains == Strains::Finite
            && let Some(start) = points.first().map(|first| first.position)
        {
            for point in points {
                let [x, y] = point.position;
                point.distance = (x - start[0]).hypot(y - start[1]);
            }
        }
    }

    fn read(
        &self,
        locator: &Locator<'_>,
        hole: &Hole,
        position: [f64; 2],
        distance: f64,
    ) -> Option<PathPoint> {
        let (folded, flipped) = self.mesh.symmetry.fold(position);
        let located = locator.find(folded)?;
        let sign = if flipped[0] == flipped[1] { 1.0 } else { -1.0 };
        let (nodes, values) = located.shares(self.mesh);
        let mut stress = Polar::default();
        let (mut strain, mut reverse, mut jump, mut thickness) = (0.0, 0.0, 0.0, 0.0);
        let mut moved = [0.0; 2];
        for (node, value) in nodes.iter().zip(values) {
            let by = self.moved(*node);
            for (moved, by) in moved.iter_mut().zip(by) {
                *moved += value * by;
            }
            let [x, y] = self.mesh.nodes[*node];
            let angle = hole.angle_to([x + by[0], y + by[1]]);
            let polar = self.nodal.stress[*node].polar(angle);
            stress.radial += value * polar.radial;
            stress.hoop += value * polar.hoop;
            stress.axial += value * polar.axial;
            stress.shear += sign * value * polar.shear;
            strain += value * self.nodal.equivalent_plastic_strain[*node];
            reverse += value * self.nodal.reverse_plastic_strain[*node];
            jump += value * self.nodal.hoop_jump[*node];
            thickness += value * self.nodal.thickness_change[*node];
        }
        Some(PathPoint {
            distance,
            position: std::array::from_fn(|axis| {
                position[axis] + if flipped[axis] { -moved[axis] } else { moved[axis] }
            }),
            drawn: position,
            stress,
            von_mises: stress.cartesian(0.0).von_mises(),
            equivalent_plastic_strain: strain.max(0.0),
            reverse_plastic_strain: reverse.max(0.0),
            hoop_point: self.nearest_point(hole, folded, &located),
            hoop_jump: jump.max(0.0),
            thickness_change: thickness,
        })
    }

    /// How far a node is from where it was drawn, in the part that results are read in, mm.
    fn moved(&self, node: usize) -> [f64; 2] {
        match self.strains {
            Strains::Finite => self.nodal.displacement[node],
            Strains::Small => [0.0; 2],
        }
    }

    /// How much of the element at a place has yielded.
    fn yielded(
        &self,
        locator: &Locator<'_>,
        position: [f64; 2],
        direction: [f64; 2],
    ) -> Option<Yielded> {
        let (folded, flipped) = self.mesh.symmetry.fold(position);
        let located = locator.find(folded)?;
        let image =
            [0, 1].map(|axis| if flipped[axis] { -direction[axis] } else { direction[axis] });
        let mut range = self.points_of(&located);
        // A front between the columns of a ring runs beside the path, not across it.
        if let ElementRef::Quad(quad) = located.element
            && self.runs_along(quad, image)
        {
            let column = if located.local[1] < 0.0 { 0 } else { 2 };
            range = range.start + column..range.start + column + 2;
        }
        let points = &self.points[range];
        let first = points.first()?.class;
        Some(Yielded {
            class: points.iter().all(|point| point.class == first).then_some(first),
            in_rings: matches!(located.element, ElementRef::Quad(_)),
        })
    }

    /// Whether a path runs through a quadrilateral about as its layers are stacked, from node 0 to node 1.
    fn runs_along(&self, quad: usize, direction: [f64; 2]) -> bool {
        let [a, b] = [0, 1].map(|corner| self.mesh.nodes[self.mesh.quads[quad][corner]]);
        let (x, y) = (b[0] - a[0], b[1] - a[1]);
        (x * direction[0] + y * direction[1]).abs() > ALONG * x.hypot(y)
    }

    /// Integration points of the element at a place.
    fn points_of(&self, located: &Located) -> std::ops::Range<usize> {
        self.mesh.points_of(match located.element {
            ElementRef::Quad(index) => index,
            ElementRef::Triangle(index) => self.mesh.quads.len() + index,
        })
    }

    /// Hoop stress of the nearest integration point of the element, as computed, MPa.
    fn nearest_point(&self, hole: &Hole, position: [f64; 2], located: &Located) -> f64 {
        let range = self.points_of(located);
        let away = |point: &&PointValues| {
            (point.position[0] - position[0]).hypot(point.position[1] - position[1])
        };
        self.points[range]
            .iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))
            .map_or(f64::NAN, |point| point.stress.polar(hole.angle_to(point.position)).hoop)
    }
}

/// Cosine that is exactly zero or one on the axes.
fn exact_cos(degrees: f64, radians: f64) -> f64 {
    match degrees.rem_euclid(360.0) {
        0.0 => 1.0,
        90.0 | 270.0 => 0.0,
        180.0 => -1.0,
        _ => radians.cos(),
    }
}
