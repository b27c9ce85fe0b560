//! Whole draws through a sleeve that is a layer of elements: balances, a repair, stops, what goes wrong.

use std::ops::ControlFlow;

use approx::assert_relative_eq;
use hoopset::plot::{FigureContext, pull_force};
use hoopset::process::section::observer::{SectionEnding, SectionObserver};
use hoopset::process::section::record::{SectionPhase, SectionSnapshot, TravelRecord};
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{DrawTool, SectionStage, SleeveEnd, SleeveLayer};
use hoopset::process::stage_error::StageError;
use hoopset::result::section::read_section;
use hoopset::solver::friction::Friction;
use hoopset::solver::increment_error::Cause;
use hoopset::solver::state::State;
use hoopset::solver::system::System;
use hoopset::units::Units;

use crate::shop::{CAP, draw, job, mandrel, metal, run, sleeve_steel};

const WALL: f64 = 0.2;

/// A mandrel and a split sleeve for a hole of so many mm, opened by 4 %: friction on the mandrel and in the hole.
fn tool(hole: f64, [on_mandrel, in_hole]: [f64; 2], protrusion: f64) -> DrawTool {
    let friction = Friction::constant(in_hole);
    let layer = SleeveLayer {
        material: sleeve_steel(),
        closed: false,
        friction,
        protrusion,
        end: SleeveEnd::default(),
    };
    DrawTool {
        sleeve_thickness: WALL,
        sleeve: Some(Box::new(layer)),
        ..mandrel(hole * 1.04 - 2.0 * WALL, on_mandrel)
    }
}

/// A draw with so much friction whose stop only pushes.
fn stopped(frictions: [f64; 2]) -> SectionStage {
    let mut tool = tool(5.7, frictions, 0.3);
    tool.sleeve.as_mut().unwrap().end = SleeveEnd::Stopped;
    draw(tool, CAP, false)
}

fn drawn(frictions: [f64; 2], protrusion: f64) -> SectionStage {
    draw(tool(5.7, frictions, protrusion), CAP, false)
}

/// Pull of the stop over its largest push, where it only pushes: a sleeve that nothing sticks to yet stays on it.
const NO_PULL: f64 = 0.03;

/// Largest force of the stop on the end of the sleeve, along the draw and against it, N.
fn stop_forces(snapshot: &SectionSnapshot) -> [f64; 2] {
    let ends = || snapshot.travel.iter().filter_map(|r| r.sleeve).map(|sleeve| sleeve.end_force);
    [-ends().fold(0.0, f64::min), ends().fold(0.0, f64::max)]
}

/// Over a whole draw nose cap and end of the sleeve carry the pull, and energy is conserved; no increment is halved more than
/// three times.
fn goes_through(stages: Vec<SectionStage>) -> Vec<SectionSnapshot> {
    let snapshots = run(job(stages, metal()));
    let travel = &snapshots.last().unwrap().travel;
    let peak = travel.iter().map(|record| record.pull_force).fold(0.0, f64::max);
    // While the part lies on its nose cap.
    let bears = |record: &&TravelRecord| record.support_force > 0.0;
    assert!(travel.iter().filter(bears).count() > 20);
    for record in travel.iter().filter(bears) {
        let off = record.support_force + record.sleeve.unwrap().end_force - record.pull_force;
        assert!(off.abs() <= 1e-6 * peak, "{record:?}");
    }
    assert!(travel.iter().all(|record| record.halvings <= 3));
    let [pulled, pushed] = stop_forces(snapshots.last().unwrap());
    let drawn = travel.iter().rfind(|record| record.sleeve.is_some()).unwrap();
    let spent = drawn.friction_work + drawn.elastic_energy + drawn.plastic_work;
    println!(
        "pull {peak:.0}, stop {pushed:.0} and {:.0}, strain {:.3}, energy {:.1e}",
        -pulled,
        drawn.sleeve.unwrap().plastic_strain,
        drawn.tool_work / spent - 1.0
    );
    snapshots
}

/// An end that is held is pulled back by the bent plate; one that is stopped lifts off. Entry and exit face hardly know.
#[test]
#[ignore = "ten seconds: two draws"]
fn an_end_that_is_held_is_pulled() {
    let frictions = [0.05, 0.1];
    let [stopped, held] = [stopped(frictions), drawn(frictions, 0.3)]
        .map(|stage| run(job(vec![stage], metal())).remove(0));
    let [[off, _], [pulled, _]] = [&stopped, &held].map(stop_forces);
    assert!(pulled > 1000.0 && off < 0.05 * pulled, "{pulled} and {off}");
    let [stopped, held] = [&stopped, &held].map(read_section);
    for (one, other) in stopped.paths.iter().zip(&held.paths) {
        let [one, other] = [one, other].map(|path| path.headline().edge);
        println!("{one:.1} for {other:.1}");
        assert!((one - other).abs() < 35.0, "{one} for {other}");
    }
}

