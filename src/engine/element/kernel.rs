//! Nodal forces and tangent of one element.
//!
//! ```text
//! f_a = Σ_g V_g B_aᵀ σ_g        K_ab = Σ_g V_g B_aᵀ D_g B_b        V_g = thickness · weight · det J
//! ```
//!
//! with the strain operator `B_a = [N_a,x 0; 0 N_a,y; 0 0; N_a,y N_a,x]` onto
//! `(εxx, εyy, εzz, γxy)` and the symmetric half of the tangent `D`. A uniform strain
//! through the thickness, when there is one, couples through the zz column.
//!
//! In a section (radius against depth of a body of revolution) x is the radius and y the depth; the
//! third direction is the hoop, whose strain is `u_r/r`: the third row of `B_a` is `[N_a/r 0]`, and
//! `V_g = 2πr · weight · det J` is that of the whole ring.
//!
//! The number of nodes is a constant of the type, so the loops unroll; nothing in the
//! solver above is generic. Elements know no metal: strains come out, stresses and tangents go in.

use std::f64::consts::PI;

use nalgebra::{Matrix4, Vector4};

/// How an area of the mesh becomes a volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// A plate, drawn from above.
    Plate {
        /// Its thickness, mm.
        thickness: f64,
    },
    /// A section of a body of revolution: x is the radius, and the whole ring counts.
    Section,
}

/// Data of an integration point that stay the same for the life of a mesh.
#[derive(Clone, Copy, Debug)]
pub struct PointGeometry<const N: usize> {
    /// Gradients `[∂N_a/∂x, ∂N_a/∂y]` of every node, 1/mm.
    pub gradients: [[f64; 2]; N],
    /// `N_a/r` of every node, 1/mm: hoop strain per radial displacement. Zero in a plate.
    pub hoop: [f64; N],
    /// Volume that the point stands for, mm³.
    pub volume: f64,
}

/// An element that is folded at an integration point, or lies beyond the axis of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inverted {
    /// Determinant of the Jacobian there, mm² per unit square.
    pub determinant: f64,
}

impl<const N: usize> PointGeometry<N> {
    /// Geometry at a point with the shape functions `values`, their local gradients `local` and
    /// integration `weight`.
    ///
    /// `nodes` are the positions in mm.
    ///
    /// # Errors
    ///
    /// [`Inverted`] when the element is folded there, or has no positive radius in a section.
    pub fn new(
        nodes: &[[f64; 2]; N],
        values: &[f64; N],
        local: &[[f64; 2]; N],
        weight: f64,
        measure: Measure,
    ) -> Result<Self, Inverted> {
        let mut jacobian = [[0.0; 2]; 2];
        for (node, gradient) in nodes.iter().zip(local) {
            for i in 0..2 {
                for j in 0..2 {
                    jacobian[i][j] += node[i] * gradient[j];
                }
            }
        }
        let [[xx, xy], [yx, yy]] = jacobian;
        let determinant = xx * yy - xy * yx;
        if determinant.is_nan() || determinant <= 0.0 {
            return Err(Inverted { determinant });
        }
        let gradients =
            local.map(|[g, h]| [(yy * g - yx * h) / determinant, (xx * h - xy * g) / determinant]);
        let (hoop, depth) = match measure {
            Measure::Plate { thickness } => ([0.0; N], thickness),
            Measure::Section => {
                let radius: f64 =
                    nodes.iter().zip(values).map(|(node, value)| node[0] * value).sum();
                if radius.is_nan() || radius <= 0.0 {
                    return Err(Inverted { determinant });
                }
                (values.map(|value| value / radius), 2.0 * PI * radius)
            }
        };
        Ok(Self { gradients, hoop, volume: determinant * weight * depth })
    }

    /// Whether the point belongs to a section.
    #[must_use]
    pub(crate) fn in_section(&self) -> bool {
        // Shape functions sum to one: not all of them vanish.
        self.hoop.iter().any(|&value| value != 0.0)
    }
}

/// Forces of one element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ElementForces<const N: usize> {
    /// Internal force of every node `[x, y]`, N.
    pub force: [[f64; 2]; N],
    /// Integral of σzz over the volume, N·mm.
    pub axial_force: f64,
}

/// Derivatives of an element's forces by the uniform strain through the thickness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxialTerms<const N: usize> {
    /// Of the nodal forces, N.
    pub coupling: [[f64; 2]; N],
    /// Of the axial force, N·mm.
    pub stiffness: f64,
}

impl<const N: usize> Default for AxialTerms<N> {
    fn default() -> Self {
        Self { coupling: [[0.0; 2]; N], stiffness: 0.0 }
    }
}

/// Blocks of the lower triangle of an element with `nodes` nodes.
#[must_use]
pub const fn block_count(nodes: usize) -> usize {
    nodes * (nodes + 1) / 2
}

