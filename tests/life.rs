//! Lives of cracks at holes that were really expanded: the stress intensities they stand on against
//! cracks opened in the mesh, the trade, and the command.
#![allow(clippy::unwrap_used, clippy::print_stdout, missing_docs)]

#[path = "common/mod.rs"]
mod common;

#[path = "life/command.rs"]
mod command;
#[path = "life/like_cases.rs"]
mod like_cases;
#[path = "life/redistribution.rs"]
mod redistribution;

use std::f64::consts::PI;
use std::sync::LazyLock;
use std::sync::atomic::AtomicBool;

use common::plates::run_sequence;
use hoopset::case::{self, Case, parse};
use hoopset::fatigue::crack::CrackSides;
use hoopset::fatigue::cycle::{IntensityRange, StressRatio};
use hoopset::fatigue::end::LifeEnd;
use hoopset::fatigue::growth::{Growth, GrowthLaw};
use hoopset::fatigue::intensity::{CrackState, IntensityCycle, ResidualEdges, StressIntensity};
use hoopset::fracture::line::Way;
use hoopset::fracture::opened::{Faces, OpenedPlate, Pull};
use hoopset::mesh::topology::Mesh;
use hoopset::process::load;
use hoopset::process::snapshot::Snapshot;
use hoopset::solver::supports::Supports;
use hoopset::solver::system::System;
use hoopset::study::bracket::bounding_states;
use hoopset::study::last_state::NoShelf;
use hoopset::study::lives::{LifeRefusal, LifeReport, lives, plan, residual_state};

/// A hole far from every edge: `x` 100 for a quarter model with two cracks, else a half with one. In a square of
/// 80 mm an opened crack of 1.1 radii has 0.8 % more K of the load, and 1.7 % more of the residual stress, than
/// the weight function with the factor of a long strip; that is the square's, not the mesh's.
fn text(x: f64, cracks: &str) -> String {
    format!(
        r#"title = "Hole in a wide plate"
units = "mm-MPa"
[plate]
width = 200.0
height = 200.0
thickness = 5.0
alloy = "2024-T351 plate"
[[hole]]
name = "A"
at = [{x}, 100.0]
starting_diameter = 5.70
[[stage]]
expand = "A"
applied_expansion = 0.04
[[stage]]
ream = "A"
diameter = 6.00
[life]
load = {{ tension = 190.0, along = "y" }}
load_ratio = 0.1
relaxation = false
path = [0.0]
cracks = "{cracks}"
initial_flaw = 0.6
detectable = 2.0
[numerics]
fineness = 1.4
increments = 12
hardening_bracket = false
"#
    )
}

struct Worked {
    case: Case,
    snapshots: Vec<Snapshot>,
    report: LifeReport,
}

/// The half model with one crack, solved once.
fn one() -> &'static Worked {
    static ONE: LazyLock<Worked> = LazyLock::new(|| work(98.0, "one"));
    &ONE
}

/// The quarter model with two, solved once.
fn two() -> &'static Worked {
    static TWO: LazyLock<Worked> = LazyLock::new(|| work(100.0, "two"));
    &TWO
}

fn work(x: f64, cracks: &str) -> Worked {
    let case = parse(&text(x, cracks), "wide.toml").unwrap();
    let snapshots = run_sequence(&mut case.sequence(case.job.clone()).unwrap());
    let report =
        lives(&case, plan(&case).unwrap(), &snapshots, &[], &AtomicBool::new(false)).unwrap();
    Worked { case, snapshots, report }
}

impl Worked {
    /// Intensities of a crack of about `length` mm opened along 0° in the mesh as the part stands: its
    /// length, of the residual state, and of 1 MPa of remote tension.
    fn opened(&self, length: f64) -> [f64; 3] {
        let state = residual_state(&self.snapshots).unwrap();
        self.opened_in(&state.mesh.displaced(&state.state.displacement), length)
    }

