//! Reams and countersinks of a section: where the cutter meets the displaced metal, and the state
//! on the mesh of what is left.
//!
//! The new bore lies, row by row, where the displaced metal is on the cutter. The columns at the bore
//! are laid anew between it and a line beyond the cut; all others stay where they are, so that
//! nothing of their state is interpolated. Stresses follow from the carried histories. What is out
//! of balance then is held by nodal forces, which the run gives up in increments.

use nalgebra::Vector4;

use crate::mesh::section::{SectionPlan, fitted};
use crate::mesh::topology::{HoleMesh, Mesh, NodeId};
use crate::numeric::root::bracketed_newton;
use crate::process::section::{Face, SectionPart};
use crate::process::stage_error::StageError;
use crate::process::transfer::Reader;
use crate::solver::state::{Rate, State};
use crate::solver::system::System;
use crate::solver::system_error::SystemError;
use crate::solver::tables::Tables;

/// Least width of the space that is meshed anew beyond the cut, over the radius of the cut.
const BEYOND: f64 = 0.15;

/// Least metal that a cut must take everywhere on the bore it makes, mm.
const CLEAN: f64 = 1e-6;

/// The tool of a cut. Lengths in mm of the part as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cutter {
    /// A cylinder through the whole thickness.
    Cylinder {
        /// Its radius.
        radius: f64,
    },
    /// A cone whose surface meets the bore at a depth below a face.
    Cone {
        /// The face that it enters.
        face: Face,
        /// Depth below that face at which it meets the bore.
        depth: f64,
        /// Half of its angle, radians.
        half_angle: f64,
    },
}

/// A section after a cut, not yet in balance.
#[derive(Debug)]
pub struct SectionCut {
    /// The mesh of what is left.
    pub mesh: Mesh,
    /// Displacements and histories on it.
    pub state: State,
    /// Volume of the metal removed from the whole ring, mm³.
    pub removed_volume: f64,
}

/// The bore as it stands: radius and depth of the displaced place, by reference place.
struct Standing<'a> {
    reader: Reader<'a>,
    rim: f64,
}

impl Standing<'_> {
    fn displaced(&self, place: [f64; 2]) -> Result<[f64; 2], StageError> {
        let moved = self.reader.displacement(place)?;
        Ok([place[0] + moved[0], place[1] + moved[1]])
    }

    /// Reference radius at which the metal of depth `z` is as far out as `wanted` says of its
    /// displaced depth; `from` is that of the bore.
    fn meets(
        &self,
        (from, z): (f64, f64),
        wanted: impl Fn(f64) -> f64,
    ) -> Result<Option<f64>, StageError> {
        let mut failure = None;
        let found = bracketed_newton(from, self.rim, 1e-12 * self.rim, |r| {
            match self.displaced([r, z]) {
                // The displaced radius grows about as the drawn one does.
                Ok([radius, depth]) => (radius - wanted(depth), 1.0),
                Err(error) => {
                    failure.get_or_insert(error);
                    (f64::NAN, 1.0)
                }
            }
        });
        failure.map_or(Ok(found), Err)
    }
}

/// Cuts the section of `system` in `state`.
///
/// # Errors
///
/// [`StageError`] when the cutter misses part of the bore, or leaves nothing to mesh.
pub fn cut(
    system: &System,
    state: &State,
    (part, name): (&SectionPart, &str),
    fineness: f64,
    cutter: Cutter,
) -> Result<SectionCut, StageError> {
    let mesh = &system.mesh;
    let hole = &mesh.holes[0];
    let standing = Standing { reader: Reader::new(system, state), rim: 0.5 * part.outer_diameter };
    let (bore, widest) = new_bore(mesh, &standing, part, name, cutter)?;
    let (outer, depths) = (columns(mesh, hole), rows(mesh, hole));
    let narrowest = bore.iter().copied().fold(f64::INFINITY, f64::min);
    let keep = outer.iter().position(|&r| r >= widest * (1.0 + BEYOND));
    let keep = keep.filter(|&k| k + 1 < outer.len()).ok_or_else(|| StageError::CutBeyondRings {
        hole: name.to_owned(),
        cutter: 2.0 * widest,
        largest: 2.0 * standing.rim / (1.0 + BEYOND),
    })?;
    let plan =
        SectionPlan { fineness, ..SectionPlan::ring(narrowest, standing.rim, part.thickness) };
    let fractions = plan.fractions(narrowest, outer[keep] - narrowest);
    let cut = fitted(&bore, &fractions, &outer[keep..], &depths);
    let tables = Tables::new(&cut, crate::element::kernel::Measure::Section)
        .map_err(|folded| StageError::System(SystemError::Folded(folded)))?;
    let removed_volume = system.tables.volumes().sum::<f64>() - tables.volumes().sum::<f64>();
    let state = carry((&cut, &tables), &standing.reader, state)?;
    Ok(SectionCut { mesh: cut, state, removed_volume })
}

