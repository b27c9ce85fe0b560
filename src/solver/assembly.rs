//! Stresses, internal forces and tangent of the whole mesh.
//!
//! Elements are integrated in parallel, batch by batch, and added in the order of their
//! numbers by one thread, so the sums are the same bytes for any number of threads.
//!
//! Nodes that a tool can touch have a frame of their own, normal and tangential; the
//! stiffness is turned into it before it is added. Forces stay in x and y.
//!
//! Floor 3, `solver`.

use nalgebra::Vector4;
use rayon::prelude::*;

use crate::element::kernel::{ElementSystem, PointGeometry, integrate};
use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::material::state::{PointState, Response, ReturnMapError};
use crate::material::{plane_stress, return_map};
use crate::mesh::topology::NodeId;
use crate::solver::error::Cause;
use crate::solver::state::State;
use crate::solver::system::{Balance, System};

/// Elements integrated before they are added: enough to feed every core, few enough to
/// stay in cache.
const BATCH: usize = 192;

/// The metal's answer under one idealisation.
///
/// # Errors
///
/// [`ReturnMapError`] of the map.
pub fn answer(
    material: &Material,
    idealisation: Idealisation,
    strain: &Vector4<f64>,
    old: &PointState,
) -> Result<Response, ReturnMapError> {
    match idealisation {
        Idealisation::PlaneStress => plane_stress::respond(material, strain, old),
        Idealisation::PlaneStrain | Idealisation::GeneralisedPlaneStrain => {
            return_map::respond(material, strain, old)
        }
    }
}

impl System {
    /// Computes stresses and histories of `trial` from the histories of `old`, and with
    /// them internal forces and tangent.
    ///
    /// # Errors
    ///
    /// [`Cause::ReturnMap`] of the first point that cannot answer its strain.
    pub(crate) fn assemble(&mut self, old: &State, trial: &mut State) -> Result<(), Cause> {
        let Self {
            mesh,
            material,
            idealisation,
            tables,
            pattern,
            balance,
            frames,
            framed_quads,
            framed_triangles,
            ..
        } = self;
        pattern.clear();
        balance.clear(mesh.nodes.len());
        let block = Block {
            material,
            idealisation: *idealisation,
            displacement: &trial.displacement,
            axial_strain: trial.axial_strain,
            frames,
        };
        let split = QUAD_POINTS * mesh.quads.len();
        let (old_quads, old_triangles) = old.points.split_at(split);
        let (new_quads, new_triangles) = trial.points.split_at_mut(split);
        let (quad_stress, triangle_stress) = trial.stress.split_at_mut(split);
        let failed = |point: usize, error: ReturnMapError| {
            if error.trial.is_finite() {
                Cause::ReturnMap { position: tables.positions[point], error }
            } else {
                // The strain that came in was already lost.
                Cause::NotFinite
            }
        };
        block
            .run::<8, QUAD_POINTS>(
                &mesh.quads,
                &tables.quads,
                framed_quads,
                Points { old: old_quads, new: new_quads, stress: quad_stress },
                balance,
                |index, system| pattern.add_quad(index, system),
            )
            .map_err(|(point, error)| failed(point, error))?;
        block
            .run::<6, TRIANGLE_POINTS>(
                &mesh.triangles,
                &tables.triangles,
                framed_triangles,
                Points { old: old_triangles, new: new_triangles, stress: triangle_stress },
                balance,
                |index, system| pattern.add_triangle(index, system),
            )
            .map_err(|(point, error)| failed(split + point, error))
    }
}

/// Histories and stresses of the points of one kind of element.
struct Points<'a> {
    old: &'a [PointState],
    new: &'a mut [PointState],
    stress: &'a mut [Vector4<f64>],
}

/// What all elements of an assembly share.
struct Block<'a> {
    material: &'a Material,
    idealisation: Idealisation,
    displacement: &'a [[f64; 2]],
    axial_strain: f64,
    frames: &'a [Option<[f64; 2]>],
}

