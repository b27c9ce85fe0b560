//! `hoopset life` as a user runs it.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const CASE: &str = r#"title = "Bracket, quick"
units = "mm-MPa"
[plate]
width = 40.0
height = 40.0
thickness = 5.0
alloy = "7075-T651 plate"
[[hole]]
name = "A"
at = [14.0, 20.0]
starting_diameter = 5.70
[[stage]]
expand = "A"
applied_expansion = 0.03
[life]
load = { tension = 190.0, along = "y" }
load_ratio = 0.1
initial_flaw = 1.2
detectable = 2.0
law = "walker"
toughness = 30.0
[numerics]
fineness = 0.5
increments = 8
hardening_bracket = false
"#;

fn hoopset(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap()
}

#[test]
fn the_command_runs_the_case_once_and_says_where_its_constants_come_from() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("bracket.toml"), CASE).unwrap();
    let first = hoopset(at, &["life", "bracket.toml"]);
    let said = String::from_utf8(first.stdout).unwrap();
    let errors = String::from_utf8(first.stderr).unwrap();
    assert_eq!(first.status.code(), Some(0), "{errors}");
    for needed in [
        "from memory",
        "of another product: 7075-T6",
        "life improvement factor",
        "Pulling equipment stores energy",
        "governing specification",
        "corner and surface cracks are outside",
    ] {
        assert!(said.contains(needed), "{needed}\n{said}");
    }
    let lives = at.join("bracket-life");
    let page = std::fs::read_to_string(lives.join("life.html")).unwrap();
    assert!(page.contains("from memory") && page.contains("Cautions") && !page.contains("<script"));
    // Six figures, all inside the page.
    assert_eq!(page.matches("src=\"data:image/png;base64,").count(), 6);
    assert!(!page.contains("http"));
    let json = std::fs::read_to_string(lives.join("life.json")).unwrap();
    let found: Value = serde_json::from_str(&json).unwrap();
    let origin = &found["growth_law"]["origin"];
    assert_eq!(origin["from_memory"], Value::Bool(true));
    assert_eq!(origin["another_product"], Value::Bool(true));
    assert!(found["life_improvement_factor"].as_f64().unwrap() > 1.0);
    assert_eq!(found["places"].as_array().unwrap().len(), 2, "0° and 180°, across the pull");
    let csv = std::fs::read_to_string(lives.join("life.csv")).unwrap();
    let head: Vec<&str> = csv.lines().next().unwrap().split(',').collect();
    let told = found["columns"]["life.csv"].as_object().unwrap();
    assert!(head.iter().all(|name| told.contains_key(*name)) && head.len() == told.len());
    assert!(csv.lines().count() > 200);

    // The stages are there now; the same bytes come out.
    let second = hoopset(at, &["life", "bracket.toml"]);
    assert_eq!(second.status.code(), Some(0));
    assert!(String::from_utf8(second.stderr).unwrap().contains("taking the stages from"));
    assert_eq!(std::fs::read_to_string(lives.join("life.json")).unwrap(), json);
    assert_eq!(std::fs::read_to_string(lives.join("life.csv")).unwrap(), csv);
}

#[test]
fn a_case_without_a_life_table_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (before, _) = CASE.split_once("[life]").unwrap();
    std::fs::write(at.join("bracket.toml"), before).unwrap();
    let refused = hoopset(at, &["life", "bracket.toml"]);
    assert_eq!(refused.status.code(), Some(2));
    let said = String::from_utf8(refused.stderr).unwrap();
    assert!(said.contains("has no [life] table") && said.contains("hint:"), "{said}");
    assert_eq!(std::fs::read_dir(at).unwrap().count(), 1);
}
