//! From measured residual stresses back to the metal and the work: known values come back, points that
//! cannot tell are named, and the command as a user runs it.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "infer/friction.rs"]
mod friction;
#[path = "infer/gauges.rs"]
mod gauges;
#[path = "infer/life.rs"]
mod life;
#[path = "infer/radial.rs"]
mod radial;
#[path = "infer/surrogate.rs"]
mod surrogate;

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use rayon::prelude::*;

use hoopset::case::Case;
use hoopset::case::unknown::{Asked, UnknownTable};
use hoopset::numeric::random::Random;
use hoopset::process::measured::{Averaged, Component, Measured, MeasuredPoint};
use hoopset::study::infer::{InferError, Inferred, changed, infer, solve};

/// A round plate, coarse; stresses are those of one path.
const DISC: &str = "units = \"mm-MPa\"\n\
    [plate]\nouter_diameter = 48\nthickness = 4\nalloy = \"2024-T351 plate\"\n\
    [[hole]]\nname = \"A\"\nstarting_diameter = 6\n\
    [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n\
    [numerics]\nfineness = 0.25\nincrements = 6\nhardening_bracket = false\n";

const TRUTH: [(Asked, f64); 2] = [(Asked::KinematicShare, 0.35), (Asked::AppliedExpansion, 0.036)];

/// The case with measurements made of the truth, with this scatter.
fn twin(distances: &[f64], error: f64, seed: u64) -> Case {
    let mut case = hoopset::parse(DISC, "disc.toml").unwrap();
    let ask = |asked| UnknownTable { asked, expected: None };
    case.unknowns = TRUTH.map(|(asked, _)| ask(asked)).to_vec();
    let point = |distance: &f64| MeasuredPoint {
        hole: None,
        angle_deg: None,
        distance: *distance,
        stress: 0.0,
        plus_minus: Some(error.max(1e-3)),
    };
    case.measured = vec![Measured {
        label: "made".to_owned(),
        points: distances.iter().map(point).collect(),
        component: Component::Hoop,
        averaged: Averaged::Spot(0.5),
        face_share: None,
    }];
    let truth = solve(&case, &changed(&case.job, &TRUTH), &AtomicBool::new(false)).unwrap();
    let mut random = Random::new(seed);
    for (point, there) in case.measured[0].points.iter_mut().zip(&truth.agreements[0].points) {
        point.stress = there.computed.unwrap() + error * random.normal();
    }
    case
}

fn found(case: &Case) -> Inferred {
    infer(case, &AtomicBool::new(false), &|_| ()).unwrap()
}

const NEAR: [f64; 8] = [0.2, 0.5, 0.9, 1.4, 2.0, 2.8, 4.0, 6.0];

#[test]
fn without_scatter_the_unknowns_come_back_to_a_millionth() {
    let answer = found(&twin(&NEAR, 0.0, 1));
    for (unknown, (_, truth)) in answer.unknowns.iter().zip(TRUTH) {
        assert!((unknown.value / truth - 1.0).abs() < 1e-6, "{} {truth}", unknown.value);
    }
    assert!(!answer.beyond_front && answer.certainty.untold.is_empty());
}

/// A count of 100 with chance 0.9 has a standard deviation of 3.
#[test]
#[ignore = "a hundred fits, two minutes on a quiet machine of two cores"]
fn nine_of_ten_intervals_hold_the_truth() {
    let mut held = [0; 2];
    let answers: Vec<Inferred> =
        (0..100).into_par_iter().map(|seed| found(&twin(&NEAR, 10.0, seed))).collect();
    for answer in answers {
        for ((count, unknown), (_, truth)) in held.iter_mut().zip(&answer.unknowns).zip(TRUTH) {
            let [low, high] = unknown.interval.unwrap();
            *count += i32::from(low <= truth && truth <= high);
        }
    }
    eprintln!("{held:?}");
    assert!(held.iter().all(|count| (85..=95).contains(count)), "{held:?}");
}

#[test]
fn points_beyond_the_plastic_front_cannot_tell() {
    let answer = found(&twin(&[14.0, 16.0, 18.0, 20.0], 5.0, 3));
    assert!(answer.beyond_front);
    assert!(!answer.certainty.untold.is_empty());
    assert!(answer.unknowns.iter().any(|unknown| unknown.interval.is_none()));
}

