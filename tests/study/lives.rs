//! Lives as numbers of a study: those of `hoopset life` of the same case, and an end for every mistake.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use hoopset::case::study::{Study, parse as parse_study};
use hoopset::case::{Complaint, parse};
use hoopset::process::snapshot::Snapshot;
use hoopset::study::lives::{lives, plan};
use hoopset::study::sweep::solve::{Solver, Task};
use hoopset::study::sweep::{PointStatus, Points, numbers};

use crate::BASE;

const LIFE: &str = r#"[life]
load = { tension = 150.0, along = "y" }
load_ratio = 0.1
cracks = "one"
initial_flaw = 1.0
edge_cracks = false
"#;

const NUMBERS: [&str; 6] = [
    "plain_life",
    "expanded_life",
    "life_factor",
    "corner_plain_life",
    "corner_expanded_life",
    "corner_life_factor",
];

/// A hole near an edge, coarse, with lives.
fn base() -> String {
    let plate = "width = 30.0\nheight = 40.0";
    let text = BASE.replace("outer_diameter = 24.0", plate);
    let text = text.replace("name = \"A\"", "name = \"A\"\nat = [10.0, 20.0]");
    let load = "[[stage]]\nload = { tension = 100.0, on = [\"rim\"] }\n";
    text.replace(load, "").replace("increments = 4", "increments = 4\nhardening_bracket = false")
}

fn study_of(base: String, rest: &str) -> Result<Study, Complaint> {
    let text = format!("case = \"plate.toml\"\n{rest}");
    parse_study(&text, "study.toml", |_| Ok((base, "plate.toml".to_owned())))
}

fn rest(measures: &[&str]) -> String {
    let axis = "[[axis]]\nname = \"stress\"\nkey = \"life.load.tension\"\nvalues = [150.0, 60.0]\n";
    let number =
        |measure: &&str| format!("[[number]]\nname = \"{measure}_\"\nmeasure = \"{measure}\"\n");
    axis.to_owned() + &measures.iter().map(number).collect::<String>()
}

#[test]
fn lives_of_a_study_are_those_of_its_cases() {
    let study = study_of(base() + LIFE, &rest(&NUMBERS)).unwrap();
    let (points, numbers) = (Points::new(&study), numbers(&study));
    let units: Vec<&str> = numbers.iter().map(|number| number.unit.as_str()).collect();
    assert_eq!(units, ["cycles", "cycles", "", "cycles", "cycles", ""]);
    let task = Task::new(study, points, numbers, Arc::default());
    let mut solver = Solver::new(&task);
    let outcome = solver.solve(0, true).unwrap();
    assert_eq!(outcome.status, PointStatus::Done);

    let case = parse(&(base() + LIFE), "plate.toml").unwrap();
    let mut snapshots: Vec<Snapshot> = Vec::new();
    case.sequence(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    let report =
        lives(&case, plan(&case).unwrap(), &snapshots, &[], &AtomicBool::new(false)).unwrap();
    let through = report.comparisons.iter().map(|at| [&at.plain, &at.expanded]);
    let [plain, expanded] = through.fold([f64::INFINITY; 2], |shortest, holes| {
        let lives = holes.map(|hole| hole.life.cycles_borne());
        [shortest[0].min(lives[0]), shortest[1].min(lives[1])]
    });
    // Towards the edge of the plate the plain hole lives shortest, away from it the expanded one.
    assert!(plain < 0.5 * report.governing.plain.life.cycles_borne(), "{plain}");
    let [corner_plain, corner_expanded] = report.corner.as_ref().unwrap().lives();
    let corner_factor = corner_expanded / corner_plain;
    let wanted = [plain, expanded, expanded / plain, corner_plain, corner_expanded, corner_factor];
    assert!(wanted.iter().all(|number| number.is_finite() && *number > 0.0), "{wanted:?}");
    assert!(wanted[2] > 1.0, "expansion is worth something: {wanted:?}");
    assert_eq!(outcome.numbers, wanted.map(Some));

    // A load that hardly opens the crack: no end, hence no number; the stages are shared.
    let gentle = solver.solve(1, false).unwrap();
    assert_eq!((gentle.solved, gentle.shared), (0, 1));
    assert_eq!(gentle.numbers[1..3], [None, None], "{:?}", gentle.numbers);
    assert!(gentle.numbers[0].unwrap() > plain);
}

#[test]
fn a_life_that_a_case_cannot_have_is_told_with_its_line() {
    let wrong = |base: String, rest: &str| study_of(base, rest).unwrap_err();
    let axis = "[[axis]]\nname = \"a\"\nkey = \"plate.thickness\"\nvalues = [3.0]\n";
    let number = format!("{axis}[[number]]\nname = \"f\"\nmeasure = \"life_factor\"\n");
    let none = wrong(base(), &number);
    assert_eq!(none.place.map(|(line, _)| line), Some(8), "{none}");
    assert!(none.problem.contains("the base case has no [life]"), "{none}");
    let stray = wrong(base() + LIFE, &format!("{number}towards = \"inside\"\n"));
    assert_eq!(stray.place.map(|(line, _)| line), Some(9), "{stray}");
    assert!(stray.problem.starts_with("`life_factor` has no `towards`"), "{stray}");
}

#[test]
fn a_case_without_growth_constants_is_a_failed_row_with_its_reason() {
    let text = base().replace("2024-T351 plate", "Ti-6Al-4V annealed sheet") + LIFE;
    let Ok(study) = study_of(text, &rest(&["life_factor"])) else { panic!("an alloy is missing") };
    let (points, numbers) = (Points::new(&study), numbers(&study));
    let task = Task::new(study, points, numbers, Arc::default());
    let outcome = Solver::new(&task).solve(0, false).unwrap();
    let PointStatus::Failed(reason) = &outcome.status else { panic!("{:?}", outcome.status) };
    assert!(reason.contains("no crack growth constants"), "{reason}");
}
