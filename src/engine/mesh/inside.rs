//! Which triangles of a triangulation belong to the region that its constraints enclose.
//!
//! Constraints are closed chains that do not cross, one in another: from outside, the first
//! one crossed leads into the region, the next one out of it, into a cut-out or into rings. Those
//! between regions of metal lead nowhere.

use std::collections::BTreeSet;

use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

/// Corners, counter-clockwise, of every triangle in the region, in the order of the triangulation.
/// Constraints that are `crossed`, smaller vertex first, have metal on both hands.
pub(crate) fn corners_inside(
    delaunay: &ConstrainedDelaunayTriangulation<Point2<f64>>,
    crossed: &BTreeSet<(usize, usize)>,
) -> Vec<[usize; 3]> {
    let mut beside: Vec<Vec<(usize, bool)>> = vec![Vec::new(); delaunay.num_all_faces()];
    for edge in delaunay.undirected_edges() {
        let [p, q] = edge.vertices().map(|vertex| vertex.index());
        let wall = edge.is_constraint_edge() && !crossed.contains(&(p.min(q), p.max(q)));
        let directed = edge.as_directed();
        let [a, b] = [directed.face().index(), directed.rev().face().index()];
        beside[a].push((b, wall));
        beside[b].push((a, wall));
    }
    let outer = delaunay.outer_face().index();
    let mut inside: Vec<Option<bool>> = vec![None; beside.len()];
    inside[outer] = Some(false);
    let mut next = vec![outer];
    while let Some(face) = next.pop() {
        for &(other, wall) in &beside[face] {
            if inside[other].is_none() {
                inside[other] = inside[face].map(|here| here != wall);
                next.push(other);
            }
        }
    }
    delaunay
        .inner_faces()
        .filter(|face| inside[face.index()] == Some(true))
        .map(|face| face.vertices().map(|vertex| vertex.index()))
        .collect()
}
