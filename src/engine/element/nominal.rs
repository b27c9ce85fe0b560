//! Nodal forces and tangent of one element in large deformation.
//!
//! Everything refers to the drawn element (total Lagrangian form), so geometry stays as it was
//! computed once:
//!
//! ```text
//! f_ai = Σ_g V_g P_iJ N_a,J        K_aibk = Σ_g V_g N_a,J A_iJkL N_b,L
//! ```
//!
//! with the nominal stress P, force per drawn area, and its derivative A by the displacement
//! gradient, of which the metal's part is symmetric and the part of the stress exact. In a section
//! the hoop row `N_a/r` joins the gradients of the radial displacement.
//!
//! Order of components: `(xX, xY, yX, yY, third)`, lower case for the force, upper case for the
//! drawn face.

use nalgebra::SMatrix;

use crate::element::kernel::{AxialTerms, ElementForces, PointGeometry, block, block_count};

/// Displacement gradient at a point of an element with nodal `displacement` (mm); the last is the
/// hoop strain `u_r/r` of a section, zero in a plate.
#[must_use]
#[inline]
pub fn gradient<const N: usize>(
    point: &PointGeometry<N>,
    displacement: &[[f64; 2]; N],
) -> [f64; 5] {
    let mut sum = [0.0; 5];
    for (([gx, gy], hoop), [ux, uy]) in point.gradients.iter().zip(&point.hoop).zip(displacement) {
        sum[0] += gx * ux;
        sum[1] += gy * ux;
        sum[2] += gx * uy;
        sum[3] += gy * uy;
        sum[4] += hoop * ux;
    }
    sum
}

/// Integrates the forces of one element from the nominal stresses at its points, MPa. The axial
/// force is that of `work`, the stresses that do work on the uniform strain through the thickness.
#[must_use]
#[inline]
pub fn forces<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    stresses: &[[f64; 5]; P],
    work: impl Fn(usize) -> f64,
) -> ElementForces<N> {
    let mut forces = ElementForces { force: [[0.0; 2]; N], axial_force: 0.0 };
    for (k, (point, stress)) in points.iter().zip(stresses).enumerate() {
        let [xx, xy, yx, yy, zz] = stress.map(|part| point.volume * part);
        let operators = point.gradients.iter().zip(&point.hoop);
        for (force, ([gx, gy], hoop)) in forces.force.iter_mut().zip(operators) {
            force[0] += gx * xx + gy * xy + hoop * zz;
            force[1] += gx * yx + gy * yy;
        }
        forces.axial_force += point.volume * work(k);
    }
    forces
}

/// Integrates the stiffness of one element from the nominal moduli at its points (MPa, symmetric);
/// `blocks` as in [`kernel::stiffness`](crate::element::kernel::stiffness).
///
/// # Panics
///
/// When `blocks` has not [`block_count`] elements.
pub fn stiffness<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    moduli: &[SMatrix<f64, 5, 5>; P],
    blocks: &mut [[f64; 4]],
) {
    assert_eq!(blocks.len(), block_count(N), "one block for every pair of nodes");
    blocks.fill([0.0; 4]);
    for (point, moduli) in points.iter().zip(moduli) {
        let a = |i: usize, j: usize| point.volume * moduli[(i, j)];
        let in_plane: [[f64; 4]; 4] = std::array::from_fn(|i| std::array::from_fn(|j| a(i, j)));
        // Nominal stress by the displacements x and y of every node: rows xX, xY, yX, yY.
        let products = point.gradients.map(|[gx, gy]| {
            in_plane.map(|row| [row[0] * gx + row[1] * gy, row[2] * gx + row[3] * gy])
        });
        let mut rest = &mut *blocks;
        for (node, [hx, hy]) in point.gradients.iter().enumerate() {
            let (row, below) = rest.split_at_mut(node + 1);
            for (block, p) in row.iter_mut().zip(&products) {
                block[0] += hx * p[0][0] + hy * p[1][0];
                block[1] += hx * p[0][1] + hy * p[1][1];
                block[2] += hx * p[2][0] + hy * p[3][0];
                block[3] += hx * p[2][1] + hy * p[3][1];
            }
            rest = below;
        }
        if point.in_section() {
            add_hoop_stiffness(point, &[0, 1, 2, 3, 4].map(|i| a(i, 4)), blocks);
        }
    }
}

/// Adds the hoop row of a point to the blocks of its element; `column` is the last of the
/// moduli, times the volume.
fn add_hoop_stiffness<const N: usize>(
    point: &PointGeometry<N>,
    column: &[f64; 5],
    blocks: &mut [[f64; 4]],
) {
    // Hoop stress by the displacements x and y of every node, without the hoop strain.
    let across = point
        .gradients
        .map(|[gx, gy]| [column[0] * gx + column[1] * gy, column[2] * gx + column[3] * gy]);
    for (a, h) in point.hoop.iter().enumerate() {
        for b in 0..=a {
            let block = &mut blocks[block(a, b)];
            let other = point.hoop[b];
            block[0] += h * (across[b][0] + column[4] * other) + across[a][0] * other;
            block[1] += h * across[b][1];
            block[2] += across[a][1] * other;
        }
    }
}

/// Integrates what a uniform logarithmic strain through the thickness of a plate adds, from the
/// derivatives by it at the points: of the nominal stress in the plane, then of the stress that
/// does work on it, MPa.
#[must_use]
pub(crate) fn axial_terms<const N: usize, const P: usize>(
    points: &[PointGeometry<N>; P],
    columns: &[[f64; 5]; P],
) -> AxialTerms<N> {
    let mut terms = AxialTerms::default();
    for (point, column) in points.iter().zip(columns) {
        let [xx, xy, yx, yy, zz] = column.map(|part| point.volume * part);
        terms.stiffness += zz;
        for (coupling, [gx, gy]) in terms.coupling.iter_mut().zip(&point.gradients) {
            coupling[0] += gx * xx + gy * xy;
            coupling[1] += gx * yx + gy * yy;
        }
    }
    terms
}
