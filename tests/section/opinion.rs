//! A draw without friction against a general-purpose finite-element library.
//!
//! Source: the stored results of `verification/second-opinion/draw.py`: the library's shape functions,
//! another return map, a penalty for the contact. The page there has the table and what is left.

use std::fs;
use std::path::Path;

use hoopset::case::section::parse;
use hoopset::result::section::hoop_by_row;

use crate::shop::{mean, run};

#[test]
fn a_library_finds_the_same_at_entry_middle_and_exit() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("verification/second-opinion");
    let text = fs::read_to_string(folder.join("drawn-section-hoopset.toml")).unwrap();
    let mut job = parse(&text, "drawn-section-hoopset.toml").unwrap().job;
    // As many as the library made: 326.
    job.numerics.increments = 14;
    let snapshot = run(job).remove(0);
    assert!((310..340).contains(&snapshot.travel.len()), "{}", snapshot.travel.len());
    let ours: Vec<[f64; 2]> =
        hoop_by_row(&snapshot).iter().map(|(depth, row)| [*depth, row.at(0.0).unwrap()]).collect();
    let table =
        fs::read_to_string(folder.join("results/drawn-section-library-1-bore.csv")).unwrap();
    let theirs: Vec<[f64; 2]> = table
        .lines()
        .skip(1)
        .map(|line| {
            let (depth, hoop) = line.split_once(',').unwrap();
            [depth.parse().unwrap(), hoop.parse().unwrap()]
        })
        .collect();
    // Entry face as paths read it, entry skin, middle, exit face: 2 % of the yield stress of 350 MPa.
    for (from, to) in [(0.0, 0.005), (0.0, 0.05), (0.45, 0.55), (0.995, 1.0)] {
        let (found, expected) = (mean(&ours, from, to), mean(&theirs, from, to));
        println!("{from} to {to}: {found:.1} for {expected:.1}");
        assert!((found - expected).abs() < 7.0, "{found} for {expected} at {from}");
    }
    let pull = snapshot.travel.iter().map(|record| record.pull_force).fold(0.0, f64::max);
    // 1 %: the largest of forces that jump as nodes come and go.
    assert!((pull - 1053.74).abs() < 10.5, "{pull}");
}