/// Place of the block of nodes `a ≥ b` among them.
#[must_use]
pub const fn block(a: usize, b: usize) -> usize {
    block_count(a) + b
}

/// Strain `(εxx, εyy, εzz, γxy)` at a point of an element with nodal `displacement` (mm); `axial` is
/// a uniform strain in the third direction besides.
#[must_use]
pub fn strain<const N: usize>(
    point: &PointGeometry<N>,
    displacement: &[[f64; 2]; N],
    axial: f64,
) -> Vector4<f64> {
    let (mut xx, mut yy, mut zz, mut xy) = (0.0, 0.0, axial, 0.0);
    for (([gx, gy], hoop), [ux, uy]) in point.gradients.iter().zip(&point.hoop).zip(displacement) {
        xx += gx * ux;
        yy += gy * uy;
        zz += hoop * ux;
        xy += gy * ux + gx * uy;
    }
    Vector4::new(xx, yy, zz, xy)
}

/// Integrates the forces of one element from the stresses `(xx, yy, zz, xy)` at its points, MPa.
#[must_use]
#[inline]
pub fn forces<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    stresses: &[Vector4<f64>],
) -> ElementForces<N> {
    let mut forces = ElementForces { force: [[0.0; 2]; N], axial_force: 0.0 };
    for (point, stress) in points.iter().zip(stresses) {
        let [xx, yy, zz, xy] = [0, 1, 2, 3].map(|i| point.volume * stress[i]);
        let operators = point.gradients.iter().zip(&point.hoop);
        for (force, ([gx, gy], hoop)) in forces.force.iter_mut().zip(operators) {
            force[0] += gx * xx + gy * xy + hoop * zz;
            force[1] += gy * yy + gx * xy;
        }
        forces.axial_force += zz;
    }
    forces
}

/// Integrates the stiffness of one element from the tangents at its points (MPa, `(4, 4)`).
///
/// `blocks` become those of nodes `a ≥ b`, in the places of [`block`]: `[xx, xy, yx, yy]` with the
/// row of `a` first, N/mm.
///
/// # Panics
///
/// When `blocks` has not [`block_count`] elements.
#[inline]
pub fn stiffness<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    tangents: &[Matrix4<f64>; P],
    blocks: &mut [[f64; 4]],
) {
    assert_eq!(blocks.len(), block_count(N), "one block for every pair of nodes");
    blocks.fill([0.0; 4]);
    for (point, tangent) in points.iter().zip(tangents) {
        let sym = |i: usize, j: usize| 0.5 * point.volume * (tangent[(i, j)] + tangent[(j, i)]);
        let (d00, d01, d03) = (sym(0, 0), sym(0, 1), sym(0, 3));
        let (d11, d13, d33) = (sym(1, 1), sym(1, 3), sym(3, 3));
        // D B_b of every node, column by column: rows xx, yy, xy of x, then of y.
        let products = point.gradients.map(|[gx, gy]| {
            [
                d00 * gx + d03 * gy,
                d01 * gx + d13 * gy,
                d03 * gx + d33 * gy,
                d01 * gy + d03 * gx,
                d11 * gy + d13 * gx,
                d13 * gy + d33 * gx,
            ]
        });
        let mut rest = &mut *blocks;
        for (a, [hx, hy]) in point.gradients.iter().enumerate() {
            let (row, below) = rest.split_at_mut(a + 1);
            for (block, p) in row.iter_mut().zip(&products) {
                block[0] += hx * p[0] + hy * p[2];
                block[1] += hx * p[3] + hy * p[5];
                block[2] += hy * p[1] + hx * p[2];
                block[3] += hy * p[4] + hx * p[5];
            }
            rest = below;
        }
        if point.in_section() {
            add_hoop_stiffness(point, tangent, blocks);
        }
    }
}

/// Adds the hoop row of a point to the blocks of its element.
fn add_hoop_stiffness<const N: usize>(
    point: &PointGeometry<N>,
    tangent: &Matrix4<f64>,
    blocks: &mut [[f64; 4]],
) {
    let sym = |i: usize, j: usize| 0.5 * point.volume * (tangent[(i, j)] + tangent[(j, i)]);
    let (z0, z1, z2, z3) = (sym(0, 2), sym(1, 2), sym(2, 2), sym(2, 3));
    // Stress zz by the displacements x and y of every node, without and with the hoop strain.
    let across = point.gradients.map(|[gx, gy]| [z0 * gx + z3 * gy, z1 * gy + z3 * gx]);
    for (a, h) in point.hoop.iter().enumerate() {
        for b in 0..=a {
            let block = &mut blocks[block(a, b)];
            let other = point.hoop[b];
            block[0] += h * (across[b][0] + z2 * other) + across[a][0] * other;
            block[1] += h * across[b][1];
            block[2] += across[a][1] * other;
        }
    }
}

