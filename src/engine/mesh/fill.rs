//! Triangles between the rings and the outline.
//!
//! The boundary is given and kept whole. Points are placed at the centres of circumcircles
//! that are too large for the wanted size, which keeps them away from all others (the idea
//! of Delaunay refinement: L. P. Chew, 1989, and J. Ruppert, J. Algorithms 18 (1995)
//! 548–585, from memory), then moved to the middle of the triangles round them and
//! triangulated anew a few times (centroidal patches: L. Chen and M. Holst, Comput. Methods
//! Appl. Mech. Engng 200 (2011) 967–984, from memory). The library's own refinement knows
//! one largest area, not a size that varies, hence our own.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use crate::geometry::outline::Loops;
use crate::geometry::piece::Piece;
use crate::mesh::inside::corners_inside;
use crate::mesh::mesh_error::MeshError;
use crate::mesh::polish::polish;
use crate::mesh::rings::OuterLine;
use crate::mesh::size::SizeField;
use crate::mesh::topology::{Mesh, NodeId, Symmetry};

/// A circumradius above this many wanted sizes calls for a point. An equilateral triangle of
/// the wanted size has 0.58; refinement overshoots its limit by about a quarter.
const TOO_LARGE: f64 = 0.72;
/// Points keep this many wanted sizes away from the boundary, which cannot give way; the
/// height of an equilateral triangle is 0.87 of its side.
const CLEARANCE: f64 = 0.55;
/// Rounds of placing points, each followed by `PASSES` of moving them.
const ROUNDS: usize = 3;
/// Passes of moving points in a round. Triangles are good on the average after a few; what is
/// left to do is for [`polish`](crate::mesh::polish).
const PASSES: usize = 5;
/// Weight of a triangle's middle is its area over this power of its wanted size, which makes
/// points follow the grading (centroidal cells in two dimensions).
const WEIGHT_POWER: i32 = 3;
/// Points placed at most: a stop that no sensible plate meets.
const MOST_POINTS: usize = 4_000_000;

type Delaunay = ConstrainedDelaunayTriangulation<Point2<f64>>;

/// The region to be filled and what is known about its boundary.
pub(crate) struct Region<'a> {
    pub(crate) loops: &'a Loops,
    /// Outlines of regions in it.
    pub(crate) walls: &'a [Piece],
    pub(crate) symmetry: Symmetry,
    pub(crate) rings: &'a [OuterLine],
    pub(crate) size: &'a SizeField<'a>,
}

impl Region<'_> {
    /// Distance of `point` from mirror lines and rings, mm; negative beyond them.
    fn clearance_of_lines(&self, [x, y]: [f64; 2]) -> f64 {
        let mut least = self.symmetry.x.map_or(f64::INFINITY, |line| x - line);
        least = self.symmetry.y.map_or(least, |line| least.min(y - line));
        self.rings.iter().fold(least, |least, ring| {
            least.min((x - ring.centre[0]).hypot(y - ring.centre[1]) - ring.radius)
        })
    }

    fn holds(&self, point: [f64; 2]) -> bool {
        self.clearance_of_lines(point) > 0.0 && self.loops.surround(point)
    }

    fn has_room_at(&self, point: [f64; 2]) -> bool {
        let room = CLEARANCE * self.size.at(point);
        self.clearance_of_lines(point) > room
            && self.loops.distance_exceeds(point, room)
            && self.walls.iter().all(|wall| wall.distance(point) > room)
            && self.loops.surround(point)
    }
}

