//! The program as a user runs it: commands, exit codes, what is on disk afterwards.

#[path = "common/bracket.rs"]
mod bracket;
#[path = "common/program.rs"]
mod program;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use bracket::bracket;
use program::{files, hoopset};
use tempfile::TempDir;

/// A small section: a mandrel drawn forth and back, and a ream.
const DISC: &str = r#"
units = "mm-MPa"
plate = { outer_diameter = 20.0, thickness = 3.0, idealisation = "section", alloy = "2024-T351 plate" }
hole = [ { name = "A", starting_diameter = 5.70 } ]
stage = [
    { draw = "A", mandrel_diameter = 5.52, sleeve_thickness = 0.20 },
    { draw = "A", mandrel_diameter = 5.54, sleeve_thickness = 0.20, enters = "exit" },
    { ream = "A", diameter = 6.0 },
]
numerics = { fineness = 0.25, increments = 4, strains = "small" }
"#;

/// A small case: coarse, few increments, no bounding laws.
const QUICK: &str = bracket!(
    "Bracket, quick",
    r#"[[stage]]
expand = "A"
mandrel_diameter = 5.52
sleeve_thickness = 0.20
[[stage]]
ream = "A"
diameter = 6.00
[[stage]]
load = { tension = 80.0, along = "y" }"#,
    "0.5",
    "8"
);

/// A perfectly plastic ring under more pressure than it can carry: its limit is
/// (2/√3)·240·ln 2 = 192.1 MPa (Hill 1950).
const TOO_MUCH: &str = r#"title = "Ring beyond its limit"
units = "mm-MPa"
[plate]
outer_diameter = 40.0
thickness = 5.0
idealisation = "plane strain"
[material]
youngs_modulus = 210000.0
poissons_ratio = 0.3
yield_stress = 240.0
[[hole]]
name = "A"
starting_diameter = 20.0
[[stage]]
load = { pressure = 120.0, hole = "A" }
[[stage]]
load = { pressure = 230.0, hole = "A" }
[numerics]
strains = "small"              # Hill's limit speaks of small strains
fineness = 0.5
increments = 10
hardening_bracket = false
"#;

fn with_case(text: &str) -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let case = folder.path().join("quick.toml");
    fs::write(&case, text).expect("the case is written");
    (folder, case)
}

fn summary(results: &Path) -> serde_json::Value {
    let text = fs::read_to_string(results.join("summary.json")).expect("a summary");
    serde_json::from_str(&text).expect("valid JSON")
}

fn assert_same_files(one: &Path, other: &Path) {
    let (one, other) = (files(one), files(other));
    let names = |files: &[(String, Vec<u8>)]| -> Vec<String> {
        files.iter().map(|(name, _)| name.clone()).collect()
    };
    assert_eq!(names(&one), names(&other));
    for ((name, a), (_, b)) in one.iter().zip(&other) {
        assert!(a == b, "{name} differs");
    }
}

#[test]
fn a_run_writes_what_the_contract_names_and_any_thread_count_the_same_bytes() {
    let (folder, _) = with_case(QUICK);
    let one = hoopset(folder.path(), &["run", "quick.toml", "--out", "one", "--threads", "1"]);
    assert_eq!(one.status.code(), Some(0), "{}", String::from_utf8_lossy(&one.stderr));
    let two = hoopset(folder.path(), &["run", "quick.toml", "--out", "two", "--threads", "2"]);
    assert_eq!(two.status.code(), Some(0));
    let results = folder.path().join("one");
    for name in [
        "case.toml",
        "summary.json",
        "paths.csv",
        "history.csv",
        "timings.json",
        "report.html",
        "fields/1-expand-A-full.vtu",
        "fields/1-expand-A.vtu",
        "fields/2-ream-A.vtu",
        "fields/3-load-full.vtu",
        "fields/3-load.vtu",
    ] {
        assert!(results.join(name).is_file(), "{name} is missing");
    }
    let mut pictures = 0;
    for entry in fs::read_dir(results.join("figures")).expect("figures") {
        let path = entry.expect("an entry").path();
        pictures += usize::from(path.extension() == Some("png".as_ref()));
    }
    assert!(pictures >= 10, "{pictures}");
    assert_eq!(fs::read_to_string(results.join("case.toml")).expect("echo"), QUICK);
    let summary = summary(&results);
    assert_eq!(summary["complete"], true);
    let edge = &summary["stages"]["2-ream-A"]["paths"]["A"]["180"]["edge_hoop"];
    assert!(edge.as_f64().expect("a number") < -200.0, "{edge}");
    let told = String::from_utf8_lossy(&one.stdout);
    for word in ["After 2-ream-A", "retained", "compression", "depth", "time:", "results:"] {
        assert!(told.contains(word), "{word} is not in\n{told}");
    }
    assert_same_files(&results, &folder.path().join("two"));
}

