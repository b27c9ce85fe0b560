//! Everything a reader may want of one snapshot: mesh as it stands, fields, paths.

use serde::{Deserialize, Serialize};

use crate::mesh::topology::Mesh;
use crate::result::path::StressPath;
use crate::tensor::Stress;

/// Values at the nodes, recovered from the integration points. One entry a node.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct NodalFields {
    /// Displacement `[x, y]`, mm.
    pub displacement: Vec<[f64; 2]>,
    /// Recovered stress, MPa.
    pub stress: Vec<Stress>,
    /// Hoop stress about the nearest hole, MPa.
    pub hoop: Vec<f64>,
    /// Largest difference of hoop stress between the elements that meet at the node, MPa.
    pub hoop_jump: Vec<f64>,
    /// Equivalent plastic strain.
    pub equivalent_plastic_strain: Vec<f64>,
    /// Equivalent plastic strain added since the tool stood at full size in the last
    /// expansion: where it is positive the metal yielded in reverse.
    pub reverse_plastic_strain: Vec<f64>,
    /// Change of the thickness over the drawn one: positive where the plate has grown thicker.
    pub thickness_change: Vec<f64>,
}

/// Values at one integration point, as computed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PointValues {
    /// Reference position `[x, y]`, mm.
    pub position: [f64; 2],
    /// Stress, MPa.
    pub stress: Stress,
    /// Equivalent plastic strain.
    pub equivalent_plastic_strain: f64,
    /// As [`NodalFields::reverse_plastic_strain`].
    pub reverse_plastic_strain: f64,
    /// Number of the metal between the same plastic fronts: of metal that has yielded in the same steps.
    pub class: u64,
}

/// One snapshot, ready for reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StageResult {
    /// Label in files and columns, e.g. `1-expand-A-full`, `1-expand-A`, `2-ream-A`.
    pub label: String,
    /// The same in words, for titles: `A expanded, tool at full size`.
    pub heading: String,
    /// Whether tool, pin or load act, so that the stresses are not residual.
    pub loaded: bool,
    /// The mesh at this stage; a ream has taken its elements away.
    pub mesh: Mesh,
    /// Fields at the nodes of `mesh`.
    pub nodal: NodalFields,
    /// Integration points: 4 a quad, then 3 a triangle, in element order.
    pub points: Vec<PointValues>,
    /// Contact pressure round the edge of the worked hole: `(hole, [angle in radians,
    /// pressure in MPa] …)`, counter-clockwise; empty when nothing presses.
    pub contact: Option<(usize, Vec<[f64; 2]>)>,
    /// Paths, hole by hole, angles rising.
    pub paths: Vec<StressPath>,
}