impl Block<'_> {
    /// Integrates all elements of one kind and adds them up.
    fn run<const N: usize, const P: usize>(
        &self,
        elements: &[[NodeId; N]],
        geometry: &[[PointGeometry<N>; P]],
        framed: &[bool],
        points: Points<'_>,
        balance: &mut Balance,
        mut add: impl FnMut(usize, &ElementSystem<N>),
    ) -> Result<(), (usize, ReturnMapError)> {
        let Points { old, new, stress } = points;
        let mut batch = Vec::with_capacity(BATCH);
        let size = BATCH * P;
        let states = old.chunks(size).zip(new.chunks_mut(size)).zip(stress.chunks_mut(size));
        for (start, ((old, new), stress)) in (0..elements.len()).step_by(BATCH).zip(states) {
            let end = (start + BATCH).min(elements.len());
            (&elements[start..end], &geometry[start..end])
                .into_par_iter()
                .zip(old.par_chunks(P).zip(new.par_chunks_mut(P)).zip(stress.par_chunks_mut(P)))
                .map(|((nodes, points), ((old, new), stress))| {
                    self.integrate_one(nodes, points, old, new, stress)
                })
                .collect_into_vec(&mut batch);
            for (index, result) in (start..end).zip(&mut batch) {
                match result {
                    Ok(system) => {
                        balance.add(&elements[index], system);
                        if framed[index] {
                            turn(system, &elements[index], self.frames);
                        }
                        balance.add_coupling(&elements[index], system);
                        add(index, system);
                    }
                    Err((point, error)) => return Err((index * P + *point, *error)),
                }
            }
        }
        Ok(())
    }

    fn integrate_one<const N: usize, const P: usize>(
        &self,
        nodes: &[NodeId; N],
        points: &[PointGeometry<N>; P],
        old: &[PointState],
        new: &mut [PointState],
        stresses: &mut [Vector4<f64>],
    ) -> Result<ElementSystem<N>, (usize, ReturnMapError)> {
        let displacement = nodes.map(|node| self.displacement[node]);
        integrate(points, &displacement, self.axial_strain, |point, strain| {
            let Response { stress, tangent, state } =
                answer(self.material, self.idealisation, strain, &old[point])
                    .map_err(|error| (point, error))?;
            new[point] = state;
            stresses[point] = stress;
            Ok((stress, tangent))
        })
    }
}

impl Balance {
    fn clear(&mut self, nodes: usize) {
        self.internal.clear();
        self.internal.resize(nodes, [0.0; 2]);
        self.axial_coupling.clear();
        self.axial_coupling.resize(nodes, [0.0; 2]);
        self.reference = 0.0;
        self.axial_force = 0.0;
        self.axial_stiffness = 0.0;
    }

    fn add<const N: usize>(&mut self, nodes: &[NodeId; N], system: &ElementSystem<N>) {
        for (&node, force) in nodes.iter().zip(&system.force) {
            self.internal[node][0] += force[0];
            self.internal[node][1] += force[1];
            self.reference += force[0].abs() + force[1].abs();
        }
        self.axial_force += system.axial_force;
        self.axial_stiffness += system.axial_stiffness;
    }

    fn add_coupling<const N: usize>(&mut self, nodes: &[NodeId; N], system: &ElementSystem<N>) {
        for (&node, coupling) in nodes.iter().zip(&system.axial_coupling) {
            self.axial_coupling[node][0] += coupling[0];
            self.axial_coupling[node][1] += coupling[1];
        }
    }
}

/// Turns a vector into the frame with first axis `normal` and second axis a quarter turn on.
#[must_use]
pub(crate) fn into_frame(vector: [f64; 2], normal: [f64; 2]) -> [f64; 2] {
    [normal[0] * vector[0] + normal[1] * vector[1], normal[0] * vector[1] - normal[1] * vector[0]]
}

/// Turns a vector back from that frame.
#[must_use]
pub(crate) fn out_of_frame(vector: [f64; 2], normal: [f64; 2]) -> [f64; 2] {
    [normal[0] * vector[0] - normal[1] * vector[1], normal[1] * vector[0] + normal[0] * vector[1]]
}

/// Turns the stiffness rows and columns of framed nodes into their frames.
fn turn<const N: usize>(
    system: &mut ElementSystem<N>,
    nodes: &[NodeId; N],
    frames: &[Option<[f64; 2]>],
) {
    for a in 0..N {
        let Some(normal) = frames[nodes[a]] else { continue };
        system.axial_coupling[a] = into_frame(system.axial_coupling[a], normal);
        // Rows of a, in the blocks below the diagonal and on it.
        for b in 0..=a {
            let [xx, xy, yx, yy] = system.stiffness[a][b];
            let [nx, tx] = into_frame([xx, yx], normal);
            let [ny, ty] = into_frame([xy, yy], normal);
            system.stiffness[a][b] = [nx, ny, tx, ty];
        }
        // Columns of a, in the blocks on the diagonal and below it.
        for c in a..N {
            let [xx, xy, yx, yy] = system.stiffness[c][a];
            let [xn, xt] = into_frame([xx, xy], normal);
            let [yn, yt] = into_frame([yx, yy], normal);
            system.stiffness[c][a] = [xn, xt, yn, yt];
        }
    }
}