/// Reference radius of the new bore at every half row, and the largest of them, mm.
fn new_bore(
    mesh: &Mesh,
    standing: &Standing<'_>,
    part: &SectionPart,
    name: &str,
    cutter: Cutter,
) -> Result<(Vec<f64>, f64), StageError> {
    let edge = &mesh.holes[0].edge;
    let mut bore = Vec::with_capacity(edge.len());
    let displaced = edge.iter().map(|&node| standing.displaced(mesh.nodes[node]));
    let displaced = displaced.collect::<Result<Vec<_>, _>>()?;
    match cutter {
        Cutter::Cylinder { radius } => {
            let farthest = displaced.iter().map(|at| at[0]).fold(0.0, f64::max);
            if farthest + CLEAN >= radius {
                return Err(StageError::NotCleanedUp {
                    hole: name.to_owned(),
                    cutter: 2.0 * radius,
                    needed: 2.0 * farthest + 0.01,
                });
            }
            for &node in edge {
                let [from, z] = mesh.nodes[node];
                let found = standing.meets((from, z), |_| radius)?;
                bore.push(found.ok_or_else(|| StageError::CutBeyondRings {
                    hole: name.to_owned(),
                    cutter: 2.0 * radius,
                    largest: 2.0 * standing.rim,
                })?);
            }
        }
        Cutter::Cone { face, depth, half_angle } => {
            // The face as it stands beyond the lip round the hole.
            let (level, sense) = match face {
                Face::Entry => (0.0, 1.0),
                Face::Exit => (part.thickness, -1.0),
            };
            let away = (2.0 * mesh.nodes[edge[0]][0]).min(0.5 * standing.rim);
            let level = standing.displaced([away, level])?[1];
            let below = |z: f64| sense * (z - level);
            // The bore at the depth where the cone meets it.
            let off = |at: &&[f64; 2]| (below(at[1]) - depth).abs();
            let nearest = displaced.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            let radius = nearest.map_or(0.0, |at| at[0]);
            let cone = |z: f64| radius + (depth - below(z)) * half_angle.tan();
            for (&node, at) in edge.iter().zip(&displaced) {
                let [from, z] = mesh.nodes[node];
                bore.push(if at[0] >= cone(at[1]) {
                    from
                } else {
                    standing.meets((from, z), cone)?.ok_or_else(|| StageError::CutBeyondRings {
                        hole: name.to_owned(),
                        cutter: 2.0 * cone(at[1]),
                        largest: 2.0 * standing.rim,
                    })?
                });
            }
        }
    }
    let widest = bore.iter().copied().fold(0.0, f64::max);
    Ok((bore, widest))
}

/// Radii of the columns' borders at the entry face, from the bore outward, mm. All but those at a
/// bore that is not straight are the same at every depth.
fn columns(mesh: &Mesh, hole: &HoleMesh) -> Vec<f64> {
    let first = |layer: usize| mesh.quads[hole.quad(layer, 0)];
    let mut radii: Vec<f64> =
        (0..hole.layers).map(|layer| mesh.nodes[first(layer)[0]][0]).collect();
    radii.push(mesh.nodes[first(hole.layers - 1)[1]][0]);
    radii
}

/// Depths of the rows' borders, mm.
fn rows(mesh: &Mesh, hole: &HoleMesh) -> Vec<f64> {
    hole.edge.iter().step_by(2).map(|&node: &NodeId| mesh.nodes[node][1]).collect()
}

/// The state on the mesh of what is left; stresses are for the system to find.
fn carry(
    (cut, tables): (&Mesh, &Tables),
    reader: &Reader<'_>,
    state: &State,
) -> Result<State, StageError> {
    let displacement =
        cut.nodes.iter().map(|&at| reader.displacement(at)).collect::<Result<Vec<_>, _>>()?;
    let places = state.backstress.len() / state.points.len();
    let mut points = Vec::with_capacity(tables.point_count());
    let mut backstress = Vec::with_capacity(places * tables.point_count());
    for &position in &tables.positions {
        let (history, _) = reader.history(position, &[])?;
        points.push(history.flow());
        backstress.extend_from_slice(&history.backstress[..places]);
    }
    Ok(State {
        displacement,
        stress: vec![Vector4::zeros(); points.len()],
        conjugate: vec![Vector4::zeros(); points.len()],
        points,
        backstress,
        external: vec![[0.0; 2]; cut.nodes.len()],
        rate: Rate::default(),
        ..state.clone()
    })
}
