//! A plate with cracks on its mirror line, and the elastic answer to what pulls them.
//!
//! The nodes of the line between hole and tip are let go. What they carried before, remote load
//! or residual stress, acts on the faces with its sign turned; the answer is elastic. Stresses
//! before the cut are smooth at the tip, so the intensity of the answer is that of the sum.
//!
//! The answer is linear about the mesh that is handed in. A stress intensity is linear by definition, and it has to be:
//! those of residual stress and load are added, scaled by every load of a sequence, and compared with thresholds that are.
//! With finite strain the mesh to hand in is that of the part as it stands ([`Mesh::displaced`]), with the nodal forces that the
//! part really carries. What is then left out is the change of the thickness round the hole, and the
//! share of the residual stress in the stiffness, of the order of stress over modulus. `tests/life.rs` measures what the two
//! meshes differ by.

use std::ops::ControlFlow;

use crate::fracture::crack_error::CrackError;
use crate::fracture::interaction::{Domain, Field};
use crate::fracture::line::{Way, sides};
use crate::fracture::tip_field::TipField;
use crate::geometry::hole::Hole;
use crate::material::hardening::{Isotropic, Material};
use crate::material::idealisation::Idealisation;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NodeId};
use crate::numeric::profile::Profile;
use crate::solver::increment::PhaseEnd;
use crate::solver::newton::Scheme;
use crate::solver::prescribed::Drive;
use crate::solver::supports::Supports;
use crate::solver::system::System;

/// Element sides needed behind and ahead of a tip.
const LEAST_SIDES: usize = 4;
/// Outer radius of the domain over the distance from the tip to the nearest boundary.
const ROOM: f64 = 0.9;
/// Rounds that the contact of the faces may take.
const ROUNDS: usize = 60;
/// A yield stress that no answer reaches, over Young's modulus: the answer is elastic.
const NEVER: f64 = 1e3;

/// Motion that the crack faces are free to make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faces {
    /// Overlap: a closing crack has a negative intensity. The superposition of a residual and a
    /// remote part needs this.
    Free,
    /// Touch: they push and never pull, and nothing is negative.
    Touching,
}

/// Load that opens the cracks.
#[derive(Clone, Debug, Default)]
pub struct Pull {
    /// Forces on the plate `[x, y]`, N by node; empty for none.
    pub forces: Vec<[f64; 2]>,
    /// Normal stress on the crack line before the cut against distance from the edge of the hole
    /// (mm, MPa), for each crack in order; it is let go.
    pub line_stress: Vec<Profile>,
    /// Force `[y]` in N that every node of the line carried before the cut, from the state itself;
    /// by node. `None`: computed from `line_stress`.
    pub line_forces: Option<Vec<f64>>,
}

/// The answer of one tip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TipAnswer {
    /// Stress intensity, MPa√mm.
    pub intensity: f64,
    /// Opening between the faces at the edge of the hole, mm.
    pub mouth_opening: f64,
    /// Share of the crack length over which the faces touch.
    pub touching: f64,
}

#[derive(Clone, Debug)]
struct Crack {
    way: Way,
    length: f64,
    sides: Vec<[NodeId; 3]>,
    domain: Domain,
}

/// A plate with one or two cracks at a hole.
#[derive(Debug)]
pub struct OpenedPlate {
    system: System,
    cracks: Vec<Crack>,
    tip_field: TipField,
    /// Supports without any crack face held.
    bare: Supports,
}

impl OpenedPlate {
    /// Cuts `mesh` along its horizontal mirror line from the edge of hole `hole`: every `(way,
    /// length in mm)` ends at the nearest corner node. In a quarter model the mirror image of a
    /// crack is there as well.
    ///
    /// # Errors
    /// [`CrackError`] when the line, the metal or the mesh is not there, or the equations cannot be
    /// set up.
    pub fn new(
        mesh: Mesh,
        hole: &Hole,
        wanted: &[(Way, f64)],
        metal: &Material,
        idealisation: Idealisation,
        thickness: f64,
    ) -> Result<Self, CrackError> {
        if mesh.symmetry.y.is_none() {
            return Err(CrackError::NoMirrorLine);
        }
        let cracks = wanted
            .iter()
            .map(|&(way, length)| Crack::new(&mesh, hole, way, length))
            .collect::<Result<Vec<_>, _>>()?;
        let elastic = Material {
            elasticity: metal.elasticity,
            yield_stress: NEVER * metal.elasticity.youngs_modulus,
            isotropic: Isotropic::None,
            kinematic: Vec::new(),
        };
        let mut system = System::new(mesh, elastic, idealisation, thickness, hole.radius())
            .map_err(CrackError::System)?;
        // The floor is made of the yield stress, which is out of reach here on purpose.
        system.scale.force /= NEVER * 1e3;
        system.method.scheme = Scheme::Newton;
        // Linear about the mesh at hand: intensities superpose.
        system.method.strains = Strains::Small;
        let mut bare = system.supports.clone();
        for crack in &cracks {
            let tip = crack.sides[crack.sides.len() - 1][2];
            for &node in crack.sides.iter().flatten().filter(|&&node| node != tip) {
                bare.held[node][1] = false;
            }
        }
        let tip_field = TipField::new(metal.elasticity, idealisation);
        Ok(Self { system, cracks, tip_field, bare })
    }