#[test]
fn a_draw_through_a_sleeve_balances_forces_and_energies() {
    // With a stop that only pushes, which is the harder one.
    let snapshots = goes_through(vec![stopped([0.1, 0.15])]);
    let [pulled, pushed] = stop_forces(&snapshots[0]);
    assert!(pulled < NO_PULL * pushed, "{pulled} of {pushed}");
    let drawn = snapshots[0].travel.iter().rfind(|record| record.sleeve.is_some()).unwrap();
    let spent = drawn.friction_work + drawn.elastic_energy + drawn.plastic_work;
    assert_relative_eq!(drawn.tool_work, spent, max_relative = 1e-4);
}

/// A repair has a second, larger sleeve. A second expansion of a reamed hole drives the compression farther, as in
/// radial models.
#[test]
fn a_second_sleeve_follows_a_ream() {
    let again = draw(tool(6.2, [0.05, 0.1], 0.4), CAP, false);
    let snapshots =
        goes_through(vec![drawn([0.05, 0.1], 0.4), SectionStage::Ream { diameter: 6.2 }, again]);
    let reach = |k: usize| {
        let path = &read_section(&snapshots[k]).paths[3];
        path.points[0].r + path.headline().depth_of_compression.unwrap()
    };
    assert!(reach(2) > reach(0), "{} after {}", reach(2), reach(0));
    // Every sleeve is out again: the mesh is that of the part.
    for snapshot in &snapshots {
        assert!(snapshot.state.mated.is_empty());
        assert!(snapshot.mesh.regions.quads.iter().all(|region| *region == 0));
    }
}

/// Pairs of friction, on the mandrel and in the hole, with either end.
#[test]
#[ignore = "some minutes: sixteen draws"]
fn draws_with_two_frictions_go_through() {
    for frictions in [
        [0.05, 0.0],
        [0.05, 0.05],
        [0.05, 0.1],
        [0.05, 0.15],
        [0.05, 0.2],
        [0.1, 0.1],
        [0.1, 0.15],
        [0.1, 0.2],
    ] {
        println!("{frictions:?}");
        goes_through(vec![drawn(frictions, 0.3)]);
        let snapshots = goes_through(vec![stopped(frictions)]);
        let [pulled, pushed] = stop_forces(&snapshots[0]);
        assert!(pulled < NO_PULL * pushed, "{pulled} of {pushed}");
    }
}

/// Drawn the other way, the section is the mirror image.
#[test]
#[ignore = "ten seconds"]
fn a_draw_backwards_is_the_mirror_image() {
    let peak = |snapshot: &SectionSnapshot| {
        snapshot.travel.iter().map(|record| record.pull_force).fold(0.0, f64::max)
    };
    let [there, back] = [false, true].map(|backwards| {
        let stage = draw(tool(5.7, [0.05, 0.1], 0.3), CAP, backwards);
        goes_through(vec![stage]).remove(0)
    });
    assert_relative_eq!(peak(&there), peak(&back), max_relative = 1e-6);
    let [there, back] = [there, back].map(|snapshot| read_section(&snapshot));
    let count = there.paths.iter().filter(|path| path.depth().is_some()).count();
    for k in 0..count {
        let [one, other] = [&there.paths[k], &back.paths[count - 1 - k]].map(|p| p.headline().edge);
        assert!((one - other).abs() < 1.0, "path {k}: {one} for {other}");
    }
}

/// The mandrel drags so hard that the sleeve is crushed and its end slides into the hole: one error that says so.
#[test]
fn a_sleeve_that_slides_off_the_bore_is_told() {
    let mut keep = crate::shop::Keep::default();
    let failed = SectionRun::new(job(vec![drawn([0.2, 0.05], 0.1)], metal()))
        .unwrap()
        .run(&mut keep)
        .unwrap_err();
    let StageError::Increment(error) = &failed else { panic!("{failed}") };
    assert!(matches!(error.cause, Cause::OffSleeve { .. }), "{failed}");
    assert!(failed.to_string().contains("lies on the sleeve no more"), "{failed}");
    assert!(keep.snapshots.is_empty());
}

/// Stops after so many increments, and keeps all it was given.
#[derive(Default)]
struct Stopping {
    after: usize,
    /// And in the first increment of this phase.
    at: Option<SectionPhase>,
    records: Vec<TravelRecord>,
    snapshots: Vec<SectionSnapshot>,
}

