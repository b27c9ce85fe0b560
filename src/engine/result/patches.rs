//! Stresses at the nodes of triangles, from the points around them.
//!
//! The line through the three points of one triangle is a poor guide to its corners, most of all on a mirror line, where all
//! triangles lie on one side. Here a parabolic surface is laid through the points of all elements that meet at a corner, by
//! least squares, and read there; on a mirror line the points of the other half are taken in too. Nodes at the middle of a
//! side take the mean of what its two ends say. (The idea of recovery by patches: O. C. Zienkiewicz and J. Z. Zhu, Int. J.
//! Numer. Methods Engng 33 (1992) 1331–1364, from memory.) On an edge of the metal nothing is found: a surface carried on to it from two
//! rows of triangles misses the peak at a cut-out by 3 %, the lines of its own triangles by 1 %.
//!
//! No surface is laid across a plastic front, where the slope of the stress jumps: elements are sorted by the
//! steps of the work in which they have yielded, and each sort has a surface of its own. Elements that
//! a front runs through belong to none.

use std::collections::BTreeMap;

use nalgebra::{SMatrix, SVector, Vector4};

use crate::mesh::adjacency::Adjacency;
use crate::mesh::topology::{Mesh, NodeId};

/// Points that a surface of six constants is laid through, at least.
const FEWEST: usize = 9;
/// How much less the farthest point of a surface counts than one at its node, less one.
const FADE: f64 = 4.0;

/// Class of the points of an element that lies between the same fronts.
type Sort = u64;

/// A parabolic surface about a node, of the stress components `(xx, yy, zz, xy)`.
struct Surface {
    centre: [f64; 2],
    reach: f64,
    constants: SMatrix<f64, 6, 4>,
}

impl Surface {
    fn at(&self, [x, y]: [f64; 2]) -> Vector4<f64> {
        let [dx, dy] = [x - self.centre[0], y - self.centre[1]].map(|d| d / self.reach);
        self.constants.transpose() * terms(dx, dy)
    }
}

fn terms(x: f64, y: f64) -> SVector<f64, 6> {
    SVector::from([1.0, x, y, x * x, x * y, y * y])
}

/// Finds surfaces; `sorts` has one entry an element, `None` for one that a front runs through.
struct Patches<'a> {
    mesh: &'a Mesh,
    positions: &'a [[f64; 2]],
    stress: &'a [Vector4<f64>],
    sorts: &'a [Option<Sort>],
    adjacency: Adjacency,
}

/// Stress at the nodes of triangles, where the points around allow it. Points on both sides of a front differ in their
/// class; `sorts` has that of each element, none where its points differ.
pub(super) fn triangle_stress(
    mesh: &Mesh,
    positions: &[[f64; 2]],
    stress: &[Vector4<f64>],
    sorts: &[Option<Sort>],
) -> BTreeMap<NodeId, Vector4<f64>> {
    if mesh.triangles.is_empty() {
        return BTreeMap::new();
    }
    let patches = Patches { mesh, positions, stress, sorts, adjacency: Adjacency::new(mesh) };
    patches.all()
}