/// Begins a command whose results go into `cut`, and interrupts it as soon as a stage has left its snapshot; the exit code.
fn cut_short(folder: &Path, [command, file]: [&str; 2], stage: &str) -> Option<i32> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args([command, file, "--out", "cut"])
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    let first = folder.join(format!("cut.partial/snapshots/{stage}.snapshot"));
    let patience = Instant::now();
    while !first.is_file() && patience.elapsed() < Duration::from_secs(120) {
        std::thread::sleep(Duration::from_millis(2));
    }
    let kill = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(kill.expect("kill runs").success());
    child.wait().expect("it ends").code()
}

#[test]
fn an_interrupted_run_keeps_its_stages_and_goes_on_to_the_same_bytes() {
    let (folder, _) = with_case(&QUICK.replace("increments = 8", "increments = 40"));
    let whole = hoopset(folder.path(), &["run", "quick.toml", "--out", "whole"]);
    assert_eq!(whole.status.code(), Some(0));

    let code = cut_short(folder.path(), ["run", "quick.toml"], "1-expand-A");
    let cut = folder.path().join("cut");
    if code == Some(130) {
        let summary = summary(&cut);
        assert_eq!(summary["complete"], false);
        assert_eq!(summary["status"], "interrupted");
        assert!(summary["stages"].get("1-expand-A").is_some());
    } else {
        // A fast machine may have finished before the signal came.
        assert_eq!(code, Some(0));
    }
    let again = hoopset(folder.path(), &["run", "quick.toml", "--out", "cut"]);
    assert_eq!(again.status.code(), Some(0));
    let told = String::from_utf8_lossy(&again.stderr);
    assert!(told.contains("finished stage"), "nothing was taken over:\n{told}");
    assert_same_files(&folder.path().join("whole"), &cut);
}

#[test]
fn an_interrupted_section_goes_on_to_the_same_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("disc.toml"), DISC).expect("written");
    let whole = hoopset(folder.path(), &["section", "disc.toml", "--out", "whole"]);
    assert_eq!(whole.status.code(), Some(0), "{}", String::from_utf8_lossy(&whole.stderr));
    let code = cut_short(folder.path(), ["section", "disc.toml"], "1-draw-A");
    let cut = folder.path().join("cut");
    if code == Some(130) {
        let told = fs::read_to_string(cut.join("section.json")).expect("what was finished");
        assert!(told.contains("1-draw-A") && !told.contains("2-draw-A"), "{told}");
    } else {
        assert_eq!(code, Some(0));
    }
    let go_on = |more: &[&str]| {
        let output =
            hoopset(folder.path(), &[&["section", "disc.toml", "--out", "cut"], more].concat());
        assert_eq!(output.status.code(), Some(0));
        assert_same_files(&folder.path().join("whole"), &cut);
        String::from_utf8(output.stderr).expect("text")
    };
    let told = go_on(&[]);
    assert!(told.contains("finished stage"), "nothing was taken over:\n{told}");
    // A stage that is not whole is computed again, and so is every one when that is asked for.
    let kept = cut.join("snapshots/2-draw-A.snapshot");
    let mut bytes = fs::read(&kept).expect("a snapshot");
    *bytes.last_mut().expect("bytes") ^= 1;
    fs::write(&kept, bytes).expect("written");
    let told = go_on(&[]);
    assert!(told.contains("2-draw-A.snapshot` is damaged") && told.contains("taking 1 "), "{told}");
    assert!(!go_on(&["--fresh"]).contains("taking"));
}

