//! An invented run with every kind of value in it; no physics.

use std::path::Path;

use hoopset::geometry::hole::Hole;
use hoopset::geometry::plate::{Outline, Plate};
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::mesh::topology::Mesh;
use hoopset::numeric::profile::Profile;
use hoopset::process::history::{HistoryRecord, Phase};
use hoopset::process::job::{Job, Numerics};
use hoopset::process::stage::{Load, Stage};
use hoopset::process::tool::{Centre, Split, Tool};
use hoopset::report::run::{Outcome, RunReport};
use hoopset::result::closed_form::{ClosedForm, HoleForms};
use hoopset::result::path::{PathPoint, StressPath};
use hoopset::result::stage::{NodalFields, PointValues, StageResult};
use hoopset::result::summary::{
    BracketSummary, EdgeSummary, HoleSummary, MeshSummary, PathSummary, SectionSummary,
    StageSummary,
};
use hoopset::tensor::{Polar, Stress};
use hoopset::units::Units;

pub(crate) const CASE: &str = "title = \"Hinge plate <edge> & \\\"hole\\\"\"\nunits = \"mm-MPa\"\n";

/// Everything a report borrows.
pub(crate) struct Sample {
    pub(crate) job: Job,
    pub(crate) mesh: MeshSummary,
    pub(crate) stages: Vec<StageSummary>,
    pub(crate) bracket: Vec<BracketSummary>,
    pub(crate) closed_forms: Vec<HoleForms>,
    pub(crate) history: Vec<HistoryRecord>,
    pub(crate) sources: Vec<String>,
    pub(crate) warnings: Vec<String>,
}

impl Sample {
    pub(crate) fn new() -> Self {
        let stages =
            ["1-expand-A-full", "1-expand-A", "2-ream-A"].map(stage_summary).into_iter().collect();
        Self {
            job: job(),
            mesh: MeshSummary {
                nodes: 9812,
                quadrilaterals: 2304,
                triangles: 1190,
                unknowns: 19_502,
                symmetry_copies: 2,
                smallest_scaled_jacobian: 0.612,
                largest_aspect_ratio: 7.41,
            },
            stages,
            bracket: ["isotropic", "as given", "kinematic"]
                .map(|law| BracketSummary {
                    hardening: law.to_owned(),
                    paths: stage_summary("2-ream-A").paths,
                    curve_misfit: 0.0012,
                })
                .into(),
            closed_forms: vec![theory("A", 2), theory("B", 0)],
            history: vec![record(1, Phase::Expand), record(2, Phase::Release)],
            sources: vec!["Invented for this test".to_owned()],
            warnings: vec!["largest strain 6.20 % is above 3 %".to_owned()],
        }
    }

    pub(crate) fn report(&self, units: Units, outcome: Outcome) -> RunReport<'_> {
        RunReport {
            title: "Hinge plate <edge> & \"hole\"",
            record: hoopset::report::record::Record::default(),
            drawing: None,
            case_file: Path::new("some/folder/hinge.toml"),
            case_text: CASE,
            case_sha256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08",
            units,
            job: &self.job,
            material_name: "2024-T351 plate",
            material_sources: &self.sources,
            mesh: Some(&self.mesh),
            stages: &self.stages,
            bracket: &self.bracket,
            idealisations: &[],
            measured: &[],
            closed_forms: &self.closed_forms,
            service: &[],
            convergence: None,
            history: &self.history,
            outcome,
            warnings: &self.warnings,
        }
    }
}

pub(crate) fn holes() -> Vec<Hole> {
    let hole = |name: &str, centre, starting_diameter| {
        Hole::round(name.to_owned(), centre, starting_diameter)
    };
    vec![hole("A", [12.0, 30.0], 5.7), hole("B", [40.0, 30.0], 8.0)]
}

