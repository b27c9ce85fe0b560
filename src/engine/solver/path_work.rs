//! Work along the way of an increment, where the metal goes it in logarithmic strain.
//!
//! Forces and displacements at the two ends of an increment give its work by the trapezoidal rule,
//! `½ Σ (f₀ + f₁)·Δu`, which is `½ Σ V (P₀ + P₁) : ΔF` by virtual work. The metal is taken straight
//! in logarithmic strain, and what it stores and dissipates is `½ Σ V (T₀ + T₁) : ΔE`. Both are the
//! same integral; the two rules differ by the square of the increment. The work that is booked goes
//! the way of the metal, so that what is missing from the balance of energies is out of balance.

use nalgebra::Vector4;
use rayon::prelude::*;

use crate::element::kernel::PointGeometry;
use crate::element::nominal::gradient;
use crate::element::point_field::QUAD_POINTS;
use crate::material::logarithmic::Deformation;
use crate::material::strains::Strains;
use crate::mesh::topology::NodeId;
use crate::solver::state::State;
use crate::solver::system::System;

/// Elements that one task answers for.
const TASK: usize = 256;

impl System {
    /// Work of the increment from `old` to `new` along a straight way in logarithmic strain, less that
    /// along a straight way of the nodes, N·mm of the modelled part.
    pub(crate) fn path_work(&mut self, old: &State, new: &State) -> f64 {
        if self.method.strains == Strains::Small {
            return 0.0;
        }
        let mut each = std::mem::take(&mut self.scratch.work);
        let split = QUAD_POINTS * self.mesh.quads.len();
        let (start, end) = (old.conjugate.split_at(split), new.conjugate.split_at(split));
        let ends = (old, new);
        let (mesh, tables) = (&self.mesh, &self.tables);
        let work = difference(&mesh.quads, &tables.quads, ends, (start.0, end.0), &mut each)
            + difference(&mesh.triangles, &tables.triangles, ends, (start.1, end.1), &mut each);
        self.scratch.work = each;
        work
    }
}

/// That of the elements of one shape, whose conjugate stresses are given for both ends; `each` is
/// room for that of every element.
fn difference<const N: usize, const P: usize>(
    elements: &[[NodeId; N]],
    geometry: &[[PointGeometry<N>; P]],
    (old, new): (&State, &State),
    (before, after): (&[Vector4<f64>], &[Vector4<f64>]),
    each: &mut Vec<f64>,
) -> f64 {
    elements
        .par_iter()
        .zip(geometry)
        .zip(before.par_chunks(P).zip(after.par_chunks(P)))
        .with_min_len(TASK)
        .map(|((nodes, points), (before, after))| {
            let at = |state: &State, stresses: &[Vector4<f64>]| {
                let displacement = nodes.map(|node| state.displacement[node]);
                let gradients = points.each_ref().map(|point| gradient(point, &displacement));
                let (deformation, strains) = Deformation::of(&gradients, state.axial_strain);
                (gradients, strains, deformation.nominal::<P>(stresses))
            };
            let (one, other) = (at(old, before), at(new, after));
            let of_point = |k: usize| {
                let metal = (before[k] + after[k]).dot(&(other.1[k] - one.1[k]));
                let nodes: f64 = (0..5)
                    .map(|i| (one.2[k][i] + other.2[k][i]) * (other.0[k][i] - one.0[k][i]))
                    .sum();
                0.5 * points[k].volume * (metal - nodes)
            };
            (0..P).map(of_point).sum()
        })
        .collect_into_vec(each);
    // In the order of the elements: the same bytes for any number of threads.
    each.iter().sum()
}
