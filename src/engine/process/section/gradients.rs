//! Displacements of a section from their gradients at the integration points.
//!
//! An 8-node quadrilateral of four points has one motion that strains none of them. In the flat elements at a face
//! that motion moves nodes by little, but a displacement read between the nodes of one mesh and put on the nodes of
//! another shows it as strain: some tenths of a per cent, more than yield. So a mesh that is laid anew takes the gradients at the
//! points, and the displacement whose gradients fit them best, weighted by volume. Where nothing was laid anew that
//! is the displacement there was.

use nalgebra_sparse::{CooMatrix, CscMatrix};

use crate::element::kernel::PointGeometry;
use crate::element::shape::QUAD8_NODES;
use crate::mesh::topology::{Mesh, NodeId};
use crate::process::stage_error::StageError;
use crate::solver::factor::Factor;
use crate::solver::system_error::SystemError;
use crate::solver::tables::Tables;

/// Gradients at a point: `∂u/∂r, ∂u/∂z, ∂w/∂r, ∂w/∂z, u/r` of the displacement `[u, w]`.
pub(super) type Gradients = [f64; 5];

/// Gradients of `displacement` (mm) at every integration point.
pub(super) fn gradients(mesh: &Mesh, tables: &Tables, displacement: &[[f64; 2]]) -> Vec<Gradients> {
    let of_point = |quad: &[NodeId; 8], point: &PointGeometry<8>| {
        let mut sum = [0.0; 5];
        for ((&node, gradient), hoop) in quad.iter().zip(point.gradients).zip(point.hoop) {
            let [u, w] = displacement[node];
            let parts =
                [u * gradient[0], u * gradient[1], w * gradient[0], w * gradient[1], u * hoop];
            sum.iter_mut().zip(parts).for_each(|(sum, part)| *sum += part);
        }
        sum
    };
    let elements = mesh.quads.iter().zip(&tables.quads);
    elements
        .flat_map(|(quad, points)| points.iter().map(move |point| of_point(quad, point)))
        .collect()
}

/// The displacement (mm) whose gradients are nearest to those `wanted` at the points, by least squares; node
/// `held.0` moves along the axis by `held.1`, which no gradient knows of.
///
/// # Errors
///
/// [`StageError`] when the mesh is too large to factorize.
pub(super) fn displacement_of(
    mesh: &Mesh,
    tables: &Tables,
    wanted: &[Gradients],
    held: (NodeId, f64),
) -> Result<Vec<[f64; 2]>, StageError> {
    let radial = Fit { along: |[a, b, ..]| [a, b], hoop: true };
    let axial = Fit { along: |[_, _, a, b, _]| [a, b], hoop: false };
    let u = radial.solve(mesh, tables, wanted, None)?;
    let w = axial.solve(mesh, tables, wanted, Some(held))?;
    Ok(u.into_iter().zip(w).map(|(u, w)| [u, w]).collect())
}

/// One component of a displacement.
struct Fit {
    /// Its gradients in radius and depth.
    along: fn(Gradients) -> [f64; 2],
    /// Whether its hoop strain counts too.
    hoop: bool,
}

impl Fit {
    fn solve(
        &self,
        mesh: &Mesh,
        tables: &Tables,
        wanted: &[Gradients],
        held: Option<(NodeId, f64)>,
    ) -> Result<Vec<f64>, StageError> {
        let count = mesh.nodes.len();
        let mut matrix = CooMatrix::new(count, count);
        let mut right = vec![0.0; count];
        let points = tables.quads.iter().flatten().zip(wanted);
        for (index, (point, wanted)) in points.enumerate() {
            let nodes = &mesh.quads[index / tables.quads[0].len()];
            let hoop = if self.hoop { point.hoop } else { [0.0; QUAD8_NODES.len()] };
            let [along, across] = (self.along)(*wanted);
            for (a, &row) in nodes.iter().enumerate() {
                let [gr, gz] = point.gradients[a].map(|part| part * point.volume);
                let gh = hoop[a] * point.volume;
                right[row] += gr * along + gz * across + gh * wanted[4];
                for (b, &column) in nodes.iter().enumerate() {
                    if column <= row {
                        let [hr, hz] = point.gradients[b];
                        matrix.push(row, column, gr * hr + gz * hz + gh * hoop[b]);
                    }
                }
            }
        }
        if let Some((node, moved)) = held {
            // Any weight holds it exactly: what is free otherwise is a shift of the whole.
            let weight =
                tables.volumes().sum::<f64>() / (mesh.nodes[node][0] * mesh.nodes[node][0]);
            matrix.push(node, node, weight);
            right[node] += weight * moved;
        }
        let matrix = CscMatrix::from(&matrix);
        let mut factor = Factor::<f64>::new(&matrix)
            .map_err(|_| StageError::System(SystemError::TooLarge { unknowns: count }))?;
        factor.factorize(&matrix).map_err(|_| StageError::Transfer { position: mesh.nodes[0] })?;
        factor.solve(&mut right, 1);
        Ok(right)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::element::kernel::Measure;
    use crate::mesh::section::SectionPlan;
    use crate::numeric::random::Random;

    /// Any displacement comes back from its gradients on its own mesh, flat elements at the faces included.
    #[test]
    fn gradients_have_one_displacement() {
        let mesh = SectionPlan::ring(2.85, 20.0, 6.0).grid().mesh();
        let tables = Tables::new(&mesh, Measure::Section).expect("sound");
        let mut random = Random::new(1);
        let moved: Vec<[f64; 2]> =
            mesh.nodes.iter().map(|_| [random.share(), random.share()]).collect();
        let wanted = gradients(&mesh, &tables, &moved);
        let held = mesh.nodes.len() - 1;
        let found =
            displacement_of(&mesh, &tables, &wanted, (held, moved[held][1])).expect("small");
        for (found, moved) in found.iter().zip(&moved) {
            for k in 0..2 {
                assert!((found[k] - moved[k]).abs() < 1e-6, "{found:?} {moved:?}");
            }
        }
    }
}
