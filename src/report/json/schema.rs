//! The keys of `summary.json`, in the order in which they are written.
//!
//! Plain mirrors of the result types in border units; `Option` is `null` in the file.

use serde::{Serialize, Serializer};

/// Version of the keys and CSV columns.
pub const SCHEMA_VERSION: u32 = 1;

/// An object whose keys are names of the case, in the order of the run.
pub(super) struct Keyed<T>(pub(super) Vec<(String, T)>);

impl<T: Serialize> Serialize for Keyed<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(key, value)| (key, value)))
    }
}

impl<T> Keyed<T> {
    /// Whether there is nothing to write.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// A number that may be absent.
type Number = Option<f64>;

#[derive(Serialize)]
pub(super) struct Summary {
    pub(super) schema_version: u32,
    pub(super) program: Program,
    pub(super) title: String,
    pub(super) case: CaseFile,
    pub(super) complete: bool,
    pub(super) status: &'static str,
    pub(super) failure: Option<Failure>,
    pub(super) warnings: Vec<String>,
    pub(super) units: UnitNames,
    pub(super) plate: Plate,
    pub(super) material: Metal,
    pub(super) mesh: Option<Mesh>,
    pub(super) stages: Keyed<Stage>,
    pub(super) hardening_bracket: Keyed<Bound>,
    #[serde(skip_serializing_if = "Keyed::is_empty")]
    pub(super) idealisations: Keyed<Keyed<Keyed<Path>>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) measured: Vec<Measured>,
    pub(super) closed_forms: Keyed<Theory>,
    pub(super) columns: Keyed<Keyed<Meaning>>,
    pub(super) fields: Keyed<Meaning>,
    pub(super) limits: Vec<&'static str>,
    pub(super) cautions: Vec<&'static str>,
}

/// A measurement beside the last residual state.
#[derive(Serialize)]
pub(super) struct Measured {
    pub(super) label: String,
    pub(super) points: usize,
    pub(super) compared: usize,
    pub(super) mean_difference: Number,
    pub(super) root_mean_square: Number,
    pub(super) within_bars: [usize; 2],
}

#[derive(Serialize)]
pub(super) struct Program {
    pub(super) name: &'static str,
    pub(super) version: &'static str,
}

#[derive(Serialize)]
pub(super) struct CaseFile {
    pub(super) file: String,
    pub(super) sha256: String,
}

#[derive(Serialize)]
pub(super) struct Failure {
    pub(super) message: String,
    pub(super) hint: Option<String>,
}

#[derive(Serialize)]
pub(super) struct UnitNames {
    pub(super) system: &'static str,
    pub(super) length: &'static str,
    pub(super) stress: &'static str,
    pub(super) force: &'static str,
    pub(super) energy: &'static str,
    pub(super) angle: &'static str,
}

#[derive(Serialize)]
pub(super) struct Plate {
    pub(super) thickness: Number,
    pub(super) idealisation: &'static str,
    pub(super) holes: Keyed<Drilled>,
    /// Left out of a plate of one thickness and metal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) regions: Option<Keyed<Region>>,
}

#[derive(Serialize)]
pub(super) struct Region {
    pub(super) thickness: Number,
    pub(super) material: String,
    pub(super) youngs_modulus: Number,
    pub(super) yield_stress: Number,
}

#[derive(Serialize)]
pub(super) struct Drilled {
    pub(super) centre: [Number; 2],
    pub(super) starting_diameter: Number,
}

#[derive(Serialize)]
pub(super) struct Metal {
    pub(super) name: String,
    pub(super) youngs_modulus: Number,
    pub(super) poissons_ratio: Number,
    pub(super) yield_stress: Number,
    pub(super) sources: Vec<String>,
}

#[derive(Serialize)]
pub(super) struct Mesh {
    pub(super) nodes: usize,
    pub(super) quadrilaterals: usize,
    pub(super) triangles: usize,
    pub(super) unknowns: usize,
    pub(super) symmetry_copies: usize,
    pub(super) smallest_scaled_jacobian: Number,
    pub(super) largest_aspect_ratio: Number,
}

#[derive(Serialize)]
pub(super) struct Stage {
    pub(super) residual: bool,
    pub(super) holes: Keyed<Hole>,
    pub(super) paths: Keyed<Keyed<Path>>,
    #[serde(skip_serializing_if = "Keyed::is_empty")]
    pub(super) bushes: Keyed<Bush>,
    pub(super) edges: Keyed<Edge>,
    pub(super) sections: Keyed<Keyed<Section>>,
    pub(super) increments: usize,
    pub(super) iterations: usize,
    pub(super) factorizations: usize,
    pub(super) equilibrium_residual: Number,
    pub(super) energy_imbalance: Number,
    pub(super) axial_stress_error: Number,
    pub(super) net_axial_force: Number,
    pub(super) largest_strain: Number,
    pub(super) smallest_scaled_jacobian: Number,
    pub(super) largest_penetration: Number,
    /// Left out without a doubler.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) doublers: Option<Keyed<Joint>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) service: Option<Service>,
}

/// The joint of one doubler.
#[derive(Serialize)]
pub(super) struct Joint {
    /// Axis that sections are counted along.
    pub(super) axis: &'static str,
    /// Largest force in a section of the doubler, tension positive.
    pub(super) largest_force: Number,
    /// Largest share of the load of a section that the doubler carries.
    pub(super) largest_share: Number,
    pub(super) fasteners: Keyed<Fastener>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) bond: Option<Bond>,
}

