//! Life of a hole whose metal and expansion were inferred, and the share of the entry face.

use std::sync::atomic::AtomicBool;

use hoopset::case::Case;
use hoopset::case::unknown::{Asked, UnknownTable};
use hoopset::numeric::random::Random;
use hoopset::process::measured::{Averaged, Component, Measured, MeasuredPoint};
use hoopset::study::infer::{InferError, at_faces, changed, infer, solve};
use hoopset::study::lives::{lives, plan};

use crate::{found, twin};

/// A hole far from every edge, coarse, with a crack that starts there.
const WIDE: &str = "units = \"mm-MPa\"\n\
    [plate]\nwidth = 120\nheight = 120\nthickness = 5\nalloy = \"2024-T351 plate\"\n\
    [[hole]]\nname = \"A\"\nat = [60, 60]\nstarting_diameter = 5.7\n\
    [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\n\
    [[stage]]\nream = \"A\"\ndiameter = 6.0\n\
    [life]\nload = { tension = 190.0, along = \"y\" }\nload_ratio = 0.1\npath = [0.0]\n\
    initial_flaw = 0.6\ndetectable = 2.0\npart_through = []\n\
    [numerics]\nfineness = 0.3\nincrements = 6\nhardening_bracket = false\n";

const TRUTH: [(Asked, f64); 2] = [(Asked::KinematicShare, 0.4), (Asked::AppliedExpansion, 0.037)];

/// The case with points made of the truth along the path of the crack, and the life of the truth.
fn wide(distances: &[f64], error: f64, seed: u64) -> (Case, f64) {
    let mut case = hoopset::parse(WIDE, "wide.toml").unwrap_or_else(|wrong| panic!("{wrong}"));
    case.unknowns = TRUTH.map(|(asked, _)| UnknownTable { asked, expected: None }).to_vec();
    let point = |distance: &f64| MeasuredPoint {
        hole: None,
        angle_deg: Some(0.0),
        distance: *distance,
        stress: 0.0,
        plus_minus: Some(error),
    };
    case.measured = vec![Measured {
        label: "made".to_owned(),
        points: distances.iter().map(point).collect(),
        component: Component::Hoop,
        averaged: Averaged::Spot(0.5),
        face_share: None,
    }];
    let go = AtomicBool::new(false);
    let truth = solve(&case, &changed(&case.job, &TRUTH), &go).unwrap();
    let mut random = Random::new(seed);
    for (point, there) in case.measured[0].points.iter_mut().zip(&truth.agreements[0].points) {
        point.stress = there.computed.unwrap() + error * random.normal();
    }
    let own = Case { job: truth.job.clone(), ..case.clone() };
    let snapshots = std::slice::from_ref(&truth.snapshot);
    let life = lives(&own, plan(&own).unwrap(), snapshots, &[], &go).unwrap().expanded_life();
    (case, life)
}

#[test]
fn the_interval_of_the_life_holds_the_life_of_the_truth() {
    let (case, truth) = wide(&[0.3, 0.7, 1.2, 2.0, 3.0, 4.5, 7.0], 10.0, 5);
    let answer = infer(&case, &AtomicBool::new(false), &|_| ()).unwrap();
    let [life, low, high] = answer.life.unwrap();
    eprintln!("life {life:.0}, {low:.0} to {high:.0}, truth {truth:.0}");
    assert!(low < truth && truth < high && low < life && life < high);
    // Ten MPa a point leave the life within a factor of ten, as a crack in a compressed edge lives by a high power of it.
    assert!(high / low < 10.0 && high / low > 1.5, "{low} {high}");

    // A point where it is said to help the life most narrows it more than one far from the crack, by about as much
    // as is said: the search moves the answer, and with it the slopes.
    let best = answer.further_for_life.unwrap();
    let width = |more: f64| {
        let mut more_points = case.clone();
        let mut point = case.measured[0].points[0].clone();
        let at = [(Asked::KinematicShare, 0.4), (Asked::AppliedExpansion, 0.037)];
        (point.distance, point.angle_deg) = (more, Some(best.angle_deg));
        more_points.measured[0].points = vec![point.clone()];
        let job = changed(&case.job, &at);
        let there = solve(&more_points, &job, &AtomicBool::new(false)).unwrap();
        point.stress = there.agreements[0].points[0].computed.unwrap();
        more_points.measured[0].points = case.measured[0].points.clone();
        more_points.measured[0].points.push(point);
        let [_, low, high] =
            infer(&more_points, &AtomicBool::new(false), &|_| ()).unwrap().life.unwrap();
        (high / low).ln()
    };
    let before = (high / low).ln();
    let (near, far) = (width(best.distance), width(25.0));
    let left = best.life_left.unwrap();
    eprintln!(
        "at {:.2} mm {left:.3} of the variance left, found {:.3}; far {:.3}",
        best.distance,
        (near / before).powi(2),
        (far / before).powi(2)
    );
    assert!(near < far && ((near / before).powi(2) - left).abs() < 0.15);
}

/// Points through the thickness tell the work, points at the face then its share. Without scatter it comes back to
/// what the solver leaves: an increment ends when its next correction is below 1e-5 of it, which makes solutions beside
/// the truth rough by as much.
#[test]
fn the_share_of_the_entry_face_comes_back() {
    let mut case = twin(&[0.2, 0.5, 0.9, 1.4, 2.0, 2.8, 4.0, 6.0], 0.0, 1);
    let share = 0.55;
    case.unknowns.push(UnknownTable { asked: Asked::EntryFaceShare, expected: None });
    let mut face = case.measured[0].clone();
    face.face_share = Some(0.45);
    for (point, through) in face.points.iter_mut().zip(&case.measured[0].points) {
        point.stress = share * through.stress;
    }
    case.measured.push(face);
    let answer = found(&case);
    let own = answer.unknowns.last().unwrap();
    assert!((own.value / share - 1.0).abs() < 2e-5, "{}", own.value);
    assert!(own.interval.is_some());
    let there = at_faces(&case, &[(Asked::EntryFaceShare, 0.3)]);
    assert_eq!(there.measured.iter().map(|m| m.face_share).collect::<Vec<_>>(), [None, Some(0.3)]);

    // At the face alone nothing parts the share from the size of the stress.
    case.measured.remove(0);
    let alone = found(&case);
    assert!(
        !alone.certainty.untold.is_empty()
            || alone.unknowns[2].interval.unwrap()[1] - alone.unknowns[2].interval.unwrap()[0]
                > 1e-4
    );

    case.measured[0].face_share = None;
    let error = infer(&case, &AtomicBool::new(false), &|_| ()).unwrap_err();
    assert!(
        matches!(error, InferError::Missing(why) if why.contains("face = \"entry\"")),
        "{error}"
    );
}
