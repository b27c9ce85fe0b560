//! A run that is killed at any moment: the next one finds what is whole, and ends with the same files.

use std::time::Duration;

use hoopset::numeric::random::Random;

use crate::workshop::{QUICK, below, differences, hoopset, program, told, with_case};

/// Kills a run `times` at random moments, lets the last one finish, and compares with an undisturbed run.
fn kill(times: usize, seed: u64) {
    let folder = with_case(QUICK);
    let undisturbed = hoopset(folder.path(), &["run", "quick.toml", "--out", "whole"]);
    assert_eq!(undisturbed.status.code(), Some(0), "{}", told(&undisturbed));
    let mut random = Random::new(seed);
    for _ in 0..times {
        let mut child = program(folder.path())
            .args(["run", "quick.toml", "--out", "killed"])
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(below(&mut random, 400) as u64));
        // SIGKILL: nothing of the program runs any more.
        child.kill().unwrap();
        child.wait().unwrap();
    }
    let output = hoopset(folder.path(), &["run", "quick.toml", "--out", "killed"]);
    let told = told(&output);
    assert_eq!(output.status.code(), Some(0), "{told}");
    let mut differ = differences(&folder.path().join("whole"), &folder.path().join("killed"));
    differ.retain(|name| !name.ends_with("timings.json"));
    assert_eq!(differ, Vec::<String>::new(), "seed {seed}");
    for ending in ["partial", "leftover", "lock", "replaced"] {
        let left = folder.path().join(format!("killed.{ending}"));
        assert!(!left.exists(), "{}", left.display());
    }
}

#[test]
fn a_killed_run_goes_on_to_the_same_files() {
    kill(4, 1);
}

#[test]
#[ignore = "an hour"]
fn a_killed_run_goes_on_to_the_same_files_at_length() {
    for seed in 2..400 {
        kill(8, seed);
    }
}