#[derive(Serialize)]
pub(super) struct Fastener {
    pub(super) force: Number,
    pub(super) force_on_doubler: [Number; 2],
    pub(super) slip: [Number; 2],
    pub(super) bearing_stress: Number,
    pub(super) bearing_stress_doubler: Number,
    pub(super) bypass_force: Number,
    pub(super) bypass_stress: Number,
}

#[derive(Serialize)]
pub(super) struct Bond {
    pub(super) highest_shear: Number,
    pub(super) at: [Number; 2],
}

/// State at the reversals of a service load.
#[derive(Serialize)]
pub(super) struct Service {
    pub(super) highest_load: Number,
    pub(super) lowest_load: Number,
    pub(super) reversals: usize,
    pub(super) criterion: &'static str,
    pub(super) worked: Course,
    pub(super) plain: Option<Course>,
    pub(super) maximum_lowered: Option<Keyed<Keyed<Number>>>,
}

#[derive(Serialize)]
pub(super) struct Course {
    /// `true`, `false`, or the text `undecided`.
    pub(super) shakedown: serde_json::Value,
    pub(super) cycles: Vec<Cycle>,
    pub(super) paths: Keyed<Keyed<Local>>,
}

#[derive(Serialize)]
pub(super) struct Cycle {
    #[serde(rename = "cycle")]
    pub(super) number: usize,
    pub(super) plastic_growth: Number,
    pub(super) plastic_drift: Number,
    pub(super) position: [Number; 2],
}

#[derive(Serialize)]
pub(super) struct Local {
    pub(super) angle_deg: Number,
    pub(super) before: Number,
    pub(super) after: Number,
    pub(super) maximum: Number,
    pub(super) minimum: Number,
    pub(super) mean: Number,
    pub(super) range: Number,
}

#[derive(Serialize)]
pub(super) struct Hole {
    pub(super) applied_expansion: Number,
    pub(super) retained_expansion: Number,
    pub(super) mean_pressure: Number,
    pub(super) peak_pressure: Number,
    pub(super) bearing_stress: Number,
    pub(super) mandrel_shift: [Number; 2],
    pub(super) smallest_diameter: Number,
    pub(super) largest_diameter: Number,
    pub(super) edge_thickness_change: Number,
    pub(super) edge_margin: Number,
}

/// A bush in its hole.
#[derive(Serialize)]
pub(super) struct Bush {
    pub(super) mean_pressure: Number,
    pub(super) highest_pressure: Number,
    pub(super) lowest_pressure: Number,
    pub(super) touching: Number,
    pub(super) sticking: Number,
    pub(super) widest_gap: Number,
    pub(super) push_out_force: Number,
    pub(super) bore_hoop: Spread,
    pub(super) hole_hoop: Spread,
}

/// Smallest and largest value round a hole.
#[derive(Serialize)]
pub(super) struct Spread {
    pub(super) lowest: Number,
    pub(super) highest: Number,
}

#[derive(Serialize)]
pub(super) struct Path {
    pub(super) angle_deg: Number,
    pub(super) edge_hoop: Number,
    pub(super) peak_compression: Option<Peak>,
    pub(super) compression_depth: Number,
    pub(super) peak_tension: Option<Peak>,
    pub(super) plastic_extent: Number,
    pub(super) reverse_yield_extent: Number,
    pub(super) edge_error: Number,
}

#[derive(Serialize)]
pub(super) struct Peak {
    pub(super) hoop: Number,
    pub(super) distance: Number,
}

#[derive(Serialize)]
pub(super) struct Edge {
    pub(super) bulge: Number,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) support_force: Option<[Number; 2]>,
}

#[derive(Serialize)]
pub(super) struct Section {
    pub(super) net_over_compressive: Number,
}

#[derive(Serialize)]
pub(super) struct Bound {
    pub(super) curve_misfit: Number,
    pub(super) paths: Keyed<Keyed<Path>>,
}

/// Closed forms beside the states of one hole.
#[derive(Serialize)]
pub(super) struct Theory {
    pub(super) forms: Vec<Form>,
    pub(super) reason: Option<String>,
}

#[derive(Serialize)]
pub(super) struct Form {
    pub(super) stage: String,
    pub(super) angle_deg: Number,
    pub(super) name: String,
    pub(super) statement: String,
    pub(super) largest_difference: Option<Peak>,
}

#[derive(Serialize)]
pub(super) struct Meaning {
    pub(super) unit: &'static str,
    pub(super) meaning: &'static str,
}

/// Items gathered under their hole, holes in order of first appearance.
pub(super) fn by_hole<S, T>(
    items: &[S],
    hole: impl Fn(&S) -> &String,
    mut entry: impl FnMut(&S) -> (String, T),
) -> Keyed<Keyed<T>> {
    let mut holes: Vec<(String, Keyed<T>)> = Vec::new();
    for item in items {
        let name = hole(item);
        let place = holes.iter().position(|(other, _)| other == name).unwrap_or_else(|| {
            holes.push((name.clone(), Keyed(Vec::new())));
            holes.len() - 1
        });
        holes[place].1.0.push(entry(item));
    }
    Keyed(holes)
}
