//! Friction of a drawn mandrel as an unknown: known values come back from pull, bore and depths; data that cannot tell it
//! are answered by saying so.

use std::fs;
use std::process::Command;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use hoopset::case::Case;
use hoopset::case::section::read_measurements;
use hoopset::case::unknown::Asked;
use hoopset::fit::certainty::Certainty;
use hoopset::fit::least_squares::{Ends, least_squares};
use hoopset::fit::statistics::normal_quantile;
use hoopset::numeric::random::Random;
use hoopset::report::infer::sentences;
use hoopset::study::infer::{Inferred, at_faces, changed, infer, solve};

use crate::DISC;
use crate::surrogate::{Fit, Surrogate};

/// A coarse section; a rigid mandrel is drawn through it.
const RING: &str = "units = \"mm-MPa\"\n\
    [plate]\nouter_diameter = 30\nthickness = 4\nidealisation = \"section\"\nrim = \"flat\"\n\
    alloy = \"2024-T351 plate\"\n\
    [[hole]]\nname = \"A\"\nstarting_diameter = 5.7\n\
    [[stage]]\ndraw = \"A\"\napplied_expansion = 0.04\nfriction = 0.05\nland = 1.5\n\
    lead_angle = 4\ntrail_angle = 6\n\
    [numerics]\nfineness = 0.25\nincrements = 32\n";

const FRICTION: &str = "[[unknown]]\nname = \"friction\"\n";
const EXPANSION: &str = "[[unknown]]\nname = \"applied_expansion\"\n";
const PULL: &str = "[[reading]]\npull_force = 3000\nplus_minus = 30\n";
const BORES: &str = "[[reading]]\nbore_diameter = 5.8\ndepth_share = 0.1\nplus_minus = 0.002\n\
    [[reading]]\nbore_diameter = 5.8\ndepth_share = 0.9\nplus_minus = 0.002\n\
    [[reading]]\nupset = 0.02\nface = \"exit\"\nplus_minus = 0.003\n";
/// Stresses at a depth, from `points.csv`.
fn at(share: f64) -> String {
    format!("[[measured]]\nfile = \"points.csv\"\nspot = 0.5\ndepth_share = {share}\n")
}

const TRUTH: [(Asked, f64); 2] = [(Asked::Friction, 0.11), (Asked::AppliedExpansion, 0.037)];

/// The case of a section file with these tables below it.
fn read(tables: &str) -> Case {
    let folder = tempfile::tempdir().unwrap();
    let rows = [0.3, 0.8, 1.5, 3.0].map(|distance| format!("{distance},0,10\n")).concat();
    fs::write(folder.path().join("points.csv"), format!("distance,hoop,plus_minus\n{rows}"))
        .unwrap();
    fs::write(folder.path().join("ring.toml"), format!("{RING}{tables}")).unwrap();
    read_measurements(&folder.path().join("ring.toml")).unwrap_or_else(|wrong| panic!("{wrong}"))
}

/// Measurements made of the truth, scattered by so many of their errors.
fn made(mut case: Case, scatter: f64, seed: u64) -> Case {
    let go = AtomicBool::new(false);
    let truth = solve(&at_faces(&case, &TRUTH), &changed(&case.job, &TRUTH), &go).unwrap();
    let mut random = Random::new(seed);
    for (depth, there) in case.readings.stresses.iter_mut().zip(&truth.agreements) {
        for (point, own) in depth.measured.points.iter_mut().zip(&there.points) {
            let error = point.plus_minus.unwrap();
            point.stress = own.computed.unwrap() + scatter * error * random.normal();
        }
    }
    for (reading, own) in case.readings.single.iter_mut().zip(&truth.singles) {
        reading.value = own.computed.unwrap() + scatter * reading.plus_minus * random.normal();
    }
    case
}

fn found(case: &Case) -> Inferred {
    infer(case, &AtomicBool::new(false), &|_| ()).unwrap()
}

#[test]
fn without_scatter_friction_and_expansion_come_back() {
    let begin = Instant::now();
    let case = made(read(&[PULL, BORES, &at(0.5), FRICTION, EXPANSION].concat()), 0.0, 1);
    let answer = found(&case);
    eprintln!("{:.1} s, {} solutions", begin.elapsed().as_secs_f64(), answer.solutions);
    for (unknown, (_, truth)) in answer.unknowns.iter().zip(TRUTH) {
        eprintln!("{} {:e}", unknown.value, unknown.value / truth - 1.0);
        assert!((unknown.value / truth - 1.0).abs() < 1e-5, "{} {truth}", unknown.value);
        assert!(unknown.interval.is_some());
    }
}

