//! The cases of a study, and what they share.

use std::collections::BTreeSet;
use std::sync::Arc;

use hoopset::case::study::{Level, Made, Scalar};
use hoopset::parse;
use hoopset::study::sweep::solve::{Solver, Task};
use hoopset::study::sweep::{Outcome, PointStatus, Points, WorkList, numbers};

use crate::{BASE, read};

const GRID: &str = "[[axis]]\nname = \"expansion\"\nkey = \"stage.1.applied_expansion\"\nvalues = [0.02, 0.03]\n\
                    [[axis]]\nname = \"stress\"\nvalues = [50, 100, 150]\n\
                    [[set]]\nkey = \"stage.2.load.tension\"\nto = \"stress * 2\"\n";

fn task(rest: &str) -> Task {
    let study = read(rest).unwrap();
    let (points, numbers) = (Points::new(&study), numbers(&study));
    Task::new(study, points, numbers, Arc::default())
}

#[test]
fn a_case_of_a_study_is_the_case_written_by_hand() {
    let task = task(GRID);
    let levels = task.points.levels(4);
    let Made::Wanted(variables) = task.study.make(&levels).unwrap() else { panic!("skipped") };
    let made = task.study.case(&levels, &variables).unwrap();
    let written = BASE.replace("tension = 100.0", "tension = 200.0");
    assert_eq!(made.job, parse(&written, "disc.toml").unwrap().job);
}

#[test]
fn the_last_axis_of_a_grid_varies_fastest() {
    let points = task(GRID).points;
    let texts = |k: usize| points.levels(k).iter().map(Level::text).collect::<Vec<_>>().join(" ");
    let all: Vec<String> = (0..points.len()).map(texts).collect();
    assert_eq!(all, ["0.02 50", "0.02 100", "0.02 150", "0.03 50", "0.03 100", "0.03 150"]);
    assert!((0..points.len()).all(|k| points.index(&points.digits(k)) == k));
}

#[test]
fn every_part_of_every_axis_of_a_latin_hypercube_has_one_case() {
    let task = task(
        "[design]\nmethod = \"latin hypercube\"\ncount = 40\nseed = 7\n\
         [[axis]]\nname = \"a\"\nfrom = 0\nto = 40\n\
         [[axis]]\nname = \"b\"\nfrom = 1\nto = 16\nspacing = \"logarithmic\"\n\
         [[axis]]\nname = \"metal\"\nkey = \"plate.alloy\"\nvalues = [\"2024-T351 plate\", \"7075-T651 plate\"]\n",
    );
    let number = |case: usize, axis: usize| task.points.levels(case)[axis].number().unwrap();
    let parts = |place: &dyn Fn(usize) -> f64| -> BTreeSet<i64> {
        (0..40).map(|case| place(case).floor() as i64).collect()
    };
    assert_eq!(parts(&|case| number(case, 0)).len(), 40);
    // Equal ratios: 16 = 2⁴, so that 10 log₂ cuts the range into 40 parts.
    assert_eq!(parts(&|case| 10.0 * number(case, 1).log2()).len(), 40);
    let first = |case: &usize| task.points.levels(*case)[2].text().starts_with("2024");
    assert_eq!((0..40).filter(first).count(), 20);
    // The axes are joined at random, not in step.
    let again = |case: usize| task.points.levels(case);
    assert!((0..40).all(|case| again(case) == again(case)));
    assert!((0..40).any(|case| (number(case, 0) - 10.0 * number(case, 1).log2()).abs() > 1.0));
}

#[test]
fn a_value_that_a_condition_names_is_skipped_and_others_are_not() {
    let task = task(&format!("skip = [\"stress > 120 && expansion < 0.025\"]\n{GRID}"));
    let skipped = |case: usize| {
        matches!(task.study.make(&task.points.levels(case)).unwrap(), Made::Skipped(..))
    };
    assert_eq!((0..6).map(skipped).collect::<Vec<_>>(), [false, false, true, false, false, false]);
}

#[test]
fn cases_that_share_stages_have_the_numbers_of_cases_solved_alone() {
    let task = task(GRID);
    let list = WorkList::new(&task.study, &task.points);
    // Two expansions; the three loads of each share it.
    assert_eq!(list.len(), 2);
    let mut shared: Vec<Outcome> = Vec::new();
    for unit in 0..list.len() {
        let cases = list.unit(unit);
        let mut solver = Solver::new(&task);
        for case in cases {
            shared.push(solver.solve(case, true).unwrap());
        }
    }
    let spared: usize = shared.iter().map(|outcome| outcome.shared).sum();
    assert_eq!(spared, 4, "four of six expansions are not solved again");
    for outcome in &shared {
        let alone = Solver::new(&task).solve(outcome.case, false).unwrap();
        assert_eq!(outcome.status, PointStatus::Done);
        assert_eq!((&alone.status, &alone.numbers), (&outcome.status, &outcome.numbers));
        assert_eq!(alone.shared, 0);
    }
    let edge = |outcome: &Outcome| outcome.numbers[0].unwrap();
    assert!(edge(&shared[0]) < -50.0 && edge(&shared[0]) != edge(&shared[5]));
}