fn job() -> Job {
    let tool = Tool {
        mandrel_diameter: 5.52,
        sleeve_thickness: 0.2,
        split: Some(Split { angle: 0.0, gap: 0.05 }),
        elastic: Some((200_000.0, 0.3)),
        centre: Centre::Floating,
        offset: [0.0; 2],
    };
    let load = Load {
        tractions: vec![("top".to_owned(), 120.0)],
        pressure: Some((1, 10.0)),
        ..Load::default()
    };
    Job {
        plate: Plate {
            outline: Outline::Rectangle { width: 60.0, height: 60.0 },
            thickness: 6.0,
            holes: holes(),
        },
        idealisation: Idealisation::PlaneStress,
        material: Material {
            elasticity: Elasticity { youngs_modulus: 73_100.0, poissons_ratio: 0.33 },
            yield_stress: 345.0,
            isotropic: Isotropic::None,
            kinematic: vec![],
        },
        stages: vec![
            Stage::Expand { hole: 0, tool },
            Stage::Ream { hole: 0, diameter: 6.0, offset: [0.0, 0.01] },
            Stage::Load { load, cycles: 2 },
        ],
        numerics: Numerics::default(),
        supports: vec![],
        regions: vec![],
    }
}

/// `count` invented closed forms of a hole; a reason when there is none.
fn theory(hole: &str, count: usize) -> HoleForms {
    let form = |k: usize| ClosedForm {
        stage: "1-expand-A".to_owned(),
        angle_deg: (k > 0).then_some(22.5),
        name: "invented <form>".to_owned(),
        statement: "Invented: says nothing of this plate.".to_owned(),
        profile: Profile::new(vec![0.0, 1.0], vec![-300.0, 20.0]),
        largest_difference: Some([-1.25, 0.0]),
    };
    HoleForms {
        hole: hole.to_owned(),
        forms: (0..count).map(form).collect(),
        reason: (count == 0).then(|| "nothing was invented for it".to_owned()),
    }
}

pub(crate) fn stage_summary(label: &str) -> StageSummary {
    let full = label.ends_with("-full");
    let reamed = label.contains("ream");
    let hole = |name: &str, worked: bool| HoleSummary {
        hole: name.to_owned(),
        applied_expansion: worked.then_some(0.038_596_491_228_07),
        retained_expansion: (worked && !full && !reamed).then_some(0.029_13),
        mean_pressure: if full && worked { 588.123_456_789 } else { 0.0 },
        peak_pressure: if full && worked { 731.9 } else { 0.0 },
        bearing_stress: (full && worked).then_some(98.7),
        mandrel_shift: if worked { [-0.0123, 0.0] } else { [0.0; 2] },
        smallest_diameter: 5.871_1,
        largest_diameter: 5.889_2,
        edge_thickness_change: Some(0.061),
        edge_margin: 2.105,
    };
    let path = |hole: &str, angle_deg: f64| PathSummary {
        hole: hole.to_owned(),
        angle_deg,
        edge_hoop: if full { 41.2 } else { -287.654_321 },
        peak_compression: Some([-331.27 + angle_deg / 10.0, 0.187]),
        compression_depth: (angle_deg < 100.0).then_some(3.217),
        peak_tension: (!full).then_some([96.4, 6.02]),
        plastic_extent: 4.81,
        reverse_yield_extent: 0.612,
        edge_error: (!full).then_some(0.0031),
    };
    let section = |angle_deg| SectionSummary {
        hole: "A".to_owned(),
        angle_deg,
        net_over_compressive: -2.3e-5,
    };
    StageSummary {
        stage: label.to_owned(),
        loaded: label.ends_with("-full"),
        holes: vec![hole("A", true), hole("B", false)],
        paths: vec![path("A", 0.0), path("A", 90.0), path("A", 180.0), path("B", 22.5)],
        bushes: vec![],
        edges: vec![EdgeSummary {
            edge: "left".to_owned(),
            bulge: 0.0417,
            support_force: Some([-1250.0, 0.0]),
        }],
        sections: if full { vec![] } else { vec![section(0.0), section(90.0)] },
        increments: 52,
        iterations: 171,
        factorizations: 118,
        equilibrium_residual: 3.1e-10,
        energy_imbalance: 4.4e-4,
        axial_stress_error: Some(1.0e-14),
        net_axial_force: None,
        largest_strain: 0.062,
        smallest_scaled_jacobian: 0.61,
        largest_penetration: 2.0e-10,
        joints: vec![],
    }
}