#[test]
fn a_failed_stage_keeps_what_was_computed_and_says_where_it_stopped() {
    let (folder, _) = with_case(TOO_MUCH);
    let output = hoopset(folder.path(), &["run", "quick.toml"]);
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{told}");
    // At the limit strains run away, or the iteration does not converge: rounding decides which is seen first.
    let collapses = told.contains("error: stage 2-load: the plate collapses: at 84 % of the phase")
        && told.contains("hint: check the load and its unit, or lower it");
    let stops = told.contains("error: stage 2-load: stopped at 83.")
        && told.contains("hint: the plate may have reached its limit load");
    assert!(collapses || stops, "{told}");
    let results = folder.path().join("quick-results");
    let summary = summary(&results);
    assert_eq!(summary["complete"], false);
    assert_eq!(summary["status"], "failed");
    assert!(summary["stages"].get("1-load").is_some());
    assert!(results.join("fields/2-load-last-good.vtu").is_file());
    let history = fs::read_to_string(results.join("history.csv")).expect("a history");
    let last = history.lines().last().expect("a row");
    assert!(last.starts_with("2-load,load-up,"), "{last}");
    // Hill's limit is 192.09 MPa; the last increment in equilibrium comes within 0.01 %.
    let share: f64 = last.split(',').nth(3).and_then(|cell| cell.parse().ok()).expect("a share");
    let pressure = 230.0 * share;
    assert!((pressure / 192.09 - 1.0).abs() < 1e-4, "{pressure}");
}

#[test]
fn bad_input_is_refused_before_anything_on_disk_is_touched() {
    let (folder, case) = with_case(QUICK);
    let good = hoopset(folder.path(), &["run", "quick.toml"]);
    assert_eq!(good.status.code(), Some(0));
    let before = files(&folder.path().join("quick-results"));
    fs::write(&case, QUICK.replace("thickness = 5.0", "thickness = -5.0")).expect("written");
    let bad = hoopset(folder.path(), &["run", "quick.toml"]);
    assert_eq!(bad.status.code(), Some(2));
    let told = String::from_utf8_lossy(&bad.stderr);
    assert!(told.starts_with("error: quick.toml:6:13: "), "{told}");
    assert!(told.contains("\nhint: "), "{told}");
    assert_eq!(files(&folder.path().join("quick-results")), before);
}

#[test]
fn check_meshes_and_draws_but_solves_nothing() {
    let (folder, _) = with_case(QUICK);
    let output = hoopset(folder.path(), &["check", "quick.toml"]);
    assert_eq!(output.status.code(), Some(0));
    let told = String::from_utf8_lossy(&output.stdout);
    for word in ["applied expansion 3.86 %", "edge margin e/D 2.33", "half the plate", "Jacobian"] {
        assert!(told.contains(word), "{word} is not in\n{told}");
    }
    assert!(folder.path().join("quick-mesh/mesh.png").is_file());
    assert!(!folder.path().join("quick-results").exists());
}

/// A section that is quick to mesh.
const SECTION: &str = r#"
title = "Lug, through the thickness"
units = "mm-MPa"

[plate]
outer_diameter = 40.0
thickness = 5.0
idealisation = "section"
alloy = "2024-T351 plate"

[numerics]
fineness = 0.25

[[hole]]
name = "A"
starting_diameter = 5.0

[[stage]]
draw = "A"
mandrel_diameter = 4.8
sleeve_thickness = 0.2

[[stage]]
ream = "A"
diameter = 5.4

[[stage]]
countersink = "A"
face = "exit"
depth = 1.0
angle = 100
"#;