#[test]
fn numbers_are_those_of_the_run_of_the_same_case() {
    let rest = format!(
        "{GRID}[[number]]\nname = \"edge\"\nmeasure = \"edge_hoop\"\nstage = \"expand-A\"\n\
         [[number]]\nname = \"at\"\nmeasure = \"hoop_at\"\nstage = \"1-expand-A\"\ndistance = 0.5\n\
         [[number]]\nname = \"deep\"\nmeasure = \"depth_to\"\nstage = \"expand-A\"\nlevel = -100\n\
         [[number]]\nname = \"share\"\nexpression = \"edge / yield_stress\"\n\
         [[number]]\nname = \"pressure\"\nmeasure = \"mean_pressure\"\n"
    );
    let task = task(&rest);
    let outcome = Solver::new(&task).solve(4, false).unwrap();
    let case = parse(&BASE.replace("tension = 100.0", "tension = 200.0"), "disc.toml").unwrap();
    let mut snapshots: Vec<hoopset::process::snapshot::Snapshot> = Vec::new();
    case.sequence(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    let read = |label: &str| {
        let snapshot = snapshots.iter().find(|snapshot| snapshot.label == label).unwrap();
        hoopset::result::read::read(snapshot, &case.job, &case.path_angles).unwrap()
    };
    let (stage, summary) = read("1-expand-A");
    let (_, full) = read("1-expand-A-full");
    let hoop = stage.paths.iter().find(|path| path.angle_deg == 0.0).unwrap().hoop();
    let edge = summary.paths[0].edge_hoop;
    let found: Vec<f64> = outcome.numbers.iter().map(|number| number.unwrap()).collect();
    assert_eq!(found[0], edge);
    assert_eq!(found[1], hoop.at(0.5).unwrap());
    // Straight lines between the points of the path: at that depth the stress is the level.
    assert!((hoop.at(found[2]).unwrap() + 100.0).abs() < 1e-9 && found[2] > 0.0);
    assert_eq!(found[3], edge / case.job.material.monotonic_stress(0.002));
    assert_eq!(found[4], full.holes[0].mean_pressure);
}

#[test]
fn a_bounding_law_is_that_of_the_bracket() {
    let task = task(
        "[[axis]]\nname = \"law\"\nkey = \"hardening\"\nvalues = [\"as given\", \"isotropic\"]\n",
    );
    let metal = |case: usize| {
        let levels = task.points.levels(case);
        let Made::Wanted(variables) = task.study.make(&levels).unwrap() else { panic!("skipped") };
        task.study.case(&levels, &variables).unwrap().job.material
    };
    assert_eq!(hoopset::material::bracket::purely_isotropic(&metal(0)), metal(1));
    assert_ne!(metal(0), metal(1));
}

#[test]
fn a_search_ends_in_a_bracket_whose_ends_are_what_they_are_said_to_be() {
    let task = task(
        "[[axis]]\nname = \"expansion\"\nkey = \"stage.1.applied_expansion\"\nfrom = 0.005\nto = 0.045\n\
         [[number]]\nname = \"deep\"\nmeasure = \"depth_to\"\nstage = \"expand-A\"\nlevel = -100\n\
         [search]\nfind = \"smallest\"\nof = \"expansion\"\nsuch_that = \"deep >= 1\"\nwithin = 0.02\nerror = 0.05\n",
    );
    let search = task.study.search.clone().unwrap();
    let answer =
        hoopset::study::search::answer(&task, &search, &mut Solver::new(&task), 0).unwrap();
    let (holds, fails) = (answer.holds_at.unwrap(), answer.fails_at.unwrap());
    assert!(holds > fails && holds - fails <= 0.02 * 0.04);
    let deep = |at: f64| {
        let levels = [Level::One(Scalar::Number(at))];
        Solver::new(&task).solve_at(0, &levels, false).unwrap().numbers[0].unwrap()
    };
    assert!(deep(holds) >= 1.0 && deep(fails) < 1.0);
    let [low, high] = answer.with_error.unwrap();
    assert!(low <= fails && high >= holds);
    assert!(answer.trials.windows(2).all(|pair| pair[0].at < pair[1].at));
}

#[test]
fn a_condition_that_stops_holding_again_is_searched_where_it_begins() {
    let window = |find: &str| {
        let task = task(&format!(
            "[[axis]]\nname = \"expansion\"\nkey = \"stage.1.applied_expansion\"\nfrom = 0.005\nto = 0.045\n\
             [search]\nfind = \"{find}\"\nof = \"expansion\"\nsuch_that = \"expansion >= 0.012 && expansion <= 0.031\"\nwithin = 0.05\n",
        ));
        let search = task.study.search.clone().unwrap();
        hoopset::study::search::answer(&task, &search, &mut Solver::new(&task), 0).unwrap()
    };
    for (find, border, end) in [("smallest", 0.012, 0.031), ("largest", 0.031, 0.012)] {
        let answer = window(find);
        let (holds, fails) = (answer.holds_at.unwrap(), answer.fails_at.unwrap());
        assert!((holds - border) * (fails - border) <= 0.0, "{find}: {holds}, {fails}");
        assert!((holds - fails).abs() <= 0.05 * 0.04);
        let [last, next] = answer.until.unwrap();
        assert!((last - end) * (next - end) <= 0.0, "{find}: {last}, {next}");
        assert!(!answer.several);
    }
}