    /// Lengths of the cracks as the mesh has them, mm, in the order they were asked for.
    #[must_use]
    pub fn lengths(&self) -> Vec<f64> {
        self.cracks.iter().map(|crack| crack.length).collect()
    }

    /// The mesh that was cut.
    #[must_use]
    pub fn mesh(&self) -> &Mesh {
        &self.system.mesh
    }

    /// The answer of every tip to `pull`.
    ///
    /// # Errors
    /// [`CrackError::Increment`] and [`CrackError::FacesKeepChanging`].
    pub fn answer(&mut self, pull: &Pull, faces: Faces) -> Result<Vec<TipAnswer>, CrackError> {
        let forces = self.forces(pull);
        self.system.supports = self.bare.clone();
        let mut state = self.system.virgin_state();
        let mut touching: Vec<NodeId> = Vec::new();
        for _ in 0..ROUNDS {
            state = self.system.virgin_state();
            let drive = Drive { external: Some(forces.clone()), step: 1.0, ..Drive::default() };
            match self.system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(())) {
                PhaseEnd::Failed(error) => return Err(CrackError::Increment(error)),
                PhaseEnd::Stopped | PhaseEnd::Done => {}
            }
            if faces == Faces::Free {
                break;
            }
            let mut changed = false;
            let push =
                |node: NodeId| self.system.equations.balance.internal[node][1] - forces[node][1];
            let largest = touching.iter().map(|&node| push(node).abs()).fold(0.0, f64::max);
            touching.retain(|&node| {
                let stays = push(node) >= -1e-9 * largest;
                changed |= !stays;
                stays
            });
            for node in self.face_nodes() {
                if state.displacement[node][1] < 0.0 && !touching.contains(&node) {
                    touching.push(node);
                    changed = true;
                }
            }
            self.system.supports = self.bare.clone();
            for &node in &touching {
                self.system.supports.held[node][1] = true;
            }
            if !changed {
                return Ok(self.read(&state, pull, &forces, &touching));
            }
        }
        match faces {
            Faces::Free => Ok(self.read(&state, pull, &forces, &[])),
            Faces::Touching => Err(CrackError::FacesKeepChanging),
        }
    }

    fn face_nodes(&self) -> Vec<NodeId> {
        let mut nodes: Vec<NodeId> = self
            .cracks
            .iter()
            .flat_map(|crack| crack.sides.iter().flat_map(|&[near, middle, _]| [near, middle]))
            .collect();
        nodes.dedup();
        nodes
    }

    /// Forces on the plate, with what the faces are let go of.
    fn forces(&self, pull: &Pull) -> Vec<[f64; 2]> {
        let mesh = &self.system.mesh;
        let mut forces = pull.forces.clone();
        forces.resize(mesh.nodes.len(), [0.0; 2]);
        if let Some(carried) = &pull.line_forces {
            for node in self.face_nodes() {
                forces[node][1] -= carried[node];
            }
            return forces;
        }
        for (crack, stress) in self.cracks.iter().zip(&pull.line_stress) {
            for side in &crack.sides {
                let positions = side.map(|node| crack.distance(mesh.nodes[node]));
                for (&node, share) in side.iter().zip(shares(positions, stress)) {
                    // Tension held the upper half down; let go, it springs up.
                    forces[node][1] += share * self.system.metal.thickness;
                }
            }
        }
        forces
    }

    fn read(
        &self,
        state: &crate::solver::state::State,
        pull: &Pull,
        forces: &[[f64; 2]],
        touching: &[NodeId],
    ) -> Vec<TipAnswer> {
        let system = &self.system;
        let field = Field {
            mesh: &system.mesh,
            tables: &system.tables,
            thickness: system.metal.thickness,
            displacement: &state.displacement,
            stress: &state.stress,
        };
        self.cracks
            .iter()
            .enumerate()
            .map(|(index, crack)| {
                let stress = pull.line_stress.get(index);
                let face = |behind: f64| {
                    stress.and_then(|profile| profile.at(crack.length - behind)).unwrap_or(0.0)
                };
                let own: Vec<NodeId> = crack.sides.iter().flat_map(|s| [s[0], s[1]]).collect();
                let pushes: Vec<(NodeId, f64)> = touching
                    .iter()
                    .filter(|node| own.contains(node))
                    .map(|&node| {
                        (node, system.equations.balance.internal[node][1] - forces[node][1])
                    })
                    .collect();
                let closed: f64 = crack
                    .sides
                    .iter()
                    .filter(|side| touching.contains(&side[1]))
                    .map(|side| {
                        let [near, _, far] =
                            side.map(|node| crack.distance(system.mesh.nodes[node]));
                        far - near
                    })
                    .sum();
                // A tip whose own side is shut carries no singularity.
                let shut = touching.contains(&crack.sides[crack.sides.len() - 1][1]);
                let intensity = crack.domain.intensity(&field, &self.tip_field, face, &pushes);
                TipAnswer {
                    intensity: if shut { 0.0 } else { intensity },
                    mouth_opening: 2.0 * state.displacement[crack.sides[0][0]][1],
                    touching: closed / crack.length,
                }
            })
            .collect()
    }
}

