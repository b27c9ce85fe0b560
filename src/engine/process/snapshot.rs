//! The whole state at the end of a phase: what results are read from and runs go on from.

use serde::{Deserialize, Serialize};

use crate::mesh::topology::Mesh;
use crate::process::flowed::Flowed;
use crate::process::history::HistoryRecord;
use crate::process::joint_reading::JointReading;
use crate::process::ligament::BreakThrough;
use crate::process::service_history::ServiceHistory;
use crate::solver::contact::ToolContact;
use crate::solver::layer::Joint;
use crate::solver::mated::MatedEdges;
use crate::solver::state::State;

/// Version of the layout below; a file of another version is not read.
pub const VERSION: u32 = 11;

/// Data of a hole besides its mesh.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HoleStatus {
    /// Diameter the hole was last made to, mm: starting or reamed.
    pub nominal_diameter: f64,
    /// Axis of that cut `[x, y]`, mm of the drawing.
    pub axis: [f64; 2],
    /// Diameter of the first hole, before any work, mm.
    pub starting_diameter: f64,
    /// Applied expansion of the last tool, fraction.
    pub applied_expansion: Option<f64>,
    /// Whether the hole has been reamed since its last expansion.
    pub reamed: bool,
}

/// The tool as it stands in a hole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ToolReading {
    /// Index of the hole.
    pub hole: usize,
    /// Sheet whose hole it is: 0 is the plate, k the k-th that lies on it.
    pub sheet: usize,
    /// `[angle in radians, pressure in MPa]` at every node the tool can touch.
    pub pressures: Vec<[f64; 2]>,
    /// Mean pressure over the edge that the tool can touch, MPa.
    pub mean_pressure: f64,
    /// Displacement of the mandrel centre `[x, y]`, mm.
    pub mandrel_shift: [f64; 2],
    /// Largest distance of a closed node from the tool, mm.
    pub penetration: f64,
}

/// Record of a cut, besides the new mesh.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct CutReading {
    /// Volume of metal removed from the whole plate, mm³.
    pub removed_volume: f64,
    /// Farthest that a node of the ring line moved to lie on the cut, mm.
    pub largest_move: f64,
    /// Out-of-balance force away from the new edge after the state was carried over, as
    /// a share of the reference force: the transfer error, released with the cut.
    pub transfer_error: f64,
}

/// The state of the plate between two phases of the work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// Layout version.
    pub version: u32,
    /// Label in files and columns, e.g. `1-expand-A-full`.
    pub label: String,
    /// The same in words.
    pub heading: String,
    /// Stage it belongs to, from 1.
    pub stage: usize,
    /// Whether the stage is finished; a snapshot at full size or full load is not.
    pub finished: bool,
    /// Whether tool, load or another temperature act now, so that the stresses are not residual.
    pub loaded: bool,
    /// The mesh as it stands.
    pub mesh: Mesh,
    /// Displacements, histories, stresses.
    pub state: State,
    /// Equivalent plastic strain of every point when the last tool stood at full size;
    /// empty before the first expansion.
    pub full_size_strain: Vec<f64>,
    /// Steps in which the points have yielded.
    pub flowed: Flowed,
    /// Every hole of the plate.
    pub holes: Vec<HoleStatus>,
    /// Fixed data of the tools and pins now in holes, in step with the state.
    pub contacts: Vec<ToolContact>,
    /// The layers under the sheets on the plate.
    pub joints: Vec<Joint>,
    /// Readings of the joints, in the same order.
    pub joint_readings: Vec<JointReading>,
    /// Fixed data of the bushes now in holes, in step with the state.
    pub mated: Vec<MatedEdges>,
    /// Readings of them; the one at work comes last.
    pub tools: Vec<ToolReading>,
    /// Edges that the case holds, with the force that each support puts on the plate, `[x, y]` in N.
    pub support_forces: Vec<(String, [f64; 2])>,
    /// Plastic zones that broke through to an edge or another hole, so far.
    pub break_throughs: Vec<BreakThrough>,
    /// The cut, right after a ream.
    pub cut: Option<CutReading>,
    /// Numeric factorizations so far.
    pub factorizations: usize,
    /// Service loads that are over.
    pub services: Vec<ServiceHistory>,
    /// All increments so far.
    pub history: Vec<HistoryRecord>,
}

impl Snapshot {
    /// Newton iterations so far.
    #[must_use]
    pub fn iterations(&self) -> usize {
        self.history.iter().map(|record| record.iterations).sum()
    }

    /// Relative out-of-balance force of the last increment; 0 before any.
    #[must_use]
    pub fn residual(&self) -> f64 {
        self.history.last().map_or(0.0, |record| record.residual)
    }
}
