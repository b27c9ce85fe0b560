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

    /// An addition to the line through the points of element `index`, by unit of `3 ξ² − 1`, in either column.
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

/// Addition of bends at local `[ξ, η]`.
pub(super) fn added(bends: &[Vector4<f64>; 2], [x, y]: [f64; 2]) -> Vector4<f64> {
    let share = 0.5 * (1.0 + 3.0_f64.sqrt() * y);
    (bends[0] * (1.0 - share) + bends[1] * share) * (3.0 * x * x - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::point_field::quad_shares;
    use crate::element::shape::QUAD8_NODES;
    use approx::assert_relative_eq;

    /// Three layers of one sector, of thickness 1, 2 and 1, and radii of their points.
    fn three() -> (Mesh, Vec<f64>) {
        let quads = (0..3).map(|k| {
            std::array::from_fn(|n| {
                if n == OUTER {
                    k + 1
                } else if n == INNER {
                    k
                } else {
                    9
                }
            })
        });
        let mesh = Mesh { quads: quads.collect(), nodes: vec![[0.0; 2]; 10], ..Mesh::default() };
        let layers = [[4.0, 5.0], [5.0, 7.0], [7.0, 8.0]];
        let radii = layers.into_iter().flat_map(|[from, to]| {
            let (middle, half) = (0.5 * (from + to), 0.5 * (to - from) / 3.0_f64.sqrt());
            [middle - half, middle + half, middle + half, middle - half]
        });
        (mesh, radii.collect())
    }

    /// The values at the nodes of element `index` where elements are of these classes.
    fn found(index: usize, classes: [Option<u64>; 3], stress: fn(f64) -> f64) -> Vec<f64> {
        let (mesh, radii) = three();
        let layers = Layers::new(&mesh, &[Some(0); 3], &classes);
        let polar = |radius: &f64| Polar { hoop: stress(*radius), ..Polar::default() };
        let turned: Vec<AtPoints> = radii
            .chunks(QUAD_POINTS)
            .map(|four| std::array::from_fn(|k| polar(&four[k])))
            .collect();
        let bends = layers.bends(index, &turned, |point| radii[point]);
        let at = |local: [f64; 2]| {
            let line: f64 = quad_shares(local)
                .iter()
                .zip(&turned[index])
                .map(|(share, polar)| share * polar.hoop)
                .sum();
            line + bends.map_or(0.0, |bends| added(&bends, local)[1])
        };
        QUAD8_NODES.into_iter().map(at).collect()
    }

    #[test]
    fn a_parabola_across_the_layers_is_found_at_every_node() {
        let stress = |radius: f64| 3.0 - 2.0 * radius + 7.0 * radius * radius;
        for (index, [from, to]) in [[4.0, 5.0], [5.0, 7.0], [7.0, 8.0]].into_iter().enumerate() {
            let values = found(index, [Some(1); 3], stress);
            for (value, [x, _]) in values.into_iter().zip(QUAD8_NODES) {
                let radius = 0.5 * (from + to) + 0.5 * x * (to - from);
                assert_relative_eq!(value, stress(radius), epsilon = 1e-10);
            }
        }
    }

    #[test]
    fn nothing_is_learnt_across_a_front() {
        let kinked = |radius: f64| if radius < 5.0 { 100.0 * (radius - 5.0) } else { 5.0 - radius };
        for classes in [[Some(1), Some(0), Some(0)], [Some(1), Some(0), None]] {
            for (index, [from, to]) in [[4.0, 5.0], [5.0, 7.0]].into_iter().enumerate() {
                for (value, [x, _]) in found(index, classes, kinked).into_iter().zip(QUAD8_NODES) {
                    let radius = 0.5 * (from + to) + 0.5 * x * (to - from);
                    assert_relative_eq!(value, kinked(radius), epsilon = 1e-10);
                }
            }
        }
    }
}