impl Crack {
    fn new(mesh: &Mesh, hole: &Hole, way: Way, length: f64) -> Result<Self, CrackError> {
        let all = sides(mesh, hole, way);
        let Some(first) = all.first() else {
            return Err(CrackError::NoMetal { angle_deg: way.angle_deg() });
        };
        let edge = hole.distance_to(mesh.nodes[first[0]]);
        let reach = |side: &[NodeId; 3]| hole.distance_to(mesh.nodes[side[2]]) - edge;
        let behind = (1..=all.len())
            .min_by(|&a, &b| {
                let off = |count: usize| (reach(&all[count - 1]) - length).abs();
                off(a).total_cmp(&off(b))
            })
            .unwrap_or(1);
        let ahead = all.len() - behind;
        if behind < LEAST_SIDES || ahead < LEAST_SIDES {
            return Err(CrackError::TooFewSides { length, sides: [behind, ahead] });
        }
        let cut = all[..behind].to_vec();
        let tip = mesh.nodes[cut[behind - 1][2]];
        let length = reach(&cut[behind - 1]);
        // No boundary may lie in the domain: hole, outline, other holes.
        let boundary = mesh
            .edges
            .iter()
            .flat_map(|named| named.sides.iter().flatten())
            .chain(mesh.holes.iter().flat_map(|other| &other.edge));
        let room = boundary
            .map(|&node| {
                let [x, y] = mesh.nodes[node];
                (x - tip[0]).hypot(y - tip[1])
            })
            .fold(f64::INFINITY, f64::min);
        let domain = Domain { tip, way, radius: ROOM * room };
        let mut crack = Self { way, length, sides: cut, domain };
        // Mirror image across x: another tip as near as the hole's own centre line is not in the way.
        if let Some(line) = mesh.symmetry.x {
            crack.domain.radius = crack.domain.radius.min(ROOM * (tip[0] - line).abs());
        }
        Ok(crack)
    }

    /// Distance from the edge of the hole, mm.
    fn distance(&self, position: [f64; 2]) -> f64 {
        self.length + self.way.sign() * (position[0] - self.domain.tip[0])
    }
}

/// Forces per thickness of a line stress on the three nodes of a straight side whose nodes lie at
/// `positions` from the edge of the hole, N/mm.
fn shares(positions: [f64; 3], stress: &Profile) -> [f64; 3] {
    use crate::element::edge::{derivatives, values};
    use crate::numeric::gauss::LINE_3;
    let mut shares = [0.0; 3];
    for (xi, weight) in LINE_3 {
        let (shape, slope) = (values(xi), derivatives(xi));
        let at: f64 = shape.iter().zip(positions).map(|(v, p)| v * p).sum();
        let length: f64 = slope.iter().zip(positions).map(|(v, p)| v * p).sum();
        for (share, value) in shares.iter_mut().zip(shape) {
            *share += weight * value * length * stress.at(at).unwrap_or(0.0);
        }
    }
    shares
}