    /// The same in `mesh`.
    fn opened_in(&self, mesh: &Mesh, length: f64) -> [f64; 3] {
        let job = &self.case.job;
        let state = residual_state(&self.snapshots).unwrap();
        let (drawn, hole) = (state.mesh.clone(), &job.plate.holes[0]);
        let mut system =
            System::new(drawn.clone(), job.material.clone(), job.idealisation, 5.0, 3.0).unwrap();
        system.supports = Supports::with(&system.mesh, &[]);
        let mut settled = state.state.clone();
        system.settle(&mut settled).unwrap();
        // What every node of the line carries, from the stresses of the state themselves.
        let carried: Vec<f64> = settled.external.iter().map(|force| force[1]).collect();
        let mut plate = OpenedPlate::new(
            mesh.clone(),
            hole,
            &[(Way::Right, length)],
            &job.material,
            job.idealisation,
            5.0,
        )
        .unwrap();
        let residual = Pull {
            line_stress: vec![self.report.governing.place.residual_hoop.clone()],
            line_forces: Some(carried),
            ..Pull::default()
        };
        let residual = plate.answer(&residual, Faces::Free).unwrap()[0].intensity;
        let load = &self.case.life.as_ref().unwrap().load;
        let forces = load::forces(&drawn, load, 5.0, &["left", "right", "bottom", "top"]).unwrap();
        let remote = Pull { forces, ..Pull::default() };
        let remote = plate.answer(&remote, Faces::Free).unwrap()[0].intensity / 190.0;
        [plate.lengths()[0], residual, remote]
    }
}

/// F of cracks in a wide sheet under remote tension at half a radius: computed by dislocation densities with
/// the exact Green's function of the hole, converged to 1e-5.
const AT_HALF_RADIUS: [(CrackSides, f64); 2] =
    [(CrackSides::One, 1.72787), (CrackSides::Two, 1.83279)];

#[test]
fn residual_and_remote_intensity_of_an_expanded_hole_are_those_of_cracks_opened_in_the_mesh() {
    for (cracks, worked) in [("one", one()), ("two", two())] {
        let place = &worked.report.governing.place;
        // The plate that was cut has edges, and they act on either sign of the residual stress.
        let edged = StressIntensity::new(place.geometry, place.load_hoop.clone())
            .with_residual(place.residual_hoop.clone())
            .with_residual_edges(ResidualEdges::LikeLoad);
        for length in [0.8, 1.6, 3.3] {
            let [a, residual, remote] = worked.opened(length);
            let parts = edged.at(a).unwrap();
            println!(
                "{cracks}, a {a:.3}: residual {:.1} opened {residual:.1} ({:+.2} %), remote {:.4} \
                 opened {remote:.4} ({:+.2} %)",
                parts.residual,
                100.0 * (parts.residual / residual - 1.0),
                parts.load,
                100.0 * (parts.load / remote - 1.0)
            );
            let drawn = &residual_state(&worked.snapshots).unwrap().mesh;
            let [_, in_drawn, remote_in_drawn] = worked.opened_in(drawn, length);
            println!(
                "    in the mesh as drawn: residual {in_drawn:.1} ({:+.2} %), remote {remote_in_drawn:.4} ({:+.2} %)",
                100.0 * (in_drawn / residual - 1.0),
                100.0 * (remote_in_drawn / remote - 1.0)
            );
            assert!((parts.residual / residual - 1.0).abs() < 0.02, "{cracks} {a}");
            assert!((parts.load / remote - 1.0).abs() < 0.02, "{cracks} {a}");
        }
        let table = worked.report.governing.expanded.grower.table();
        // 6 mm in 200: width and height raise the pull on the edge by 0.1 to 0.3 %.
        let radius = place.geometry.radius();
        let (_, shape) =
            AT_HALF_RADIUS.into_iter().find(|(sides, _)| *sides == place.geometry.sides()).unwrap();
        let found = table.at(0.5 * radius);
        let expected = shape * (PI * 0.5 * radius).sqrt();
        assert!((found.load / expected - 1.0).abs() < 0.01, "{} {expected}", found.load);
    }
}