/// Integrates what a uniform strain through the thickness of a plate adds, from the tangents at the
/// points.
#[must_use]
pub(crate) fn axial_terms<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    tangents: &[Matrix4<f64>; P],
) -> AxialTerms<N> {
    let mut terms = AxialTerms::default();
    for (point, tangent) in points.iter().zip(tangents) {
        let sym = |i: usize, j: usize| 0.5 * point.volume * (tangent[(i, j)] + tangent[(j, i)]);
        let (z0, z1, z3) = (sym(0, 2), sym(1, 2), sym(2, 3));
        terms.stiffness += sym(2, 2);
        for (coupling, [gx, gy]) in terms.coupling.iter_mut().zip(&point.gradients) {
            coupling[0] += gx * z0 + gy * z3;
            coupling[1] += gy * z1 + gx * z3;
        }
    }
    terms
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::shape::{quad8_gradients, quad8_values};
    use crate::numeric::gauss::SQUARE_2X2;
    use approx::assert_relative_eq;

    const NODES: [[f64; 2]; 8] = [
        [0.1, -0.1],
        [2.0, 0.2],
        [2.2, 1.4],
        [-0.1, 1.1],
        [1.05, 0.0],
        [2.15, 0.8],
        [1.0, 1.3],
        [-0.05, 0.5],
    ];

    fn points() -> [PointGeometry<8>; 4] {
        SQUARE_2X2.map(|(xi, weight)| {
            let plate = Measure::Plate { thickness: 3.0 };
            PointGeometry::new(&NODES, &quad8_values(xi), &quad8_gradients(xi), weight, plate)
                .expect("a good element")
        })
    }

    fn stiffness_of_metal() -> Matrix4<f64> {
        Matrix4::new(
            100.0, 30.0, 30.0, 5.0, 30.0, 90.0, 28.0, 4.0, 30.0, 28.0, 95.0, 3.0, 5.0, 4.0, 3.0,
            40.0,
        )
    }

    fn internal(displacement: &[[f64; 2]; 8], axial: f64) -> [[f64; 2]; 8] {
        let d = stiffness_of_metal();
        let points = points();
        forces(&points, &points.map(|point| d * strain(&point, displacement, axial))).force
    }

    #[test]
    fn a_rigid_motion_makes_no_force() {
        let motion = NODES.map(|[x, y]| [0.3 - 0.01 * y, -0.2 + 0.01 * x]);
        for force in internal(&motion, 0.0) {
            assert_relative_eq!(force[0], 0.0, epsilon = 1e-12);
            assert_relative_eq!(force[1], 0.0, epsilon = 1e-12);
        }
    }

    #[test]
    fn a_linear_material_gives_stiffness_times_displacement() {
        let bent = NODES.map(|[x, y]| [0.01 * x * y, 0.02 * x - 0.005 * y * y]);
        let tangents = [stiffness_of_metal(); 4];
        let mut blocks = [[0.0; 4]; block_count(8)];
        stiffness(&points(), &tangents, &mut blocks);
        let axial = axial_terms(&points(), &tangents);
        let expected = internal(&bent, 0.001);
        for a in 0..8 {
            let mut force = [0.0; 2];
            for (b, [x, y]) in bent.into_iter().enumerate() {
                let [xx, xy, yx, yy] = if a >= b {
                    blocks[block(a, b)]
                } else {
                    let [xx, xy, yx, yy] = blocks[block(b, a)];
                    [xx, yx, xy, yy]
                };
                force[0] += xx * x + xy * y;
                force[1] += yx * x + yy * y;
            }
            for (i, force) in force.into_iter().enumerate() {
                let all = force + axial.coupling[a][i] * 0.001;
                assert_relative_eq!(all, expected[a][i], epsilon = 1e-12);
            }
        }
    }

    #[test]
    fn a_folded_element_is_named() {
        // The middle of the element knows its mid-side nodes only: turn all of it inside out.
        let nodes = NODES.map(|[x, y]| [-x, y]);
        let (values, local) = (quad8_values([0.0, 0.0]), quad8_gradients([0.0, 0.0]));
        let plate = Measure::Plate { thickness: 1.0 };
        assert!(PointGeometry::new(&nodes, &values, &local, 1.0, plate).is_err());
    }

    #[test]
    fn a_linear_field_has_its_strain_everywhere() {
        let field = NODES.map(|[x, y]| [0.002 * x + 0.001 * y, -0.003 * y + 0.0005 * x]);
        for point in points() {
            let strain = strain(&point, &field, 0.0);
            assert_relative_eq!(strain[0], 0.002, epsilon = 1e-15);
            assert_relative_eq!(strain[1], -0.003, epsilon = 1e-15);
            assert_relative_eq!(strain[3], 0.0015, epsilon = 1e-15);
        }
    }
}