/// One draw of the scatter: within three standard errors, which chance passes once in 370.
#[test]
fn scattered_data_give_friction_and_expansion_within_their_errors() {
    let case = made(read(&[PULL, BORES, &at(0.5), FRICTION, EXPANSION].concat()), 1.0, 4);
    let answer = found(&case);
    assert_eq!(answer.too_far, Some(false));
    for (unknown, (_, truth)) in answer.unknowns.iter().zip(TRUTH) {
        let [low, high] = unknown.interval.unwrap();
        eprintln!("{low} {} {high}", unknown.value);
        let error = (high - low) / (2.0 * normal_quantile());
        assert!((unknown.value - truth).abs() < 3.0 * error, "{low} {truth} {high}");
        // The pull alone, known to a hundredth, would leave friction to some 4 %.
        assert!(high - low < 0.1 * truth, "{low} {high}");
    }
    let bands: Vec<String> = answer.bands.iter().map(|band| band.way.words()).collect();
    assert!(bands.contains(&"entry face".to_owned()) && bands.contains(&"exit face".to_owned()));
    assert!(answer.numbers.iter().any(|number| number.name == "largest pull, A"));
}

/// A thousand seeds on a surrogate, whose error is shown against full solutions; a count of a thousand with chance 0.9
/// has a standard deviation of 9.5.
#[test]
fn nine_of_ten_intervals_hold_friction_and_expansion_on_a_surrogate() {
    let case = read(&[PULL, BORES, &at(0.5), FRICTION, EXPANSION].concat());
    // In the variables of the search: friction by 0.1 from that of the case, expansions by 30 %.
    let truth = [(0.11 - 0.05) / 0.1, (0.037_f64 / 0.04).ln() / 0.3];
    let half = [0.08, 0.08];
    let full = |at: [f64; 2]| -> Vec<f64> {
        let values = [
            (Asked::Friction, 0.05 + 0.1 * at[0]),
            (Asked::AppliedExpansion, 0.04 * (0.3 * at[1]).exp()),
        ];
        let go = AtomicBool::new(false);
        let one = solve(&at_faces(&case, &values), &changed(&case.job, &values), &go).unwrap();
        let points = one.agreements.iter().flat_map(|a| &a.points).map(|point| point.computed);
        points.chain(one.singles.iter().map(|single| single.computed)).map(Option::unwrap).collect()
    };
    let points = case.readings.stresses.iter().flat_map(|depth| &depth.measured.points);
    let errors: Vec<f64> = points
        .map(|point| point.plus_minus.unwrap())
        .chain(case.readings.single.iter().map(|single| single.plus_minus))
        .collect();
    let made = Surrogate::new((truth, half), [4, 4], full);
    let mut random = Random::new(9);
    let mut worst = 0.0_f64;
    for _ in 0..6 {
        let x = [0, 1].map(|k| truth[k] + half[k] * (2.0 * random.share() - 1.0));
        let off = made.at(&x).into_iter().zip(full(x)).zip(&errors);
        worst = off.map(|((a, b), error)| ((a - b) / error).abs()).fold(worst, f64::max);
    }
    let data = made.at(&truth);
    let mut held = [0; 2];
    for seed in 0..1000 {
        let mut random = Random::new(seed);
        let read = data
            .iter()
            .zip(&errors)
            .map(|(value, error)| [value + error * random.normal(), *error]);
        let fit = Fit { made: &made, data: read.collect() };
        let limits = [0, 1].map(|k| [truth[k] - half[k], truth[k] + half[k]]);
        let ends = Ends { iterations: 30, tolerance: 1e-12 };
        let best = least_squares(&fit, &truth, &limits, ends).unwrap();
        let certainty =
            Certainty::new(&best.deviations.columns, &[false; 2], 1.0, normal_quantile());
        for (k, count) in held.iter_mut().enumerate() {
            let off = (best.variables[k] - truth[k]).abs();
            *count += i32::from(off <= certainty.quantile * certainty.errors[k]);
        }
    }
    eprintln!("surrogate off by {worst:.3} of an error at most; held {held:?} of 1000");
    assert!(worst < 0.5, "{worst}");
    assert!(held.iter().all(|count| (850..=950).contains(count)), "{held:?}");
}

/// Stresses in the middle change by some 70 MPa for a coefficient of 0.1: with errors of 60 MPa they do not tell it.
#[test]
fn rough_stresses_in_the_middle_do_not_tell_friction() {
    let mut case = made(read(&[at(0.5).as_str(), FRICTION].concat()), 0.0, 1);
    for point in &mut case.readings.stresses[0].measured.points {
        point.plus_minus = Some(120.0);
    }
    let answer = found(&case);
    assert_eq!(answer.unknowns[0].interval, None);
    assert_eq!(answer.certainty.untold.len(), 1);
    assert!(sentences(&case, &answer).iter().any(|said| said.contains("do not tell `friction`")));
}

/// Runs a command in a folder with these files.
fn ran(command: &str, text: &str) -> (Option<i32>, String, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(
        folder.path().join("points.csv"),
        "distance,hoop,plus_minus\n0.4,-300,90\n1.2,-150,90\n",
    )
    .unwrap();
    fs::write(folder.path().join("rough.csv"), "distance,hoop\n0.4,-300\n").unwrap();
    fs::write(folder.path().join("x.toml"), text).unwrap();
    let ran = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args([command, "x.toml"])
        .current_dir(folder.path())
        .output()
        .unwrap();
    (ran.status.code(), String::from_utf8_lossy(&ran.stderr).into_owned(), folder)
}