pub(crate) fn record(increment: usize, phase: Phase) -> HistoryRecord {
    HistoryRecord {
        stage: "1-expand-A".to_owned(),
        phase,
        increment,
        share: 1.0 / 3.0,
        expansion: 0.0128,
        mean_pressure: 401.5,
        peak_pressure: 433.0,
        closed_nodes: 96,
        mandrel_shift: [-0.004, -0.0],
        load_factor: 0.0,
        iterations: 4,
        contact_changes: 2,
        halvings: 1,
        residual: 2.0e-10,
        residuals: vec![0.1, 1e-4, 2e-10],
        external_work: 1234.5,
        elastic_energy: 1000.0,
        plastic_work: 234.5,
        largest_plastic_strain: 0.031,
    }
}

/// One quadrilateral and one triangle that share a side, curved at the hole.
pub(crate) fn mesh() -> Mesh {
    Mesh {
        nodes: vec![
            [14.85, 30.0],
            [18.0, 30.0],
            [16.0, 34.0],
            [14.0, 32.0],
            [16.4, 30.0],
            [17.0, 32.0],
            [15.0, 33.0],
            [14.6, 31.1],
            [20.0, 33.0],
            [19.0, 31.5],
            [18.0, 33.5],
        ],
        quads: vec![[0, 1, 2, 3, 4, 5, 6, 7]],
        triangles: vec![[1, 8, 2, 9, 10, 5]],
        ..Mesh::default()
    }
}

pub(crate) fn stage_result(label: &str) -> StageResult {
    let mesh = mesh();
    let values = |scale: f64| -> Vec<f64> {
        (0_u32..).map(|k| scale * (f64::from(k) - 4.0)).take(mesh.nodes.len()).collect()
    };
    let stress = |k: f64| Stress { xx: 10.0 * k, yy: -7.0 * k, zz: 0.5 * k, xy: 3.0 + k };
    let strains = |values: Vec<f64>| values.into_iter().map(|v| v.max(0.0)).collect();
    let points: Vec<PointValues> = (0..7_u32)
        .map(|k| PointValues {
            class: 0,
            position: [15.0 + 0.3 * f64::from(k), 31.0],
            stress: stress(f64::from(k)),
            equivalent_plastic_strain: 0.001 * f64::from(k),
            reverse_plastic_strain: 0.0,
        })
        .collect();
    StageResult {
        label: label.to_owned(),
        heading: "A expanded".to_owned(),
        loaded: false,
        nodal: NodalFields {
            displacement: values(0.01).into_iter().map(|v| [v, -0.5 * v]).collect(),
            stress: values(1.0).into_iter().map(stress).collect(),
            hoop: values(25.0),
            hoop_jump: values(1.0).into_iter().map(f64::abs).collect(),
            equivalent_plastic_strain: strains(values(0.002)),
            reverse_plastic_strain: strains(values(0.001).into_iter().map(|v| -v).collect()),
            thickness_change: values(0.001),
        },
        mesh,
        points,
        contact: None,
        paths: vec![path("A", 0.0), path("B, upper", 22.5)],
    }
}

fn path(hole: &str, angle_deg: f64) -> StressPath {
    let point = |k: f64| PathPoint {
        distance: 0.1 * k,
        position: [14.95 + 0.1 * k, 30.0],
        drawn: [14.85 + 0.1 * k, 30.0],
        stress: Polar { radial: -0.0, hoop: -312.4 + 100.0 * k, axial: 0.0, shear: k / 3.0 },
        von_mises: 300.0,
        equivalent_plastic_strain: 0.03 / (1.0 + k),
        reverse_plastic_strain: 0.0,
        hoop_point: -310.0,
        hoop_jump: 1.5e-6,
        thickness_change: -0.021,
    };
    StressPath { hole: hole.to_owned(), angle_deg, points: vec![point(0.0), point(1.0)] }
}
