//! Mandrels drawn through, evenly grown tools, and cuts.

use std::f64::consts::PI;
use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::geometry::mandrel::MandrelProfile;
use hoopset::material::backstress::Backstress;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::strains::Strains;
use hoopset::process::job::Numerics;
use hoopset::process::section::record::{SectionSnapshot, TravelRecord};
use hoopset::process::section::run::{SectionEnding, SectionObserver, SectionRun};
use hoopset::process::section::{
    DrawTool, Face, Rim, SectionJob, SectionPart, SectionStage, Support,
};
use hoopset::process::stage_error::StageError;
use hoopset::result::section::read_section;
use hoopset::solver::friction::Friction;
use hoopset::solver::state::State;
use hoopset::solver::system::System;

use crate::common::metals::{elastic, perfect};

#[derive(Default)]
struct Keep {
    snapshots: Vec<SectionSnapshot>,
}

impl SectionObserver for Keep {
    fn increment(&mut self, _: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

fn run(job: SectionJob) -> Vec<SectionSnapshot> {
    let mut keep = Keep::default();
    let ending = SectionRun::new(job).unwrap().run(&mut keep).unwrap();
    assert_eq!(ending, SectionEnding::Done);
    keep.snapshots
}

/// Linear kinematic hardening (invented, of the size of a 2024 plate).
fn metal() -> Material {
    Material {
        kinematic: vec![Backstress { modulus: 1000.0, recall: 0.0 }],
        ..perfect(72_000.0, 0.33, 350.0)
    }
}

fn mandrel(diameter: f64, friction: f64) -> DrawTool {
    DrawTool {
        mandrel_diameter: diameter,
        sleeve_thickness: 0.0,
        profile: MandrelProfile::default(),
        friction: Friction::constant(friction),
        elastic: None,
    }
}

const CAP: Support = Support::NoseCap { inner_diameter: 9.0, outer_diameter: 18.0 };

/// A hole of 5.7 mm through 5.7 mm, coarse.
fn job(stages: Vec<SectionStage>, material: Material) -> SectionJob {
    SectionJob {
        hole: "A".into(),
        part: SectionPart {
            starting_diameter: 5.7,
            outer_diameter: 60.0,
            thickness: 5.7,
            rim: Rim::Free,
        },
        material,
        stages,
        numerics: Numerics {
            fineness: 0.4,
            increments: 4,
            strains: Strains::Small,
            strain_parts: Some(4),
            ..Numerics::default()
        },
    }
}

fn draw(tool: DrawTool, support: Support, backwards: bool) -> SectionStage {
    SectionStage::Draw { tool, support, backwards }
}

/// The whole draw with friction: nose cap against pull, energies, and what the three depths keep.
#[test]
fn a_draw_with_friction_balances_its_nose_cap_and_leaves_least_at_the_entry_face() {
    let stage = draw(mandrel(5.7 * 1.04, 0.1), CAP, false);
    let snapshots = run(job(vec![stage], metal()));
    let after = &snapshots[0];
    let peak = after.travel.iter().map(|record| record.pull_force).fold(0.0, f64::max);
    let touching = after.travel.iter().filter(|record| record.touching.is_some());
    for record in touching.filter(|record| record.pull_force > 0.0) {
        // Nothing else holds the part: exact.
        let off = (record.support_force - record.pull_force).abs();
        assert!(off <= 1e-6 * peak, "{record:?}");
        // On cones and land alike |friction| cannot exceed μ times the radial force.
        assert!(record.friction_force <= 0.101 * record.radial_force, "{record:?}");
        assert!(record.halvings <= 3, "{record:?}");
    }
    let last = after.travel.last().unwrap();
    // Of the metal alone it holds by the form of the sums.
    assert_relative_eq!(
        last.metal_work,
        last.elastic_energy + last.plastic_work,
        max_relative = 1e-6
    );
    // Of the tool as far as forces run straight through an increment in which a node comes or goes.
    let spent = last.friction_work + last.elastic_energy + last.plastic_work;
    assert_relative_eq!(last.tool_work, spent, max_relative = 1e-3);
    let reading = read_section(after);
    let edge = |path: usize| reading.paths[path].headline().edge;
    // Entry, middle, exit: least at the entry, where it may stand in tension (published trends).
    assert!(edge(3) < -250.0, "middle {}", edge(3));
    assert!(edge(0) > 0.7 * edge(3), "entry {} middle {}", edge(0), edge(3));
    assert!(reading.gauge(0.5) > 5.7 && reading.gauge(0.5) < 5.7 * 1.04);
    assert!(reading.upset.iter().all(|lip| *lip > 0.0), "{:?}", reading.upset);
}

/// Pull of a long land through an elastic plate: μ p A. Source: Lamé's ring in plane stress for p
/// (a uniform pressure on a free plate has no axial stress).
#[test]
fn an_elastic_press_fit_is_pulled_with_friction_times_pressure_times_area() {
    let (inner, outer, driven) = (2.85_f64, 30.0_f64, 0.005_f64);
    let mut tool = mandrel(2.0 * (inner + driven), 0.05);
    tool.profile.land = 14.0;
    tool.profile.fillet = 1.0;
    let mut job = job(vec![draw(tool, Support::Rim, false)], elastic(72_000.0, 0.33));
    job.numerics.increments = 3;
    let snapshots = run(job);
    let (a2, b2) = (inner * inner, outer * outer);
    let pressure = 72_000.0 * driven / inner / ((b2 + a2) / (b2 - a2) + 0.33);
    let expected = 0.05 * pressure * 2.0 * PI * inner * 5.7;
    // While the land fills the bore: it is longer by far.
    let full = snapshots[0].travel.iter().filter(|record| {
        // Friction bends the rim of a face: its first row of nodes, 0.6 % of the depth, may lift.
        let fills = record.touching.is_some_and(|[from, to]| from < 0.057 && to > 5.643);
        (8.0..12.0).contains(&record.travel) && fills
    });
    let forces: Vec<f64> = full.map(|record| record.pull_force).collect();
    assert!(forces.len() > 2, "{forces:?}");
    for force in forces {
        assert_relative_eq!(force, expected, max_relative = 0.005);
    }
}

/// A draw in the other direction through a part alike on both faces is the same one seen from the
/// other side: exact.
#[test]
fn a_draw_backwards_is_the_mirror_image_of_a_draw_forwards() {
    let tool = mandrel(5.7 * 1.02, 0.05);
    let mut small = job(vec![draw(tool.clone(), CAP, false)], metal());
    small.numerics = Numerics { fineness: 0.3, increments: 3, ..small.numerics };
    let forwards = run(small.clone());
    small.stages = vec![draw(tool, CAP, true)];
    let backwards = run(small);
    let (one, other) = (read_section(&forwards[0]), read_section(&backwards[0]));
    for (k, path) in one.paths[..7].iter().enumerate() {
        let mirrored = &other.paths[6 - k];
        for (a, b) in path.points.iter().zip(&mirrored.points) {
            // Two runs to their own tolerance.
            assert!((a.hoop - b.hoop).abs() < 0.5, "{} against {}", a.hoop, b.hoop);
        }
    }
}

/// Ream and countersink after an evenly grown tool: the cut lies where it should, the cut faces are
/// free, and the section is in balance.
#[test]
fn a_reamed_and_countersunk_section_has_its_bore_on_the_cutters() {
    let stages = vec![
        SectionStage::Grow { diameter: 5.7 * 1.04 },
        SectionStage::Ream { diameter: 6.1 },
        SectionStage::Countersink { face: Face::Entry, depth: 1.5, angle: 100.0_f64.to_radians() },
    ];
    let snapshots = run(job(stages, metal()));
    let labels: Vec<&str> = snapshots.iter().map(|s| s.label.as_str()).collect();
    assert_eq!(labels, ["1-expand-A-full", "1-expand-A", "2-ream-A", "3-countersink-A"]);
    let before = read_section(&snapshots[1]);
    let reamed = read_section(&snapshots[2]);
    for [_, diameter] in &reamed.bore {
        // The hole springs a little as the traction goes; 0.1 % of the radius is the trade's.
        assert_relative_eq!(*diameter, 6.1, max_relative = 2e-3);
    }
    let middle = |reading: &hoopset::result::section::SectionReading| reading.paths[3].headline();
    assert!(middle(&reamed).edge < -250.0 && middle(&before).edge < -250.0);
    let sunk = read_section(&snapshots[3]);
    // Cone: a slope of tan 50° from the bore at 1.5 mm outward.
    let top = sunk.bore[0][1];
    assert_relative_eq!(top, 6.1 + 2.0 * 1.5 * 50.0_f64.to_radians().tan(), max_relative = 0.02);
    // Nothing acts on any meridian plane: the hoop force through the section vanishes.
    for snapshot in &snapshots[1..] {
        let mesh = &snapshot.mesh;
        let (mut net, mut compressive) = (0.0, 0.0);
        let tables =
            hoopset::solver::tables::Tables::new(mesh, hoopset::element::kernel::Measure::Section)
                .unwrap();
        for ((volume, at), stress) in
            tables.volumes().zip(&tables.positions).zip(&snapshot.state.stress)
        {
            let force = stress[2] * volume / (2.0 * PI * at[0]);
            net += force;
            compressive += force.min(0.0);
        }
        assert!(net.abs() < 1e-6 * compressive.abs(), "{}: {net} {compressive}", snapshot.label);
    }
}

/// A mandrel no larger than the hole is an error, not a draw.
#[test]
fn a_mandrel_that_does_not_touch_is_rejected() {
    let stage = draw(mandrel(5.69, 0.0), CAP, false);
    let mut run = SectionRun::new(job(vec![stage], metal())).unwrap();
    let error = run.run(&mut Keep::default()).unwrap_err();
    assert!(matches!(error, StageError::ToolTooSmall { .. }), "{error}");
}

/// An evenly grown tool in a thin ring is the plane-stress sheet, in a thick one the cylinder that
/// is free along its axis: between them the pressure rises with the thickness.
#[test]
fn an_evenly_grown_ring_goes_from_the_sheet_to_the_cylinder() {
    let pressure = |thickness: f64| {
        let stage = SectionStage::Grow { diameter: 5.7 * 1.04 };
        let mut job = job(
            vec![stage],
            Material {
                isotropic: Isotropic::Linear { slope: 1000.0 },
                ..perfect(72_000.0, 0.33, 350.0)
            },
        );
        job.part.thickness = thickness;
        job.part.outer_diameter = 30.0 * 5.7;
        job.numerics = Numerics { fineness: 1.0, increments: 8, ..job.numerics };
        let snapshots = run(job);
        let full = snapshots[0].travel.last().unwrap();
        full.radial_force / (2.0 * PI * 2.85 * thickness)
    };
    let thin = pressure(0.05 * 2.85);
    // Independent radial code, plane stress, isotropic, 4 %, small strain, b = 30a: 505.3 MPa;
    // plane strain 655.4 MPa.
    assert_relative_eq!(thin, 505.3, max_relative = 0.005);
    let thick = pressure(2.0 * 2.85);
    assert!(thick > thin && thick < 655.4, "{thick}");
}
