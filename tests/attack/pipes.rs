//! Closed and full standard output: the results are whole all the same.

use std::fs::OpenOptions;
use std::process::Stdio;

use crate::workshop::{QUICK, differences, hoopset, program, told, with_case};

/// Every command that prints, in a folder with a case and its results.
const COMMANDS: [&[&str]; 6] = [
    &["run", "quick.toml", "--out", "again"],
    &["check", "quick.toml"],
    &["alloys"],
    &["alloys", "2024-T351 plate"],
    &["verify", "--only", "thick-cylinder", "--quick"],
    &["--help"],
];

#[test]
fn a_closed_pipe_ends_quietly_and_loses_nothing() {
    let folder = with_case(QUICK);
    assert_eq!(hoopset(folder.path(), &["run", "quick.toml"]).status.code(), Some(0));
    for arguments in COMMANDS {
        let mut child = program(folder.path())
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let told = told(&output);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {told}");
        assert!(!told.contains("error"), "{arguments:?}: {told}");
    }
    let (first, again) = (folder.path().join("quick-results"), folder.path().join("again"));
    assert_eq!(differences(&first, &again), Vec::<String>::new());
}

#[test]
fn a_full_output_is_told_and_the_results_are_whole() {
    let folder = with_case(QUICK);
    let full = || OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = program(folder.path()).args(["run", "quick.toml"]).stdout(full()).output();
    let output = output.unwrap();
    let told = told(&output);
    assert_eq!(output.status.code(), Some(1), "{told}");
    assert!(told.contains("error: cannot write to standard output"), "{told}");
    assert!(folder.path().join("quick-results/summary.json").is_file(), "{told}");
    let output = program(folder.path()).args(["alloys"]).stdout(full()).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn a_closed_error_output_loses_nothing() {
    let folder = with_case(QUICK);
    let mut child = program(folder.path())
        .args(["run", "quick.toml"])
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stderr.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
    assert!(folder.path().join("quick-results/summary.json").is_file());
}
