//! Damaged snapshots: a rerun never shows what a damaged file says.

use std::fs;

use hoopset::numeric::random::Random;

use crate::workshop::{QUICK, below, differences, hoopset, told, with_case};

/// One wound: a flipped bit, a cut, or bytes in between.
fn damage(bytes: &mut Vec<u8>, random: &mut Random) {
    let at = below(random, bytes.len());
    match below(random, 4) {
        0 => bytes.truncate(at),
        1 => bytes.insert(at, 0x5a),
        _ => bytes[at] ^= 1 << below(random, 8),
    }
}

fn attack(rounds: usize, seed: u64) {
    let folder = with_case(QUICK);
    let run = |out: &str| hoopset(folder.path(), &["run", "quick.toml", "--out", out]);
    assert_eq!(run("whole").status.code(), Some(0));
    let whole = folder.path().join("whole");
    assert_eq!(run("hurt").status.code(), Some(0));
    let hurt = folder.path().join("hurt");
    assert_eq!(differences(&whole, &hurt), Vec::<String>::new());
    let mut random = Random::new(seed);
    let names = ["1-expand-A-full", "1-expand-A", "2-ream-A"];
    for round in 0..rounds {
        let name = names[below(&mut random, names.len())];
        let path = hurt.join(format!("snapshots/{name}.snapshot"));
        let mut bytes = fs::read(&path).unwrap();
        damage(&mut bytes, &mut random);
        fs::write(&path, &bytes).unwrap();
        let output = run("hurt");
        let told = told(&output);
        assert_eq!(output.status.code(), Some(0), "round {round}: {told}");
        assert_eq!(differences(&whole, &hurt), Vec::<String>::new(), "round {round}, {name}");
    }
}

#[test]
fn a_damaged_snapshot_changes_nothing() {
    attack(12, 14);
}

#[test]
#[ignore = "part of the long attack"]
fn a_damaged_snapshot_changes_nothing_many_times() {
    attack(1000, 15);
}

#[test]
fn a_damaged_snapshot_is_told() {
    let folder = with_case(QUICK);
    assert_eq!(hoopset(folder.path(), &["run", "quick.toml"]).status.code(), Some(0));
    let path = folder.path().join("quick-results/snapshots/2-ream-A.snapshot");
    let mut bytes = fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&path, &bytes).unwrap();
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = told(&output);
    assert!(told.contains("2-ream-A.snapshot` is damaged and is computed again"), "{told}");
}

#[test]
fn bounding_laws_of_an_earlier_run_are_taken_when_whole_and_computed_again_when_not() {
    let folder = with_case(&QUICK.replace("hardening_bracket = false", "hardening_bracket = true"));
    let run = |out: &str| hoopset(folder.path(), &["run", "quick.toml", "--out", out]);
    let (whole, again) = (folder.path().join("whole"), folder.path().join("again"));
    for out in ["whole", "again", "again"] {
        let output = run(out);
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    }
    assert_eq!(differences(&whole, &again), Vec::<String>::new());
    let path = again.join("snapshots/bound-kinematic.snapshot");
    let mut bytes = fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    fs::write(&path, &bytes).unwrap();
    let output = run("again");
    let told = told(&output);
    assert!(told.contains("bound-kinematic.snapshot` is damaged and is computed again"), "{told}");
    assert_eq!(differences(&whole, &again), Vec::<String>::new());
}