impl Patches<'_> {
    fn all(&self) -> BTreeMap<NodeId, Vector4<f64>> {
        let mut surfaces: BTreeMap<NodeId, Vec<(Sort, Surface)>> = BTreeMap::new();
        let mut found = BTreeMap::new();
        for triangle in &self.mesh.triangles {
            for &corner in &triangle[..3] {
                surfaces.entry(corner).or_insert_with(|| self.surfaces(corner));
            }
        }
        for (&corner, own) in &surfaces {
            let at = self.mesh.nodes[corner];
            if let Some(mean) = mean(own.iter().map(|(_, surface)| surface.at(at))) {
                found.insert(corner, mean);
            }
        }
        for [a, b, c, ab, bc, ca] in &self.mesh.triangles {
            for (middle, ends) in [(ab, [a, b]), (bc, [b, c]), (ca, [c, a])] {
                let at = self.mesh.nodes[*middle];
                let of_sort = |sort: Sort| {
                    let both = ends.into_iter().flat_map(|end| &surfaces[end]);
                    mean(both.filter(|(own, _)| *own == sort).map(|(_, surface)| surface.at(at)))
                };
                let values = self.sorts_at(*middle).into_iter().filter_map(of_sort);
                if let Some(mean) = mean(values) {
                    found.insert(*middle, mean);
                }
            }
        }
        found
    }

    /// The sorts of the elements at a node, each once.
    fn sorts_at(&self, node: NodeId) -> Vec<Sort> {
        let mut sorts: Vec<Sort> =
            self.adjacency.at(node).iter().filter_map(|&element| self.sorts[element]).collect();
        sorts.sort_unstable();
        sorts.dedup();
        sorts
    }

    fn surfaces(&self, node: NodeId) -> Vec<(Sort, Surface)> {
        if self.on_edge(node) {
            return Vec::new();
        }
        let sorts = self.sorts_at(node).into_iter();
        sorts.filter_map(|sort| Some((sort, self.surface(node, sort)?))).collect()
    }

    fn surface(&self, node: NodeId, sort: Sort) -> Option<Surface> {
        let of_sort = |element: &usize| self.sorts[*element] == Some(sort);
        let near: Vec<usize> = self.adjacency.at(node).iter().copied().filter(of_sort).collect();
        let copies = self.copies(node);
        let count = |elements: &[usize]| {
            copies.len() * elements.iter().map(|&e| self.mesh.points_of(e).len()).sum::<usize>()
        };
        let elements = if count(&near) >= FEWEST {
            near
        } else {
            let corners = near.iter().flat_map(|&element| {
                let nodes = self.mesh.nodes_of(element);
                &nodes[..nodes.len() / 2]
            });
            let mut wide: Vec<usize> = corners
                .flat_map(|&corner| self.adjacency.at(corner))
                .copied()
                .filter(of_sort)
                .collect();
            wide.sort_unstable();
            wide.dedup();
            wide
        };
        if count(&elements) < FEWEST {
            return None;
        }
        let points = || {
            elements.iter().flat_map(|&element| self.mesh.points_of(element)).flat_map(|point| {
                copies.iter().map(move |copy| copy.of(self.positions[point], self.stress[point]))
            })
        };
        let centre = self.mesh.nodes[node];
        let away = |[x, y]: [f64; 2]| (x - centre[0]).hypot(y - centre[1]);
        let reach = points().map(|(at, _)| away(at)).fold(0.0, f64::max);
        let (mut matrix, mut right) =
            (SMatrix::<f64, 6, 6>::zeros(), SMatrix::<f64, 6, 4>::zeros());
        for (at, stress) in points() {
            let [dx, dy] = [0, 1].map(|axis| (at[axis] - centre[axis]) / reach);
            let row = terms(dx, dy);
            let weight = 1.0 / (1.0 + FADE * (dx * dx + dy * dy));
            matrix += weight * row * row.transpose();
            right += weight * row * stress.transpose();
        }
        let constants = matrix.cholesky()?.solve(&right);
        Some(Surface { centre, reach, constants })
    }

    /// Whether a node lies on an edge of the metal.
    fn on_edge(&self, node: NodeId) -> bool {
        let mesh = self.mesh;
        self.adjacency.at(node).iter().any(|&element| {
            let nodes = mesh.nodes_of(element);
            let sides = nodes.len() / 2;
            (0..sides).any(|side| {
                let middle = nodes[sides + side];
                let ends = [nodes[side], nodes[(side + 1) % sides]];
                ends.contains(&node)
                    && self.adjacency.at(middle).len() == 1
                    && !mesh.is_on_mirror(middle)
            })
        })
    }

    /// The images of the metal that mirror lines through a node ask for, itself first.
    fn copies(&self, node: NodeId) -> Vec<Copy> {
        let mesh = self.mesh;
        let on = |nodes: &[NodeId], line: Option<f64>| {
            line.filter(|_| nodes.binary_search(&node).is_ok())
        };
        let lines =
            [on(&mesh.mirror_nodes_x, mesh.symmetry.x), on(&mesh.mirror_nodes_y, mesh.symmetry.y)];
        let mut copies = vec![Copy([None, None])];
        for axis in (0..2).filter(|&axis| lines[axis].is_some()) {
            for k in 0..copies.len() {
                let Copy(mut other) = copies[k];
                other[axis] = lines[axis];
                copies.push(Copy(other));
            }
        }
        copies
    }
}

/// An image of the metal: the mirror lines `x` and `y` that it is turned over at.
#[derive(Clone, Copy)]
struct Copy([Option<f64>; 2]);

impl Copy {
    fn of(self, at: [f64; 2], mut stress: Vector4<f64>) -> ([f64; 2], Vector4<f64>) {
        let mut image = at;
        for (axis, line) in self.0.into_iter().enumerate() {
            if let Some(line) = line {
                image[axis] = 2.0 * line - at[axis];
                stress[3] = -stress[3];
            }
        }
        (image, stress)
    }
}

