//! Work on a section that is taken up behind a stage goes on as if it had never been left, to the last bit.

use hoopset::process::job::Numerics;
use hoopset::process::section::observer::SectionEnding;
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{Face, Rim, SectionJob, SectionStage};

use crate::shop::{CAP, Keep, draw, isotropic, job, mandrel, metal, run};

/// Does all of `job`, and again from behind each of its stages.
fn taken_up_is_the_same(job: &SectionJob) {
    let whole = run(job.clone());
    for (place, left) in whole.iter().enumerate().filter(|(_, left)| !left.loaded) {
        let mut keep = Keep::default();
        let mut rest = SectionRun::resume(job.clone(), left.clone()).unwrap();
        assert_eq!(rest.run(&mut keep).unwrap(), SectionEnding::Done);
        let expected = &whole[place + 1..];
        assert_eq!(keep.snapshots.len(), expected.len(), "behind {}", left.label);
        for (found, expected) in keep.snapshots.iter().zip(expected) {
            // Not by their values: millions of them would be printed.
            assert!(found == expected, "{} behind {}", expected.label, left.label);
        }
    }
}

#[test]
fn cuts_are_taken_up() {
    let stages = vec![
        SectionStage::Grow { diameter: 5.7 * 1.04 },
        SectionStage::Spotface { face: Face::Exit, depth: 0.5, diameter: 12.0 },
        SectionStage::Ream { diameter: 6.1 },
        SectionStage::Countersink { face: Face::Entry, depth: 0.6, angle: 100.0_f64.to_radians() },
    ];
    let mut job = job(stages, isotropic());
    job.part.rim = Rim::Flat;
    taken_up_is_the_same(&job);
}

/// Nothing is cut between the draws, so that the second begins with the equations of the first.
#[test]
fn a_draw_is_taken_up_behind_another() {
    let tool = || mandrel(5.7 * 1.04, 0.05);
    let stages = vec![draw(tool(), CAP, false), draw(tool(), CAP, true)];
    let mut job = job(stages, metal());
    job.numerics = Numerics { fineness: 0.25, increments: 4, ..job.numerics };
    taken_up_is_the_same(&job);
}