#[test]
fn two_cracks_stay_closed_though_the_stress_at_their_tips_is_tensile() {
    let worked = two();
    let place = &worked.report.governing.place;
    let crossing = place.residual_hoop.crossings(0.0)[0];
    let [length, opened, _] = worked.opened(crossing + 0.6);
    let tip = place.residual_hoop.at(length).unwrap();
    assert!(tip > 15.0, "the tip is in tension: {tip}");
    let parts = worked.report.governing.expanded.grower.table().at(length);
    println!("crossing {crossing:.3}, a {length:.3}, K {:.1}, opened {opened:.1}", parts.residual);
    assert!(parts.residual < -50.0 && opened < -50.0, "{} {opened}", parts.residual);
}

#[test]
fn an_expanded_hole_outlives_the_plain_one_and_the_trade_closes() {
    let report = &one().report;
    let (plain, expanded) = (&report.governing.plain, &report.governing.expanded);
    assert!(matches!(plain.life.end, LifeEnd::Fracture { .. } | LifeEnd::NetSectionYield { .. }));
    let gain = report.improvement().unwrap();
    println!("plain {:.0}, factor {gain:.1}", report.plain_life());
    assert!(gain > 2.0, "{gain}");
    // The faces touch at the lowest load while the crack is short.
    let first = expanded
        .grower
        .table()
        .at(0.6)
        .cycle(&report.ground.sequence.severest().cycle, report.ground.contact);
    assert_eq!(first.state, CrackState::PartlyClosed);
    // A plain hole under the stress that the trade says lives as long as was asked.
    let own = report.trade.options[0].answer.as_ref().unwrap();
    let lived = plain.grower.life(&report.ground.sequence.scaled(own.stress_factor));
    assert!((lived.cycles_borne() / report.trade.target - 1.0).abs() < 1e-3);
    assert!((own.thickness_ratio * own.stress_factor - 1.0).abs() < 1e-12);
    assert!(own.thickness_ratio > 1.0);
    let rise = *report.trade.rise.as_ref().unwrap();
    let raised = expanded.grower.life(&report.ground.sequence.scaled(rise)).cycles_borne();
    assert!(rise > 1.0 && (raised / report.plain_life() - 1.0).abs() < 1e-3, "{rise}");
    // 200 × 200 × 5 mm less a hole of 6 mm, at 2.77 g/cm³; the drawn hole is smaller by what it kept.
    let mass = 2.77e-3 * 5.0 * (40_000.0 - PI * 9.0);
    assert!((report.trade.mass.unwrap() / mass - 1.0).abs() < 1e-3, "{:?}", report.trade.mass);
}

#[test]
fn a_spectrum_of_one_cycle_is_that_cycle_and_blocks_are_shares() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("wing.txt"), "# shares\n0.1\n1.0 # top\n0.1\n").unwrap();
    let planned = |course: &str| {
        let path = folder.path().join("case.toml");
        std::fs::write(&path, text(100.0, "one").replace("load_ratio = 0.1", course)).unwrap();
        plan(&case::read(&path).unwrap()).map(|plan| plan.ground.sequence)
    };
    let constant = planned("load_ratio = 0.1").unwrap();
    assert_eq!(planned("spectrum = \"wing.txt\"").unwrap(), constant);
    let blocks = "blocks = [{ highest = 1.0, lowest = 0.1, cycles = 3 }, \
                  { highest = 0.5, lowest = -0.2, cycles = 20 }]";
    let blocks = planned(blocks).unwrap();
    assert!((blocks.cycles_in_pass() - 23.0).abs() < 1e-12);
    assert!((blocks.blocks()[1].cycle.minimum() + 38.0).abs() < 1e-12);
    std::fs::write(folder.path().join("wing.txt"), "0.1\none\n").unwrap();
    let refused = planned("spectrum = \"wing.txt\"").unwrap_err();
    assert_eq!(refused.to_string(), "[life]: `wing.txt`: line 2: `one` is not one number");
    assert!(refused.is_input() && refused.line() == Some(18));
}

