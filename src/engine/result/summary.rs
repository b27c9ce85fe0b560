//! The numbers of `summary.json`, in mm, N, MPa; `report` converts and writes them.

use serde::{Deserialize, Serialize};

use crate::mesh::check::measure;
use crate::mesh::topology::Mesh;
use crate::process::joint_reading::JointReading;
use crate::result::fit::BushSummary;

/// One path in numbers. Distances from the edge in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PathSummary {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Hoop stress at the edge.
    pub edge_hoop: f64,
    /// Most compressive hoop stress, and where; `None` when nowhere compressive.
    pub peak_compression: Option<[f64; 2]>,
    /// Distance at which the compression that starts at (or next to) the edge ends.
    pub compression_depth: Option<f64>,
    /// Most tensile hoop stress, and where; `None` when nowhere tensile.
    pub peak_tension: Option<[f64; 2]>,
    /// Distance to which the metal has yielded.
    pub plastic_extent: f64,
    /// Distance to which it has yielded in reverse.
    pub reverse_yield_extent: f64,
    /// Largest recovered radial or shear stress at the edge over peak |hoop|: the edge
    /// error. `None` while the edge carries a load.
    pub edge_error: Option<f64>,
}

/// A hole in numbers. Lengths in mm, stresses in MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HoleSummary {
    /// Name of the hole.
    pub hole: String,
    /// Applied expansion of the last tool, fraction; `None` before any.
    pub applied_expansion: Option<f64>,
    /// Retained expansion (mean diameter), fraction; `None` while a tool is in, before
    /// any expansion, and after a ream.
    pub retained_expansion: Option<f64>,
    /// Mean contact pressure now.
    pub mean_pressure: f64,
    /// Largest contact pressure now.
    pub peak_pressure: f64,
    /// Bearing load of the pin now over diameter and thickness; `None` without one.
    pub bearing_stress: Option<f64>,
    /// Displacement of the mandrel centre `[x, y]`.
    pub mandrel_shift: [f64; 2],
    /// Smallest diameter over all directions, deformed.
    pub smallest_diameter: f64,
    /// Largest diameter over all directions, deformed.
    pub largest_diameter: f64,
    /// Change of the plate's thickness at the edge of the hole over the drawn one, mean along the
    /// edge; `None` where the thickness does not follow the metal.
    pub edge_thickness_change: Option<f64>,
    /// Edge margin e/D; D as at this stage.
    pub edge_margin: f64,
}

/// A named edge in numbers, mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EdgeSummary {
    /// Name of the edge.
    pub edge: String,
    /// Largest outward displacement over the least along the edge: the bulge.
    pub bulge: f64,
    /// Force that its support puts on the plate, `[x, y]` in N; `None` where it is not held.
    pub support_force: Option<[f64; 2]>,
}

/// Net normal force on one straight section through a hole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SectionSummary {
    /// Name of the hole the section passes through.
    pub hole: String,
    /// Direction of the section, degrees from +x.
    pub angle_deg: f64,
    /// Integral of the hoop stress over both sides, over its compressive part. Vanishes
    /// in a residual state.
    pub net_over_compressive: f64,
}

/// One snapshot in numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StageSummary {
    /// Label, e.g. `1-expand-A-full`.
    pub stage: String,
    /// Whether tool, pin or load act, so that the stresses are not residual.
    pub loaded: bool,
    /// Holes in the order of the case.
    pub holes: Vec<HoleSummary>,
    /// Paths, hole by hole, angles rising.
    pub paths: Vec<PathSummary>,
    /// Bushes, in the order in which they were put in.
    pub bushes: Vec<BushSummary>,
    /// Named edges.
    pub edges: Vec<EdgeSummary>,
    /// Straight sections; empty while a load or tool acts.
    pub sections: Vec<SectionSummary>,
    /// Increments in equilibrium so far.
    pub increments: usize,
    /// Newton iterations so far.
    pub iterations: usize,
    /// Numeric factorizations so far.
    pub factorizations: usize,
    /// Relative out-of-balance force.
    pub equilibrium_residual: f64,
    /// |external work − stored − dissipated| / external work, over the run so far.
    pub energy_imbalance: f64,
    /// Largest |σzz| over the yield stress (plane stress), else `None`.
    pub axial_stress_error: Option<f64>,
    /// Net axial force over yield stress times area (generalised plane strain), else `None`.
    pub net_axial_force: Option<f64>,
    /// Largest principal strain in magnitude.
    pub largest_strain: f64,
    /// Smallest scaled Jacobian of the mesh, in the part as it stands unless strains are small; 1 at
    /// best.
    pub smallest_scaled_jacobian: f64,
    /// Largest penetration of the tool, mm; 0 up to rounding.
    pub largest_penetration: f64,
    /// Joints of the doublers on the plate; empty without any.
    pub joints: Vec<JointReading>,
}

/// Size and quality of a mesh.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeshSummary {
    /// Nodes.
    pub nodes: usize,
    /// 8-node quadrilaterals.
    pub quadrilaterals: usize,
    /// 6-node triangles.
    pub triangles: usize,
    /// Unknown displacements.
    pub unknowns: usize,
    /// Copies of the modelled part in the whole plate: 1, 2 or 4.
    pub symmetry_copies: usize,
    /// Smallest scaled Jacobian over all elements, 1 is best.
    pub smallest_scaled_jacobian: f64,
    /// Largest aspect ratio over all elements, 1 is best.
    pub largest_aspect_ratio: f64,
}

impl MeshSummary {
    /// Of `mesh`.
    #[must_use]
    pub fn of(mesh: &Mesh) -> Self {
        let quality = measure(mesh);
        Self {
            nodes: mesh.nodes.len(),
            quadrilaterals: mesh.quads.len(),
            triangles: mesh.triangles.len(),
            unknowns: 2 * mesh.nodes.len(),
            symmetry_copies: mesh.symmetry.copies(),
            smallest_scaled_jacobian: quality.smallest_scaled_jacobian,
            largest_aspect_ratio: quality.largest_aspect_ratio,
        }
    }
}

/// The last state under one hardening law of the bracket.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BracketSummary {
    /// `isotropic`, `as given` or `kinematic`.
    pub hardening: String,
    /// Paths of the last snapshot.
    pub paths: Vec<PathSummary>,
    /// Largest misfit of the monotonic curve against the given one up to 10 % plastic
    /// strain, over the yield stress.
    pub curve_misfit: f64,
}

/// The last state in another idealisation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct IdealisationSummary {
    /// `plane stress`, `plane strain` or `generalised plane strain`.
    pub idealisation: String,
    /// Paths of the last snapshot.
    pub paths: Vec<PathSummary>,
}
