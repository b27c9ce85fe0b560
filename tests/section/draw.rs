//! Mandrels drawn through, evenly grown tools, and cuts.

use std::f64::consts::PI;

use approx::assert_relative_eq;
use hoopset::process::job::Numerics;
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{Face, SectionStage, Support};
use hoopset::process::stage_error::StageError;
use hoopset::result::section::read_section;

use crate::common::metals::elastic;
use crate::shop::{CAP, Keep, draw, job, mandrel, mean, metal, run};

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
    // Of the tool as far as forces run straight through an increment in which a node comes or goes (`energy.rs`).
    let spent = last.friction_work + last.elastic_energy + last.plastic_work;
    assert_relative_eq!(last.tool_work, spent, max_relative = 3e-4);
    let reading = read_section(after);
    let edge = |path: usize| reading.paths[path].headline().edge;
    // Entry, middle, exit: least at the entry, where it may stand in tension (published trends).
    assert!(edge(3) < -250.0, "middle {}", edge(3));
    assert!(edge(0) > 0.7 * edge(3), "entry {} middle {}", edge(0), edge(3));
    // A face is read as the mean of the bore beside it, 5 % of the thickness as the mean about it.
    let wall: Vec<[f64; 2]> = reading.wall.iter().map(|node| [node.z, node.hoop]).collect();
    for (path, from, to) in [(0, 0.0, 0.005), (1, 0.045, 0.055), (6, 0.995, 1.0)] {
        let mean = mean(&wall, from, to);
        assert!((edge(path) - mean).abs() < 0.05, "{} for {mean} at path {path}", edge(path));
    }
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
        // Friction bends the rim of a face: its first nodes, to 1.5 % of the depth, may lift.
        let fills = record.touching.is_some_and(|[from, to]| from < 0.086 && to > 5.614);
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
    // Parts by their error, as draws have them: with four at every point rounding grows to 0.6 MPa on this mesh.
    small.numerics =
        Numerics { fineness: 0.3, increments: 4, strain_parts: None, ..small.numerics };
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