#[test]
fn own_constants_are_converted_from_inches_and_ksi() {
    // da/dN = 1e-9 · ΔK³ in a cycle at ΔK in ksi√in: at 10 ksi√in 1e-6 in.
    let units = text(100.0, "one")
        .replace("mm-MPa", "in-ksi")
        .replace("200.0", "20.0")
        .replace("100", "10")
        .replace("5.70", "0.570")
        .replace("6.00", "0.600")
        .replace("thickness = 5.0", "thickness = 0.5");
    let law =
        "law = \"paris\"\nconstants = { coefficient = 1e-9, exponent = 3.0 }\ntoughness = 30.0\n";
    let case = parse(&units.replace("[numerics]", &format!("{law}[numerics]")), "in.toml").unwrap();
    let plan = plan(&case).unwrap();
    // 1 ksi√in = 6.894757 MPa · √25.4 mm.
    let unit = 6.894_757 * 25.4_f64.sqrt();
    assert!((plan.ground.limits.toughness / (30.0 * unit) - 1.0).abs() < 1e-6);
    let cycle = IntensityCycle {
        maximum: 10.0 * unit,
        minimum: 0.0,
        range: IntensityRange(10.0 * unit),
        ratio: StressRatio(0.0),
        state: CrackState::Open,
    };
    assert!(matches!(plan.ground.model.law, GrowthLaw::Paris { .. }));
    let Growth::Rate(rate) = plan.ground.model.law.growth(&cycle, 1.0) else { panic!() };
    assert!((rate / 25.4e-6 - 1.0).abs() < 1e-6, "{rate}");
}

#[test]
fn what_cannot_be_answered_is_refused_before_anything_is_solved() {
    let refused = |old: &str, new: &str| {
        let changed = text(100.0, "one").replace(old, new);
        let error = plan(&parse(&changed, "case.toml").unwrap()).unwrap_err();
        assert!(error.is_input());
        error
    };
    let titanium = refused("2024-T351 plate", "Ti-6Al-4V annealed sheet");
    assert!(matches!(titanium, LifeRefusal::NoConstants { .. }));
    assert!(titanium.hint().unwrap().contains("constants"));
    let closure = refused("detectable = 2.0", "law = \"closure\"");
    assert!(closure.hint().unwrap().contains("forman"), "{:?}", closure.hint());
    let bare = refused("detectable = 2.0", "law = \"walker\"");
    assert!(matches!(bare, LifeRefusal::NoToughness { .. }));
    let corner = parse(&text(100.0, "corner"), "case.toml").unwrap_err();
    assert!(corner.hint().contains("outside this two-dimensional model"), "{}", corner.hint());
}

#[test]
fn the_load_relaxes_the_residual_stress_before_cracks_grow_in_it() {
    // 330 MPa once more than doubles what 190 MPa does to the edge: Kt 3 on a field of −1.2 yield.
    let solve = |tension: &str, more: &str| {
        let text = text(98.0, "one")
            .replace("tension = 190.0", tension)
            .replace("load_ratio = 0.1\nrelaxation = false", &format!("load_ratio = -0.2\n{more}"))
            .replace("fineness = 1.4", "fineness = 0.7");
        let case = parse(&text, "wide.toml").unwrap();
        let snapshots = run_sequence(&mut case.sequence(case.job.clone()).unwrap());
        let stop = AtomicBool::new(false);
        lives(&case, plan(&case).unwrap(), &snapshots, &[], &stop).unwrap()
    };
    let edge = |report: &LifeReport| report.governing.place.residual_hoop.values()[0];
    let fixed = solve("tension = 190.0", "relaxation = false");
    let settled = solve("tension = 190.0", "");
    println!("edge {:.0} MPa, relaxed {:.0}", edge(&fixed), edge(&settled));
    let before = settled.governing.place.worked_hoop.as_ref().unwrap().values()[0];
    assert!((before - edge(&fixed)).abs() < 1e-9);
    // Pressed by 38 MPa, the edge would go 3 · 38 deeper than the release left it, which is where it yields: it
    // comes back higher by about that much.
    assert!(edge(&settled) > edge(&fixed) + 20.0);
    assert!(settled.expanded_life() < fixed.expanded_life());
    assert!(fixed.warnings.iter().any(|text| text.contains("the edge yields in service")));
    assert!(!settled.warnings.iter().any(|text| text.contains("in service")));
    let run = settled.relaxation.unwrap();
    let warned = settled.warnings.iter().any(|text| text.contains("still yields in every cycle"));
    assert!(run.yielded && run.settled != warned, "{run:?}");
    // The trade knows that the metal yields below this load, and that more stress leaves less.
    let onset = settled.trade.onset.unwrap();
    assert!((0.0..1.0).contains(&onset), "{onset}");
    let rise = |report: &LifeReport| *report.trade.rise.as_ref().unwrap();
    assert!(rise(&settled) < rise(&fixed), "{} {}", rise(&settled), rise(&fixed));
}

