//! Repairs and countersinks: a second draw after a ream, a countersink before and after a draw.

use approx::assert_relative_eq;
use hoopset::process::job::Numerics;
use hoopset::process::section::record::SectionSnapshot;
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{Face, SectionStage};
use hoopset::process::stage_error::StageError;
use hoopset::result::section::{SectionReading, read_section};

use crate::shop::{CAP, Keep, draw, job, mandrel, metal, run};

/// A repair: drawn, reamed, and drawn again with the next larger mandrel. The compression reaches
/// farther than after the first draw, as a second expansion of a reamed hole does in radial models.
fn a_second_draw_works(fineness: f64, friction: f64) {
    let stages = vec![
        draw(mandrel(5.7 * 1.04, friction), CAP, false),
        SectionStage::Ream { diameter: 6.2 },
        draw(mandrel(6.2 * 1.04, friction), CAP, false),
    ];
    let mut job = job(stages, metal());
    job.numerics = Numerics { fineness, increments: 4, ..job.numerics };
    let snapshots = run(job);
    let labels: Vec<&str> = snapshots.iter().map(|s| s.label.as_str()).collect();
    assert_eq!(labels, ["1-draw-A", "2-ream-A", "3-draw-A"]);
    let [first, reamed, second] = [0, 1, 2].map(|k| read_section(&snapshots[k]));
    let end = |reading: &SectionReading| {
        // From the axis: the bore has moved.
        let middle = &reading.paths[3];
        middle.points[0].r + middle.headline().depth_of_compression.unwrap()
    };
    assert!(end(&second) > end(&first), "{} after {}", end(&second), end(&first));
    assert!(second.gauge(0.5) > reamed.gauge(0.5) && second.gauge(0.5) < 6.2 * 1.04);
    let halvings = snapshots[2].travel.iter().map(|record| record.halvings).max();
    println!("fineness {fineness} friction {friction}: halvings {halvings:?}");
}

#[test]
fn a_second_draw_after_a_ream_drives_the_compression_farther() {
    a_second_draw_works(0.3, 0.0);
    a_second_draw_works(0.4, 0.1);
}

#[test]
#[ignore = "minutes: eight draws"]
fn second_draws_go_through_on_any_mesh() {
    for fineness in [0.5, 0.7] {
        for friction in [0.0, 0.1] {
            a_second_draw_works(fineness, friction);
        }
    }
}

/// A countersink before the draw, at either face, and one after it: the mandrel passes the cone by and
/// the bore below it is compressed as that of a plain hole is in its middle.
#[test]
fn a_countersunk_hole_can_be_drawn() {
    let sink = |face| SectionStage::Countersink { face, depth: 1.2, angle: 100.0_f64.to_radians() };
    let drawn = || draw(mandrel(5.7 * 1.04, 0.05), CAP, false);
    let small = |stages| {
        let mut job = job(stages, metal());
        job.numerics = Numerics { fineness: 0.4, increments: 4, ..job.numerics };
        job
    };
    let edge = |snapshot: &SectionSnapshot| read_section(snapshot).paths[3].headline().edge;
    for face in [Face::Entry, Face::Exit] {
        let after = run(small(vec![drawn(), sink(face)]));
        let before = run(small(vec![sink(face), drawn(), SectionStage::Ream { diameter: 6.05 }]));
        let plain = edge(&after[0]);
        for snapshot in [&after[1], &before[1], &before[2]] {
            let edge = edge(snapshot);
            println!("{}: {edge} plain {plain}", snapshot.label);
            assert!((edge - plain).abs() < 0.15 * plain.abs());
        }
        // The ream cuts the bore below the cone and leaves the cone.
        let cone = 5.7 + 2.0 * 1.2 * 50.0_f64.to_radians().tan();
        let reading = read_section(&before[2]);
        let diameters = reading.bore.iter().map(|at| at[1]);
        let [narrowest, widest] =
            [f64::min, f64::max].map(|of| diameters.clone().reduce(of).unwrap());
        assert_relative_eq!(narrowest, 6.05, max_relative = 2e-3);
        assert_relative_eq!(widest, cone, max_relative = 0.02);
    }
    // A ream that does not reach the bore is an error with a cone as without.
    let stages = vec![sink(Face::Entry), drawn(), SectionStage::Ream { diameter: 5.75 }];
    let error = SectionRun::new(small(stages)).unwrap().run(&mut Keep::default()).unwrap_err();
    assert!(matches!(error, StageError::NotCleanedUp { .. }), "{error}");
}
