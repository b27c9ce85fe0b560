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
    let measured = "[[measured]]\nfile = \"strips.csv\"\nlabel = \"strips\"\n";
    std::fs::write(at.join("bracket.toml"), format!("{CASE}{measured}")).unwrap();
    std::fs::write(at.join("strips.csv"), "distance,hoop\n0.5,-300\n1.5,-150\n").unwrap();
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
        "how much less is an assumption here",
    ] {
        assert!(said.contains(needed), "{needed}\n{said}");
    }
    let lives = at.join("bracket-life");
    let page = std::fs::read_to_string(lives.join("life.html")).unwrap();
    assert!(page.contains("from memory") && page.contains("Cautions") && !page.contains("<script"));
    // The plate, six figures of the through crack, and four of the corner crack; that of the ends of each quantity is
    // left out when the crack in the middle of them stops. All inside the page.
    assert!((10..=11).contains(&page.matches("src=\"data:image/png;base64,").count()));
    assert!(!page.contains("http"));
    // Measured points over the stress that the crack grows in, and how far it is from them.
    let line = std::fs::read_to_string(lives.join("figures/hoop-on-crack-line.csv")).unwrap();
    assert!(line.contains("strips") && page.contains("measured less computed, 2 of 2 points"));
    let json = std::fs::read_to_string(lives.join("life.json")).unwrap();
    let found: Value = serde_json::from_str(&json).unwrap();
    let origin = &found["growth_law"]["origin"];
    assert_eq!(origin["from_memory"], Value::Bool(true));
    assert_eq!(origin["another_product"], Value::Bool(true));
    assert!(found["life_improvement_factor"].as_f64().unwrap() > 1.0);
    let places: Vec<[&str; 1]> = found["places"]
        .as_array()
        .unwrap()
        .iter()
        .map(|place| [place["origin"].as_str().unwrap()])
        .collect();
    assert_eq!(
        places,
        [["hole"], ["hole"], ["plate edge"]],
        "0° and 180° across the pull, and 180°"
    );
    // The headline keeps its range, its credit and its weakness with it, on the page and in the terminal.
    for needed in
        ["of the residual stress)", "Conservative practice would credit", "is a through crack"]
    {
        assert!(said.contains(needed), "{needed}");
    }
    let boxed = page.split("class=\"headline\">").nth(1).unwrap().split("</p>").next().unwrap();
    assert!(boxed.contains("Conservative practice") && boxed.contains("through crack"), "{boxed}");
    let shares: Vec<f64> = found["shares_of_residual_stress"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["expanded_cycles"].as_f64().unwrap_or(f64::INFINITY))
        .collect();
    assert!(shares.len() == 3 && shares[0] >= shares[1] && shares[1] > shares[2], "{shares:?}");
    assert_eq!(found["relaxation"]["settled"], Value::Bool(true));
    // The corner crack stands beside the through crack, with its assumption and its band.
    assert!(said.contains("corner crack at the entry face of the same size"));
    assert!(said.contains("is an assumption"));
    let corner = &found["corner_crack"];
    let plain = corner["plain_cycles"].as_f64().unwrap();
    assert!(
        plain > found["plain_cycles"].as_f64().unwrap(),
        "a quarter of a penny grows more slowly"
    );
    assert!(corner["expanded_cycles"].as_f64().is_none_or(|cycles| cycles > plain));
    assert_eq!(corner["places"].as_array().unwrap().len(), 2);
    let sizes = std::fs::read_to_string(lives.join("corner.csv")).unwrap();
    let head: Vec<&str> = sizes.lines().next().unwrap().split(',').collect();
    assert_eq!(
        head,
        ["hole", "angle_deg", "crack", "state", "cycles", "bore_length", "face_length"]
    );
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
    // What the load leaves is taken from the last lives too; a damaged state is computed again.
    let kept = lives.join("snapshots/settled.snapshot");
    let mut bytes = std::fs::read(&kept).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    std::fs::write(&kept, bytes).unwrap();
    let third = hoopset(at, &["life", "bracket.toml"]);
    let said = String::from_utf8(third.stderr).unwrap();
    assert!(said.contains("settled.snapshot` is damaged"), "{said}");
    assert_eq!(std::fs::read_to_string(lives.join("life.json")).unwrap(), json);
}

#[test]
fn check_and_run_reject_what_life_would() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let wrong = CASE.replace("load_ratio = 0.1", "spectrum = \"wing.txt\"");
    std::fs::write(at.join("wing.txt"), "0.1\n1.0\n40\n").unwrap();
    std::fs::write(at.join("bracket.toml"), wrong).unwrap();
    std::fs::write(at.join("long.toml"), CASE.replace("= 1.2", "= 70.0")).unwrap();
    for command in ["check", "run", "life"] {
        for (file, problem) in [
            (
                "bracket.toml",
                "bracket.toml:15: [life]: `wing.txt`: value 3 is 40, beyond 10 times the load",
            ),
            (
                "long.toml",
                "long.toml:15: [life]: `initial_flaw` of 70 mm is no smaller than the plate, ",
            ),
        ] {
            let refused = hoopset(at, &[command, file]);
            let said = String::from_utf8(refused.stderr).unwrap();
            assert_eq!(refused.status.code(), Some(2), "{command}: {said}");
            assert!(said.contains(problem) && said.contains("hint:"), "{command}: {said}");
        }
    }
    assert_eq!(std::fs::read_dir(at).unwrap().count(), 3, "nothing was written");
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
    assert!(
        said.contains("bracket.toml: the case has no [life] table") && said.contains("hint:"),
        "{said}"
    );
    assert_eq!(std::fs::read_dir(at).unwrap().count(), 1);
}