#[test]
fn a_pin_adds_its_bearing_to_the_load_of_a_life() {
    // Held at the left, pulled by the pin to the right: net section across the pull, 90° and 270°.
    let held = "[[support]]\nedge = \"left\"\nhold = \"both\"\n[life]";
    let solve = |force: &str| {
        let text = text(98.0, "one")
            .replace("[life]", held)
            .replace("fineness = 1.4", "fineness = 0.7")
            .replace("path = [0.0]", "path = [90.0]")
            .replace("load = { tension = 190.0, along = \"y\" }", force);
        let case = parse(&text, "pin.toml").unwrap();
        let snapshots = run_sequence(&mut case.sequence(case.job.clone()).unwrap());
        let stop = AtomicBool::new(false);
        lives(&case, plan(&case).unwrap(), &snapshots, &[], &stop).unwrap()
    };
    let found = solve(
        "load = { tension = 1.0, along = \"x\", bearing = [{ hole = \"A\", force = [3000.0, 0.0] }] }",
    );
    // 3000 N over 6 · 5 mm² bear with 100 MPa. A neat pin in a wide plate makes a hoop stress of 0.8 to 1.1
    // times the bearing stress across the load (charts of joints, from memory); the remote stress of 1 MPa
    // and the held edge change that by a few percent.
    let hoop = found.governing.place.load_hoop.values()[0];
    println!("hoop at 90° of a bearing stress of 100 MPa: {hoop:.1} MPa");
    assert!((60.0..130.0).contains(&hoop), "{hoop}");
}

/// The states of the bounding laws have other numbers of backstress terms than the metal of the case.
#[test]
fn lives_under_the_bounding_laws_stand_on_either_side() {
    let text = text(100.0, "two")
        .replace("fineness = 1.4", "fineness = 0.5")
        .replace("hardening_bracket = false", "");
    let case = case::parse(&text, "plate.toml").unwrap();
    assert!(case.job.material.kinematic.len() > 1, "the alloy has several terms");
    let snapshots = run_sequence(&mut case.sequence(case.job.clone()).unwrap());
    let stop = AtomicBool::new(false);
    let residual = |snapshot: &Snapshot| snapshot.finished && !snapshot.loaded;
    let bounds = bounding_states(&case, &stop, residual, &NoShelf).unwrap();
    assert_eq!(bounds.states.len(), 2, "{:?}", bounds.missing);
    let plan = plan(&case).unwrap();
    let report = lives(&case, plan, &snapshots, &bounds.states, &stop).unwrap();
    let edge = |place: &hoopset::study::lives::Place| place.residual_hoop.values()[0];
    let own = edge(&report.governing.place);
    let [one, other] = [0, 1].map(|k| edge(&report.bounds[k].worst.place));
    assert!(one.min(other) < own && own < one.max(other), "{one} {own} {other}");
}