fn mean(values: impl Iterator<Item = Vector4<f64>>) -> Option<Vector4<f64>> {
    let (mut sum, mut count) = (Vector4::zeros(), 0.0);
    for value in values {
        sum += value;
        count += 1.0;
    }
    (count > 0.0).then(|| sum / count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::shape::{quad8_values, tri6_values};
    use crate::geometry::hole::Hole;
    use crate::geometry::plate::{Outline, Plate};
    use crate::mesh::plan::MeshPlan;
    use crate::mesh::topology::Symmetry;
    use crate::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};
    use crate::result::recovery::classes;
    use approx::assert_relative_eq;

    /// The upper half of a plate with a hole, coarse, and where its integration points are.
    fn half() -> (Mesh, Vec<[f64; 2]>) {
        let plate = Plate {
            outline: Outline::Rectangle { width: 40.0, height: 30.0 },
            thickness: 5.0,
            holes: vec![Hole::round("A", [12.0, 15.0], 6.0)],
        };
        let symmetry = Symmetry { x: None, y: Some(15.0) };
        let plan = MeshPlan { fineness: 0.5, symmetry, ..MeshPlan::default() };
        let mesh = crate::mesh::build(&plate, &plan).expect("a plate with room");
        let at = |nodes: &[NodeId], values: &[f64]| {
            nodes.iter().zip(values).fold([0.0; 2], |sum, (&node, value)| {
                [0, 1].map(|axis| sum[axis] + value * mesh.nodes[node][axis])
            })
        };
        let quads = mesh.quads.iter().flat_map(|quad| {
            SQUARE_2X2.into_iter().map(|(local, _)| at(quad, &quad8_values(local)))
        });
        let triangles = mesh.triangles.iter().flat_map(|triangle| {
            TRIANGLE_3.into_iter().map(|(local, _)| at(triangle, &tri6_values(local)))
        });
        let positions = quads.chain(triangles).collect();
        (mesh, positions)
    }

    #[test]
    fn a_parabolic_field_is_recovered_at_every_node_inside_and_on_the_mirror_line() {
        let (mesh, positions) = half();
        // As the mirror line y = 15 asks: direct stresses even in y, the shear odd.
        let field = |[x, y]: [f64; 2]| {
            let (x, y) = (x - 20.0, y - 15.0);
            Vector4::new(3.0 + x - 0.2 * x * x + 0.1 * y * y, 7.0 - 2.0 * x, 0.5 * y * y, y * x - y)
        };
        let stress: Vec<Vector4<f64>> = positions.iter().map(|&at| field(at)).collect();
        let found = triangle_stress(&mesh, &positions, &stress, &classes(&mesh, |_| 0));
        let edge: std::collections::BTreeSet<NodeId> =
            mesh.edges.iter().flat_map(|edge| edge.sides.concat()).collect();
        for node in mesh.triangles.iter().flat_map(|triangle| &triangle[..3]) {
            assert_eq!(found.contains_key(node), !edge.contains(node), "corner {node}");
        }
        for (node, stress) in found {
            assert_relative_eq!(stress, field(mesh.nodes[node]), epsilon = 1e-8);
        }
    }

    #[test]
    fn no_surface_is_laid_across_a_front() {
        let (mesh, positions) = half();
        let front = 27.3;
        let field = |[x, _]: [f64; 2]| {
            let slope = if x < front { 30.0 } else { -10.0 };
            Vector4::new(0.0, slope * (x - front), 0.0, 0.0)
        };
        let stress: Vec<Vector4<f64>> = positions.iter().map(|&at| field(at)).collect();
        let sorts = classes(&mesh, |point| u64::from(positions[point][0] < front));
        let found = triangle_stress(&mesh, &positions, &stress, &sorts);
        let side = |point: usize| positions[point][0] < front;
        let adjacency = Adjacency::new(&mesh);
        let mut beside = 0;
        for (node, stress) in found {
            // The sorts of the elements at the node, and whether the front runs through one of them.
            let (mut sorts, mut touched) = (Vec::new(), false);
            for &element in adjacency.at(node) {
                let sides: Vec<bool> = mesh.points_of(element).map(side).collect();
                let whole = sides.iter().all(|one| *one == sides[0]);
                touched |= !whole;
                sorts.extend(whole.then_some(sides[0]));
            }
            let own = mesh.nodes[node][0] < front;
            // A node in the front has both; a corner of an element may reach over it.
            if sorts.contains(&own) && !sorts.contains(&!own) {
                assert_relative_eq!(stress, field(mesh.nodes[node]), epsilon = 1e-8);
                beside += usize::from(touched);
            }
        }
        assert!(beside > 5, "{beside}");
    }
}