impl SectionObserver for Stopping {
    fn increment(&mut self, record: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        self.records.push(record.clone());
        if self.records.len() == self.after || self.at == Some(record.phase) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    }
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        ControlFlow::Continue(())
    }
}

/// A run that was stopped with a sleeve in the hole leaves no half stage, and begun again it is the same, increment by
/// increment, for any number of threads.
#[test]
fn a_stopped_draw_leaves_nothing_and_begun_again_is_the_same() {
    let ended = |after| {
        let mut watch = Stopping { after, ..Stopping::default() };
        let stages = vec![drawn([0.05, 0.1], 0.4)];
        let ending = SectionRun::new(job(stages, metal())).unwrap().run(&mut watch).unwrap();
        (ending, watch)
    };
    let (ending, stopped) = ended(60);
    assert_eq!(ending, SectionEnding::Interrupted);
    assert!(stopped.snapshots.is_empty() && stopped.records.len() == 60);
    assert!(stopped.records.iter().any(|record| record.sleeve.is_some()));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let (_, again) = pool.install(|| ended(60));
    assert_eq!(stopped.records, again.records);
}

/// The same as the sleeve comes out: no half stage is left of a draw that was stopped there.
#[test]
#[ignore = "five seconds: a draw to its end"]
fn a_draw_stopped_as_its_sleeve_comes_out_leaves_nothing() {
    let mut watch = Stopping { at: Some(SectionPhase::SleeveOut), ..Stopping::default() };
    let stages = vec![drawn([0.05, 0.1], 0.4)];
    let ending = SectionRun::new(job(stages.clone(), metal())).unwrap().run(&mut watch).unwrap();
    assert_eq!(ending, SectionEnding::Interrupted);
    assert!(watch.snapshots.is_empty());
    let whole = run(job(stages, metal())).remove(0);
    assert_eq!(watch.records, whole.travel[..watch.records.len()]);
}

/// A mandrel that drags with 0.1 presses the end of the sleeve beyond its yield stress, force over section: the program
/// says so, and does not of a sleeve of steel that bears it.
#[test]
fn a_sleeve_that_is_crushed_is_warned_of() {
    let file = r#"
title = "Plate (invented)"
units = "mm-MPa"

[plate]
outer_diameter = 60.0
thickness = 5.7
idealisation = "section"
alloy = "2024-T351 plate"

[[hole]]
name = "A"
starting_diameter = 5.70

[[stage]]
draw = "A"
mandrel_diameter = 5.528
sleeve_thickness = 0.20
"#;
    let mut case = hoopset::case::section::parse(file, "plate.toml").unwrap();
    // The file has what a warning needs beside the draw itself.
    case.job.stages = vec![drawn([0.1, 0.1], 0.3)];
    let snapshot = run(job(case.job.stages.clone(), metal())).remove(0);
    let most = snapshot.travel.iter().filter_map(|record| record.sleeve);
    let force = most.map(|sleeve| sleeve.end_force).fold(0.0, f64::max);
    // The pull is drawn over the travel: what the sleeve gives up as it comes out is not a part of it.
    let folder = tempfile::tempdir().unwrap();
    let context = FigureContext { case_title: "Plate", units: Units::MmMpa };
    pull_force(&snapshot.travel, &snapshot.label, context, folder.path()).unwrap();
    let drawn = format!("pull-force-{}.csv", snapshot.label);
    let drawn = std::fs::read_to_string(folder.path().join(drawn)).unwrap();
    let of_draw = snapshot.travel.iter().filter(|r| r.phase == SectionPhase::Draw).count();
    assert!(of_draw < snapshot.travel.len());
    assert_eq!(drawn.lines().filter(|line| line.starts_with("pull,")).count(), of_draw);
    let section = std::f64::consts::PI * WALL * (5.7 * 1.04 - WALL);
    assert!(force / section > 1100.0, "{force}");
    let reading = read_section(&snapshot);
    let stage = hoopset::report::section::SectionStageResult { snapshot, reading };
    let warned = |case: &hoopset::case::section::SectionCase| {
        let warnings =
            hoopset::report::section::section_warnings(case, std::slice::from_ref(&stage));
        warnings.iter().any(|warning| warning.contains("it is crushed between mandrel and stop"))
    };
    assert!(warned(&case));
    let SectionStage::Draw { tool, .. } = &mut case.job.stages[0] else { panic!() };
    tool.sleeve.as_mut().unwrap().material.yield_stress = 2000.0;
    assert!(!warned(&case));
}