/// Triangles that fill the region, corners counter-clockwise; their inner corners are added
/// to `mesh`. `sides` are all boundary sides `[start, mid, end]`, `within` those between regions.
pub(crate) fn fill(
    mesh: &mut Mesh,
    region: &Region<'_>,
    sides: &[[NodeId; 3]],
    within: &[[NodeId; 3]],
) -> Result<Vec<[NodeId; 3]>, MeshError> {
    let mut ids: Vec<NodeId> = Vec::new();
    let mut local: BTreeMap<NodeId, usize> = BTreeMap::new();
    let mut constraints = Vec::with_capacity(sides.len());
    for &[start, _, end] in sides.iter().chain(within) {
        constraints.push([start, end].map(|node| {
            *local.entry(node).or_insert_with(|| {
                ids.push(node);
                ids.len() - 1
            })
        }));
    }
    let crossed = constraints[sides.len()..].iter().map(|&[a, b]| (a.min(b), a.max(b))).collect();
    let mut points: Vec<[f64; 2]> = ids.iter().map(|&id| mesh.nodes[id]).collect();
    let mut delaunay = triangulate(&points, &constraints)?;
    for _ in 0..ROUNDS {
        place_points(&mut delaunay, region)?;
        points = delaunay.vertices().map(|v| [v.position().x, v.position().y]).collect();
        for _ in 0..PASSES {
            move_points(&mut points, &delaunay, (ids.len(), &crossed), region);
            delaunay = triangulate(&points, &constraints)?;
        }
    }

    let faces = corners_inside(&delaunay, &crossed);
    polish(&mut points, ids.len(), &faces);
    for point in &points[ids.len()..] {
        mesh.nodes.push(*point);
        ids.push(mesh.nodes.len() - 1);
    }
    Ok(faces.into_iter().map(|face| face.map(|vertex| ids[vertex])).collect())
}

fn triangulate(points: &[[f64; 2]], constraints: &[[usize; 2]]) -> Result<Delaunay, MeshError> {
    let fail = |at: [f64; 2], reason: String| MeshError::Fill { at, reason };
    let vertices = points.iter().map(|&[x, y]| Point2::new(x, y)).collect();
    let mut conflict = None;
    let delaunay = Delaunay::try_bulk_load_cdt(vertices, constraints.to_vec(), |edge| {
        conflict.get_or_insert(edge);
    })
    .map_err(|error| fail([f64::NAN; 2], error.to_string()))?;
    if let Some([start, _]) = conflict {
        return Err(fail(points[start], "sides of the boundary cross".to_string()));
    }
    if delaunay.num_vertices() != points.len() {
        return Err(fail(points[0], "two points coincide".to_string()));
    }
    Ok(delaunay)
}

/// Puts a point into every circumcircle that is too large, until none is left.
fn place_points(delaunay: &mut Delaunay, region: &Region<'_>) -> Result<(), MeshError> {
    let mut queue: VecDeque<_> = delaunay.fixed_inner_faces().collect();
    while let Some(face) = queue.pop_front() {
        let face = delaunay.face(face);
        let (centre, radius_squared) = face.circumcircle();
        let at = [centre.x, centre.y];
        if radius_squared.sqrt() <= TOO_LARGE * region.size.at(at) || !region.has_room_at(at) {
            continue;
        }
        // The middle of a circle may be metal while its triangle is not, or lie beyond a cut-out.
        let middle = face.center();
        if !region.holds([middle.x, middle.y]) || delaunay.intersects_constraint(middle, centre) {
            continue;
        }
        let hint = face.vertices()[0].fix();
        let fail = |reason: String| MeshError::Fill { at, reason };
        let added =
            delaunay.insert_with_hint(centre, hint).map_err(|error| fail(error.to_string()))?;
        if delaunay.num_vertices() > MOST_POINTS {
            return Err(fail("more points than any plate needs".to_string()));
        }
        let around = delaunay.vertex(added).out_edges();
        queue.extend(around.filter_map(|edge| edge.face().fix().as_inner()));
    }
    Ok(())
}

/// Moves every point that is not on the boundary, the first `fixed`, to the middle of the triangles round it.
fn move_points(
    points: &mut [[f64; 2]],
    delaunay: &Delaunay,
    (fixed, crossed): (usize, &BTreeSet<(usize, usize)>),
    region: &Region<'_>,
) {
    let mut sums = vec![[0.0; 3]; points.len()];
    for face in corners_inside(delaunay, crossed) {
        let [a, b, c] = face.map(|vertex| points[vertex]);
        let middle = [0, 1].map(|axis| (a[axis] + b[axis] + c[axis]) / 3.0);
        let doubled_area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        let weight = doubled_area / region.size.at(middle).powi(WEIGHT_POWER);
        for vertex in face {
            sums[vertex][0] += weight * middle[0];
            sums[vertex][1] += weight * middle[1];
            sums[vertex][2] += weight;
        }
    }
    for (point, [x, y, weight]) in points.iter_mut().zip(sums).skip(fixed) {
        let moved = [x / weight, y / weight];
        if weight > 0.0 && region.has_room_at(moved) {
            *point = moved;
        }
    }
}
