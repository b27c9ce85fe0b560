//! Stresses, internal forces and tangent of the whole mesh.
//!
//! Elements are integrated in parallel, each into its own place; nodes then gather their forces
//! and pairs of nodes their stiffness in the order of the elements, so the sums are the same bytes
//! for any number of threads. An element that was and is elastic keeps its stiffness, with finite
//! strains as long as it has hardly deformed since.
//!
//! Nodes that a tool can touch have a frame of their own, normal and tangential; the
//! stiffness is turned into it before it is added. Forces stay in x and y.

use std::time::Instant;

use crate::element::kernel::ElementForces;
use crate::element::point_field::QUAD_POINTS;
use crate::material::idealisation::Idealisation;
use crate::material::state::{ReturnMapError, Start};
use crate::material::strains::Strains;
use crate::solver::control::Scheme;
use crate::solver::elements::{Asked, Kind, Points, Shared};
use crate::solver::equations::Equations;
use crate::solver::increment_error::Cause;
use crate::solver::state::State;
use crate::solver::system::System;

/// Change of the displacement gradient up to which an elastic element keeps its stiffness while the
/// economical scheme is at work: no more than the digits of a factor in single precision, and the
/// residual decides what the answer is.
const KEPT_WITHIN: f64 = 1e-3;

impl System {
    /// Computes stresses and histories of `trial` from the histories of `old`, the internal
    /// forces, and the tangent when it is asked for.
    ///
    /// # Errors
    ///
    /// [`Cause::ReturnMap`] of the first point that cannot answer its strain.
    pub(crate) fn assemble(
        &mut self,
        old: &State,
        trial: &mut State,
        asked: Asked,
    ) -> Result<(), Cause> {
        let clock = Instant::now();
        let split = QUAD_POINTS * self.mesh.quads.len();
        let most_parts = self.method.most_parts();
        self.scratch.parts.resize(most_parts * old.points.len(), 0.0);
        let places = self.back_places();
        let Self { mesh, tables, frames, equations, regions, metal, bend, .. } = self;
        let Equations { quads, triangles, .. } = equations;
        let others = regions.others.iter();
        let shared = Shared {
            strains: self.method.strains,
            kept_within: match (self.method.strains, self.method.scheme) {
                (Strains::Small, _) => f64::INFINITY,
                (Strains::Finite, Scheme::Economical) if !self.method.watchful => KEPT_WITHIN,
                (Strains::Finite, _) => -1.0,
            },
            kind: Kind::new(&metal.material, metal.idealisation),
            others: others.map(|other| Kind::new(&other.material, other.idealisation)).collect(),
            uniform_axial: metal.idealisation == Idealisation::GeneralisedPlaneStrain,
            places,
            displacement: &trial.displacement,
            axial_strain: trial.axial_strain,
            free_strain: &trial.free_strain,
            frames,
            asked,
            most_parts,
        };
        let (old_flows, old_backs) =
            (old.points.split_at(split), old.backstress.split_at(places * split));
        let old_stresses = old.conjugate.split_at(split);
        let flows = trial.points.split_at_mut(split);
        let backs = trial.backstress.split_at_mut(places * split);
        let stresses = trial.conjugate.split_at_mut(split);
        let parts = self.scratch.parts.split_at_mut(most_parts * split);
        let failed = |point: usize, error: ReturnMapError| {
            if error.trial.is_finite() {
                Cause::ReturnMap { position: tables.positions[point], error }
            } else {
                // The strain that came in was already lost.
                Cause::NotFinite
            }
        };
        let before = if bend.before.len() == old.points.len() { &bend.before[..] } else { &[] };
        let before = before.split_at(split.min(before.len()));
        let start = Start {
            flows: old_flows.0,
            backs: old_backs.0,
            stresses: old_stresses.0,
            before: before.0,
        };
        let points =
            Points { start, flows: flows.0, backs: backs.0, stresses: stresses.0, parts: parts.0 };
        shared
            .integrate((&mesh.quads, &regions.quads), &tables.quads, points, quads)
            .map_err(|(point, error)| failed(point, error))?;
        let start = Start {
            flows: old_flows.1,
            backs: old_backs.1,
            stresses: old_stresses.1,
            before: before.1,
        };
        let points =
            Points { start, flows: flows.1, backs: backs.1, stresses: stresses.1, parts: parts.1 };
        shared
            .integrate((&mesh.triangles, &regions.triangles), &tables.triangles, points, triangles)
            .map_err(|(point, error)| failed(split + point, error))?;
        self.add_up();
        self.add_layer_forces(trial);
        if asked != Asked::Stress {
            self.renew_layers();
            let Equations { pattern, quads, triangles, layers, .. } = &mut self.equations;
            pattern.gather([&quads.blocks, &triangles.blocks, layers]);
            if self.metal.idealisation == Idealisation::GeneralisedPlaneStrain {
                self.add_up_axial();
            }
        }
        self.times.assembly += clock.elapsed().as_secs_f64();
        Ok(())
    }

    fn add_up(&mut self) {
        let Equations { balance, quads, triangles, corners, .. } = &mut self.equations;
        corners.gather(
            &mut balance.internal,
            |element, a| quads.forces[element].force[a],
            |element, a| triangles.forces[element].force[a],
        );
        let size = |force: &[f64; 2]| force[0].abs() + force[1].abs();
        let of_quad = |e: &ElementForces<8>| e.force.iter().map(size).sum::<f64>();
        let of_triangle = |e: &ElementForces<6>| e.force.iter().map(size).sum::<f64>();
        balance.reference = quads.forces.iter().map(of_quad).sum::<f64>()
            + triangles.forces.iter().map(of_triangle).sum::<f64>();
        balance.axial_force = quads.forces.iter().map(|e| e.axial_force).sum::<f64>()
            + triangles.forces.iter().map(|e| e.axial_force).sum::<f64>();
    }

    fn add_up_axial(&mut self) {
        let Equations { balance, quads, triangles, corners, .. } = &mut self.equations;
        balance.axial_coupling.resize(balance.internal.len(), [0.0; 2]);
        corners.gather(
            &mut balance.axial_coupling,
            |element, a| quads.axial[element].coupling[a],
            |element, a| triangles.axial[element].coupling[a],
        );
        balance.axial_stiffness = quads.axial.iter().map(|e| e.stiffness).sum::<f64>()
            + triangles.axial.iter().map(|e| e.stiffness).sum::<f64>();
    }
}