#[test]
fn what_cannot_be_told_of_friction_is_refused_with_line_and_remedy() {
    let section = "[section]\nfriction = 0.05\n";
    let middle = at(0.5);
    for (text, said) in [
        (
            format!("{DISC}{FRICTION}"),
            "x.toml:17:8: `friction` cannot be inferred: the plane model has no friction",
        ),
        (
            format!("{DISC}{PULL}"),
            "[[reading]] is of a mandrel that is drawn, and a plane case has none",
        ),
        (format!("{DISC}{middle}"), "`depth_share` is given, and the plane model has one stress"),
        (
            format!("{RING}{FRICTION}")
                .replace("friction = 0.05", "friction_by_pressure = [[220, 0.06], [660, 0.04]]"),
            "`friction` cannot be inferred: the file gives it by pressure",
        ),
        (
            format!("{RING}[[unknown]]\nname = \"entry_face_share\"\n"),
            "`entry_face_share` cannot be inferred: a section says",
        ),
        (
            format!("{RING}{PULL}upset = 0.1\n"),
            "one reading cannot be both `pull_force` and `upset`",
        ),
        (format!("{RING}{PULL}depth = 1\n"), "`depth` says nothing about `pull_force`"),
        (format!("{RING}{}", BORES.replace("0.1", "1.1")), "`depth_share` is 1.1, outside 0 to 1"),
        (
            format!("{RING}{}", BORES.replace("face = \"exit\"", "face = \"far\"")),
            "`far` is no face",
        ),
        (format!("{RING}{}", PULL.replace("plus_minus = 30", "")), "reading 1 has no `plus_minus`"),
        (format!("{RING}[[reading]]\nplus_minus = 1\n"), "reading 1 has no `pull_force`"),
        (format!("{RING}{PULL}read_at = \"2-ream-A\"\n"), "`2-ream-A` is no stage of the section"),
        (
            format!("{RING}{}", middle.replace("points.csv", "rough.csv")),
            "stresses at a depth stand beside forces and diameters, and some have no `plus_minus`",
        ),
        (format!("{RING}{middle}face = \"entry\"\n"), "`face` is of the plane model"),
        (format!("{DISC}{section}{PULL}hole = \"B\"\n"), "`B` is no drawn hole"),
    ] {
        let (code, told, _) = ran("infer", &text);
        assert_eq!(code, Some(2), "{told}");
        assert!(told.contains(said) && told.contains("hint: "), "{said}: {told}");
        assert!(told.starts_with("error: x.toml:"), "{told}");
    }
}

#[test]
fn the_file_of_the_documents_is_read() {
    let page = include_str!("../../docs/infer.md");
    let block = page.split("```toml\n").find(|block| block.starts_with("title")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("x.toml"), block.split("```").next().unwrap()).unwrap();
    let case = read_measurements(&folder.path().join("x.toml")).unwrap();
    assert_eq!((case.readings.single.len(), case.unknowns.len()), (3, 2));
}

#[test]
fn a_plane_case_with_a_section_tells_friction_too() {
    let section = "[section]\nfriction = 0.08\nland = 1.5\nlead_angle = 4\ntrail_angle = 6\nouter_diameter = 30\n";
    // The pull of this draw at a friction of 0.08, from its own section.
    let text = DISC.replace("increments = 6", "increments = 32") + section;
    let case = hoopset::parse(&format!("{text}{PULL}{FRICTION}"), "x.toml").unwrap();
    let there = solve(&case, &case.job, &AtomicBool::new(false)).unwrap();
    let pull = there.singles[0].computed.unwrap();
    let measured = "[[measured]]\nfile = \"points.csv\"\ndepth_share = 0.5\n";
    let reading = PULL.replace("3000", &format!("{pull}"));
    let (code, told, folder) = ran("infer", &format!("{text}{measured}{reading}{FRICTION}"));
    assert_eq!(code, Some(0), "{told}");
    let answer = fs::read_to_string(folder.path().join("x-infer/infer.json")).unwrap();
    let answer: serde_json::Value = serde_json::from_str(&answer).unwrap();
    let [low, high] = [0, 1].map(|k| answer["unknowns"][0]["interval_90"][k].as_f64().unwrap());
    assert!(low < 0.08 && 0.08 < high && high - low < 0.02, "{low} {high}");
    for name in ["readings.csv", "band.csv", "measured.csv", "figures/hoop-A-depth-50.svg"] {
        assert!(folder.path().join("x-infer").join(name).is_file(), "{name}");
    }
}

#[test]
fn measured_points_stand_over_the_charts_of_a_section() {
    let (code, told, folder) = ran("section", &format!("{RING}{}", at(0.3)));
    assert_eq!(code, Some(0), "{told}");
    let at = folder.path().join("x-section");
    let chart = fs::read_to_string(at.join("figures/hoop-by-depth-1-draw-A.csv")).unwrap();
    assert!(chart.contains("measured (points.csv), 30 % of the depth"), "{chart}");
    let page = fs::read_to_string(at.join("section.html")).unwrap();
    assert!(page.contains("measured less computed, 2 of 2 points"));
    assert_eq!(fs::read_to_string(at.join("measured.csv")).unwrap().lines().count(), 3);
}
