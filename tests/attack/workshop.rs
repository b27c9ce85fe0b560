//! A folder with a small case, and the ways to look at the answer of the program.

use std::fs;
use std::path::Path;
use std::process::Output;

use hoopset::numeric::random::Random;
use tempfile::TempDir;

use crate::bracket::bracket;

pub(crate) use crate::process::{files, hoopset, program};

/// A small case: coarse, few increments, no bounding laws.
pub(crate) const QUICK: &str = bracket!(
    "Bracket, quick",
    r#"[[stage]]
expand = "A"
mandrel_diameter = 5.52
sleeve_thickness = 0.20
[[stage]]
ream = "A"
diameter = 6.00"#,
    "0.25",
    "8"
);

/// A folder with the small case as `quick.toml`.
pub(crate) fn with_case(text: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("quick.toml"), text).unwrap();
    folder
}

/// Names of the files in which two folders differ, one that has a file and one that has not included.
pub(crate) fn differences(one: &Path, other: &Path) -> Vec<String> {
    let (one, other) = (files(one), files(other));
    let missing = |from: &[(String, Vec<u8>)], file: &(String, Vec<u8>)| !from.contains(file);
    let mut names: Vec<String> = one
        .iter()
        .filter(|file| missing(&other, file))
        .chain(other.iter().filter(|file| missing(&one, file)))
        .map(|(name, _)| name.clone())
        .collect();
    names.sort();
    names.dedup();
    names
}

/// What went to standard error, in words; a panic fails the test.
pub(crate) fn told(output: &Output) -> String {
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!text.contains("panicked"), "{text}");
    assert_ne!(output.status.code(), Some(101), "{text}");
    text
}

/// A whole number below `bound`.
pub(crate) fn below(random: &mut Random, bound: usize) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let place = (random.share() * bound as f64) as usize;
    place.min(bound - 1)
}