#[test]
fn check_of_a_section_file_meshes_it_and_solves_nothing() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("lug.toml"), SECTION).expect("written");
    let output = hoopset(folder.path(), &["check", "lug.toml"]);
    let (told, said) =
        (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert_eq!(output.status.code(), Some(0), "{said}");
    // 4.8 + 2 · 0.2 over 5.0 is 4 %; the half angles and the land are the defaults of `docs/section.md`.
    for words in [
        "1-draw-A: tool 5.200 mm, applied expansion 4.00 %, land 2.500 mm, half angles 2.0° and 4.0°",
        "in at the entry face",
        "2-ream-A: to 5.400 mm, 0.400 mm of diameter beyond the 5.000 mm",
        "3-countersink-A: 100°, 1.000 mm below the exit face",
        "mesh of the section: ",
        "`hoopset section` takes about ",
    ] {
        assert!(told.contains(words), "{words} is not in\n{told}");
    }
    assert!(folder.path().join("lug-mesh/mesh.vtu").is_file());
    assert!(!folder.path().join("lug-section").exists());
}

#[test]
fn check_refuses_a_section_file_that_section_refuses_with_its_line() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let wrong = SECTION.replace("sleeve_thickness = 0.2", "sleeve_thickness = 0.05");
    fs::write(folder.path().join("lug.toml"), wrong).expect("written");
    let told = |command| {
        let output = hoopset(folder.path(), &[command, "lug.toml"]);
        assert_eq!(output.status.code(), Some(2), "{command}");
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let said = told("check");
    assert!(said.starts_with("error: lug.toml:20:"), "{said}");
    assert!(said.contains("no more than the hole of 5 mm"), "{said}");
    assert_eq!(said, told("section"));
    assert!(!folder.path().join("lug-mesh").exists());
}

#[test]
fn the_starter_is_a_case_and_is_never_overwritten() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let first = hoopset(folder.path(), &["starter", "mine.toml"]);
    assert_eq!(first.status.code(), Some(0));
    assert_eq!(hoopset(folder.path(), &["check", "mine.toml"]).status.code(), Some(0));
    fs::write(folder.path().join("mine.toml"), "# mine").expect("written");
    let second = hoopset(folder.path(), &["starter", "mine.toml"]);
    assert_eq!(second.status.code(), Some(2));
    let kept = fs::read_to_string(folder.path().join("mine.toml")).expect("still there");
    assert_eq!(kept, "# mine");
}

#[test]
fn the_starters_of_a_lot_are_one_that_is_read() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, more) in
        [("plate.toml", None), ("lot.toml", Some("--shop")), ("holes.csv", Some("--holes"))]
    {
        let all: Vec<&str> = ["starter", name].into_iter().chain(more).collect();
        let output = hoopset(folder.path(), &all);
        assert_eq!(output.status.code(), Some(0), "{name}");
    }
    let shop = hoopset::case::shop::read(&folder.path().join("lot.toml")).expect("a lot");
    assert_eq!(shop.holes.len(), 3);
    // What stands behind remarks is read as well.
    let all = hoopset::case::shop::SHOP_STARTER.replace("\n# ", "\n");
    fs::write(folder.path().join("lot.toml"), all).expect("written");
    hoopset::case::shop::read(&folder.path().join("lot.toml")).expect("every key");
}

#[test]
fn every_alloy_is_listed_with_a_source() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let output = hoopset(folder.path(), &["alloys"]);
    assert_eq!(output.status.code(), Some(0));
    let told = String::from_utf8_lossy(&output.stdout);
    for alloy in hoopset::material::library::alloys() {
        assert!(told.contains(&alloy.name), "{}", alloy.name);
        assert!(!alloy.sources.is_empty(), "{}", alloy.name);
    }
    assert_eq!(hoopset(folder.path(), &["alloys", "unobtainium"]).status.code(), Some(2));
}

#[test]
fn every_help_page_says_what_the_command_does() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (arguments, word) in [
        (vec!["--help"], "licensed engineering judgement"),
        (vec!["run", "--help"], "Exit codes"),
        (vec!["check", "--help"], "solve nothing"),
        (vec!["starter", "--help"], "never overwritten"),
        (vec!["alloys", "--help"], "source"),
    ] {
        let output = hoopset(folder.path(), &arguments);
        assert_eq!(output.status.code(), Some(0));
        // Help is wrapped to the width of the terminal.
        let told = String::from_utf8_lossy(&output.stdout)
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(told.contains(word), "{word} is not in\n{told}");
    }
}