/// More points, narrower intervals; a point where it is said to help most helps more than one far off.
#[test]
fn the_further_point_that_is_named_narrows_the_field() {
    let answer = found(&twin(&[1.0, 3.0, 5.0], 10.0, 4));
    let best = &answer.further[0];
    assert!(best.left < 1.0 && best.left > 0.0);
    let far = twin(&[1.0, 3.0, 5.0, 18.0], 10.0, 4);
    let near = twin(&[1.0, 3.0, 5.0, best.distance], 10.0, 4);
    let variance = |answer: &Inferred| -> f64 {
        answer.bands[0].points.iter().filter(|p| p[0] <= 3.0).map(|p| p[2] * p[2]).sum()
    };
    assert!(variance(&found(&near)) < variance(&found(&far)));
}

#[test]
fn three_unknowns_take_less_than_a_minute_and_the_command_writes_its_files() {
    let folder = tempfile::tempdir().unwrap();
    let path: &Path = folder.path();
    let made = twin(&NEAR, 5.0, 8);
    let mut table = String::from("distance,hoop,plus_minus\n");
    for point in &made.measured[0].points {
        writeln!(table, "{},{},5", point.distance, point.stress).unwrap();
    }
    fs::write(path.join("points.csv"), table).unwrap();
    let unknowns = "[[measured]]\nfile = \"points.csv\"\nspot = 0.5\n\
         [[unknown]]\nname = \"kinematic_share\"\n\
         [[unknown]]\nname = \"applied_expansion\"\nexpected = 0.036\nplus_minus = 0.0005\n\
         [[unknown]]\nname = \"yield_stress\"\n";
    fs::write(path.join("disc.toml"), format!("{DISC}{unknowns}")).unwrap();
    let begin = Instant::now();
    let run = |arguments: &[&str]| {
        Command::new(env!("CARGO_BIN_EXE_hoopset"))
            .args(arguments)
            .current_dir(path)
            .output()
            .unwrap()
    };
    let ran = run(&["infer", "disc.toml"]);
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let took = begin.elapsed().as_secs_f64();
    eprintln!("{took:.1} s\n{}", String::from_utf8_lossy(&ran.stdout));
    assert!(took < 60.0, "{took}");
    for name in ["infer.json", "infer.html", "band.csv", "measured.csv"] {
        assert!(path.join("disc-infer").join(name).is_file(), "{name}");
    }
    for (old, new, place) in [
        ("kinematic_share", "share", "wrong.toml:20:8: `share` is no unknown"),
        ("spot = 0.5", "spot = 0.5\nface = \"exit\"", "`exit` is no face"),
        (
            "kinematic_share",
            "friction",
            "`friction` cannot be inferred: the plane model has no friction",
        ),
        ("kinematic_share", "yield_stress", "`yield_stress` is asked for twice"),
        ("plus_minus = 0.0005\n", "", "unknown 2 has no `plus_minus`"),
        ("spot = 0.5", "spot = 0.5\ngauge_length = 1", "`spot` and `gauge_length` both say"),
    ] {
        fs::write(path.join("wrong.toml"), format!("{DISC}{}", unknowns.replace(old, new)))
            .unwrap();
        let ran = run(&["infer", "wrong.toml"]);
        let said = String::from_utf8_lossy(&ran.stderr).into_owned();
        assert_eq!(ran.status.code(), Some(2), "{said}");
        assert!(said.contains(place) && said.contains("hint: "), "{place}: {said}");
    }
}

#[test]
fn a_case_that_asks_nothing_is_told_so() {
    let mut case = twin(&NEAR, 0.0, 1);
    let asked = std::mem::take(&mut case.unknowns);
    let of = |case: &Case| infer(case, &AtomicBool::new(false), &|_| ()).unwrap_err();
    assert_eq!(of(&case), InferError::NothingAsked);
    case.unknowns = asked;
    case.measured[0].points.truncate(2);
    assert_eq!(of(&case), InferError::TooFewPoints([2, 2]));
    case.measured.clear();
    assert_eq!(of(&case), InferError::NothingMeasured);
}
