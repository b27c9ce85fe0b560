//! Records of the work on a section: one for each increment, one for each stage.
//!
//! Forces are those of the whole ring, N; positive pull is along the draw.

use serde::{Deserialize, Serialize};

use crate::material::strains::Strains;
use crate::mesh::section_grid::SectionGrid;
use crate::mesh::topology::Mesh;
use crate::solver::state::State;

/// Phase that an increment belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum SectionPhase {
    /// The mandrel travels.
    Draw,
    /// A tool grows.
    Grow,
    /// A tool shrinks.
    Release,
    /// A cut gives up its traction.
    Cut,
    /// A sleeve gives up its forces on the bore.
    SleeveOut,
}

/// A sleeve that is a layer of elements, at the end of an increment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SleeveRecord {
    /// Force of its rest on its end, against the draw, N; negative where the mandrel squeezes it back.
    pub end_force: f64,
    /// Largest way that it has slipped in the hole so far, mm.
    pub slip: f64,
    /// Largest equivalent plastic strain in it.
    pub plastic_strain: f64,
    /// Axial force of friction on the hole, N, along the draw.
    pub friction_force: f64,
}

/// One increment in equilibrium: a row of `travel.csv`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TravelRecord {
    /// Label of the stage.
    pub stage: String,
    /// Phase that the increment belongs to.
    pub phase: SectionPhase,
    /// Number of the increment in the whole run, from 1.
    pub increment: usize,
    /// Share of the phase done, 0 to 1.
    pub share: f64,
    /// Way of the mandrel since it first touched, mm; of a growing tool its radius less that of the
    /// hole.
    pub travel: f64,
    /// Force that pulls the mandrel, N.
    pub pull_force: f64,
    /// Part of it that friction takes, N.
    pub friction_force: f64,
    /// Force of the nose cap on the part against the draw, N; that on the end of a sleeve is not in it.
    pub support_force: f64,
    /// Radial force of the tool on the bore, N of the whole ring.
    pub radial_force: f64,
    /// Largest pressure on the bore, MPa.
    pub peak_pressure: f64,
    /// Depth of the first and the last node that touches, mm; none when none does.
    pub touching: Option<[f64; 2]>,
    /// Newton iterations.
    pub iterations: usize,
    /// Contact states that changed during the iterations.
    pub contact_changes: usize,
    /// How often the increment was halved before it went through.
    pub halvings: usize,
    /// Directions in which the part would give way by itself: negative eigenvalues of its tangent.
    pub unstable: usize,
    /// Relative out-of-balance force at the end.
    pub residual: f64,
    /// Work of the pull or of the growing tool so far, N·mm.
    pub tool_work: f64,
    /// Work done on the metal so far, N·mm.
    pub metal_work: f64,
    /// Heat of friction so far, N·mm.
    pub friction_work: f64,
    /// Elastic energy stored now, N·mm.
    pub elastic_energy: f64,
    /// Plastic work so far, N·mm.
    pub plastic_work: f64,
    /// The sleeve, where it is a layer of elements and in the hole.
    #[serde(default)]
    pub sleeve: Option<SleeveRecord>,
}

/// The state of a section after a stage.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionSnapshot {
    /// Label of the stage.
    pub label: String,
    /// The same in words.
    pub heading: String,
    /// Number of the stage, from 1.
    pub stage: usize,
    /// Whether a tool acts now, so that the stresses are not residual.
    pub loaded: bool,
    /// The mesh as it stands.
    pub mesh: Mesh,
    /// Its columns and rows.
    pub grid: SectionGrid,
    /// Displacements, histories, stresses.
    pub state: State,
    /// How deformation is measured: results stand in the part as it stands, or as drawn.
    pub strains: Strains,
    /// Numeric factorizations so far.
    pub factorizations: usize,
    /// All increments so far.
    pub travel: Vec<TravelRecord>,
}
