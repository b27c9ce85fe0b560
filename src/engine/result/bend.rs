//! How stress bends across the layers of a ring.
//!
//! The line through the points of an element misses a stress that bends by `c`: by `c h²/12` at the ends of a layer of
//! thickness `h`, on the same side in both layers that meet there, so that their mean misses it too. How much it bends,
//! the layers beside it tell.

use nalgebra::Vector4;

use crate::element::point_field::QUAD_POINTS;
use crate::mesh::topology::{Mesh, NodeId};
use crate::tensor::Polar;

/// Points of an element that follow each other outward, on either side.
const COLUMNS: [[usize; 2]; 2] = [[0, 1], [3, 2]];
/// Nodes at the middle of an element's outer and inner side.
const OUTER: usize = 5;
const INNER: usize = 7;

/// Polar stresses at the points of one quadrilateral.
pub(super) type AtPoints = [Polar; QUAD_POINTS];

/// Layers of rings that lie next to each other in metal of one class.
pub(super) struct Layers {
    /// The quadrilateral inside of each, and outside.
    beside: Vec<[Option<usize>; 2]>,
}

impl Layers {
    /// `owner` has the hole of each quadrilateral, `classes` how its points have yielded: none where they differ.
    pub(super) fn new(mesh: &Mesh, owner: &[Option<usize>], classes: &[Option<u64>]) -> Self {
        let mut outside: Vec<Option<usize>> = vec![None; mesh.nodes.len()];
        for (index, quad) in
            mesh.quads.iter().enumerate().filter(|(index, _)| owner[*index].is_some())
        {
            outside[quad[INNER]] = Some(index);
        }
        let mut beside = vec![[None; 2]; mesh.quads.len()];
        for (index, class) in classes.iter().enumerate().filter(|(_, class)| class.is_some()) {
            let side: NodeId = mesh.quads[index][OUTER];
            if let Some(next) =
                outside[side].filter(|&next| owner[next] == owner[index] && classes[next] == *class)
            {
                beside[index][1] = Some(next);
                beside[next][0] = Some(index);
            }
        }
        Self { beside }
    }

    /// What is to be added to the line through the points of element `index`, by unit of `3 ξ² − 1`, in either column.
    /// `away` is how far a point lies from the centre of the rings, mm.
    pub(super) fn bends(
        &self,
        index: usize,
        turned: &[AtPoints],
        away: impl Fn(usize) -> f64,
    ) -> Option<[Vector4<f64>; 2]> {
        let [inner, outer] = self.beside[index];
        let [from, to] = match (inner, outer) {
            (Some(inner), Some(outer)) => [inner, outer],
            (Some(inner), None) => [inner, index],
            (None, Some(outer)) => [index, outer],
            (None, None) => return None,
        };
        Some(COLUMNS.map(|column| {
            let ends = |element: usize| column.map(|k| away(QUAD_POINTS * element + k));
            let slope = |element: usize| {
                let [a, b] = column.map(|k| Vector4::from(turned[element][k]));
                let [near, far] = ends(element);
                (b - a) / (far - near)
            };
            let middle = |element: usize| 0.5 * ends(element).iter().sum::<f64>();
            let curvature = (slope(to) - slope(from)) / (middle(to) - middle(from));
            let [near, far] = ends(index);
            curvature * (far - near).powi(2) / 8.0
        }))
    }
}

/// What bends add at local `[ξ, η]`.
pub(super) fn added(bends: &[Vector4<f64>; 2], [x, y]: [f64; 2]) -> Vector4<f64> {
    let share = 0.5 * (1.0 + 3.0_f64.sqrt() * y);
    (bends[0] * (1.0 - share) + bends[1] * share) * (3.0 * x * x - 1.0)
}
