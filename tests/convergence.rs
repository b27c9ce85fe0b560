//! `hoopset run --convergence` as a user runs it. The statistics are tested on sequences of known
//! order where they are defined, in `numeric::richardson`.

#[path = "common/bracket.rs"]
mod bracket;
#[path = "common/program.rs"]
mod program;

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use bracket::bracket;
use hoopset::study::refinement::Solved;
use program::hoopset;
use serde_json::Value;
use sha2::{Digest, Sha256};

/// An edge hole, coarse.
const CASE: &str = bracket!(
    "Bracket, coarse",
    r#"[[stage]]
expand = "A"
mandrel_diameter = 5.52
sleeve_thickness = 0.20"#,
    "0.5",
    "4"
);

/// The same kind of work on a mesh from a file.
const IMPORTED: &str = r#"units = "mm-MPa"
[plate]
mesh = "two-bore-plate.vtu"
thickness = 5.0
alloy = "2024-T351 plate"
[[hole]]
name = "A"
at = [14.0, 16.0]
starting_diameter = 5.0
[[hole]]
name = "B"
at = [34.0, 16.0]
starting_diameter = 5.0
[[stage]]
expand = "A"
applied_expansion = 0.03
"#;

fn json(path: &Path) -> Value {
    let text =
        fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    serde_json::from_str(&text).expect("valid JSON")
}

fn read(folder: &Path, name: &str) -> Vec<u8> {
    fs::read(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// Keys of an object, sorted by the reader.
fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

#[test]
fn a_study_writes_its_files_with_bands_that_hold_and_warns_of_what_is_not_asymptotic() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("case.toml"), CASE).expect("written");
    let run = |out: &str, threads: &str| {
        let arguments = ["run", "case.toml", "--convergence", "--out", out, "--threads", threads];
        let output = hoopset(folder.path(), &arguments);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        output
    };
    let output = run("one", "1");
    let results = folder.path().join("one");
    let study = json(&results.join("convergence.json"));
    assert_eq!(
        keys(&study),
        ["case_sha256", "increments", "meshes", "method", "numbers", "schema_version", "warnings"]
    );
    let settings = |series: &str, key: &str| -> Vec<f64> {
        let levels = study[series]["levels"].as_array().expect("levels");
        levels.iter().map(|level| number(&level[key])).collect()
    };
    assert_eq!(settings("meshes", "fineness"), [0.25, 0.5, 1.0]);
    assert_eq!(settings("increments", "increments"), [4.0, 8.0, 16.0]);
    assert_eq!((&study["meshes"]["case"], &study["increments"]["case"]), (&1.into(), &0.into()));

    let numbers = study["numbers"].as_array().expect("numbers");
    assert_eq!(
        keys(&numbers[0]),
        [
            "angle_deg",
            "band",
            "edge",
            "hole",
            "increments",
            "limit",
            "measure",
            "mesh",
            "name",
            "stage",
            "trusted",
            "unit",
            "value"
        ]
    );
    assert_eq!(keys(&numbers[0]["mesh"]), ["approach", "band", "limit", "order", "values"]);
    let summary = json(&results.join("summary.json"));
    let mut untrusted = 0;
    for one in numbers {
        for (series, case) in [("mesh", 1), ("increments", 0)] {
            // The case stands in both series, and nothing is trusted without a reason.
            assert_eq!(one[series]["values"][case], one["value"], "{one}");
            let approach = one[series]["approach"].as_str().expect("a word");
            let trusted = ["settled", "asymptotic"].contains(&approach);
            assert_eq!(approach == "asymptotic", one[series]["limit"].is_number(), "{one}");
            if !trusted {
                assert_eq!(one["trusted"], false, "{one}");
                untrusted += 1;
            }
        }
        if !one["band"].is_null() {
            let sum = number(&one["mesh"]["band"]) + number(&one["increments"]["band"]);
            assert!((number(&one["band"]) - sum).abs() <= 1e-11 * sum, "{one}");
        }
    }
    let edge = numbers
        .iter()
        .find(|one| one["name"] == "edge hoop of A at 180°, 1-expand-A")
        .expect("the edge");
    let stage = &summary["stages"]["1-expand-A"];
    assert_eq!(edge["value"], stage["paths"]["A"]["180"]["edge_hoop"]);
    // A mesh this coarse has numbers that are not asymptotic; it must say so, everywhere.
    assert!(untrusted > 0);
    let warned = study["warnings"].as_array().expect("a list");
    assert!(warned.iter().any(|text| text.as_str().is_some_and(|t| t.contains("asymptotic"))));
    let told = String::from_utf8_lossy(&output.stderr);
    assert!(told.contains("not in the asymptotic range of the"), "{told}");
    let answer = String::from_utf8_lossy(&output.stdout);
    for words in ["Convergence", "edge hoop of A at 180°", "retained expansion of A", "*", "±"] {
        assert!(answer.contains(words), "{words} is not in\n{answer}");
    }
    let page = String::from_utf8(read(&results, "report.html")).expect("text");
    assert!(page.contains("<h2>Convergence</h2>") && page.contains("Roache"));
    let csv = String::from_utf8(read(&results, "convergence.csv")).expect("text");
    let columns = csv.lines().next().expect("a head").split(',').count();
    assert_eq!(columns, 24);
    assert_eq!(csv.lines().count(), numbers.len() + 1);
    assert!(csv.lines().all(|line| line.split(',').count() == columns));
    assert!(results.join("figures/refinement.svg").is_file());
    // The run itself is what it is without a study.
    assert!(hoopset(folder.path(), &["run", "case.toml", "--out", "plain"]).status.success());
    for name in ["summary.json", "paths.csv", "history.csv", "fields/1-expand-A.vtu"] {
        assert!(read(&results, name) == read(&folder.path().join("plain"), name), "{name} differs");
    }
    // Threads change no byte; and the second run does not need the first's solutions.
    run("two", "2");
    let other = folder.path().join("two");
    for name in ["convergence.json", "convergence.csv", "summary.json", "report.html"] {
        assert!(read(&results, name) == read(&other, name), "{name} differs");
    }
}

#[test]
fn an_interrupted_study_keeps_the_results_and_goes_on_to_the_same_bytes() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let slow = CASE.replace("increments = 4", "increments = 12");
    fs::write(folder.path().join("case.toml"), slow).expect("written");
    let arguments = |out| ["run", "case.toml", "--convergence", "--out", out];
    assert!(hoopset(folder.path(), &arguments("whole")).status.success());
    let mut child = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(arguments("cut"))
        .current_dir(folder.path())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program starts");
    // The summary is the last file of the run proper.
    let summary = folder.path().join("cut.partial/summary.json");
    let patience = Instant::now();
    while !summary.is_file() && patience.elapsed() < Duration::from_secs(120) {
        std::thread::sleep(Duration::from_millis(2));
    }
    let kill = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
    assert!(kill.expect("kill runs").success());
    let code = child.wait().expect("it ends").code();
    let cut = folder.path().join("cut");
    assert_eq!(json(&cut.join("summary.json"))["complete"], true);
    if code == Some(130) {
        assert!(!cut.join("convergence.json").exists());
    } else {
        // A fast machine may have finished before the signal came.
        assert_eq!(code, Some(0));
    }
    assert!(hoopset(folder.path(), &arguments("cut")).status.success());
    let whole = folder.path().join("whole");
    for name in ["convergence.json", "convergence.csv", "summary.json", "report.html"] {
        assert!(read(&cut, name) == read(&whole, name), "{name} differs");
    }
}

#[test]
fn finished_solutions_of_a_study_are_taken_over_and_those_of_other_work_are_not() {
    // A fingerprint of the work, a digest of the body, the body.
    const FINGERPRINT: usize = 32;
    const HEAD: usize = 64;
    let folder = tempfile::tempdir().expect("a temporary folder");
    fs::write(folder.path().join("case.toml"), CASE).expect("written");
    let arguments = ["run", "case.toml", "--convergence"];
    let results = folder.path().join("case-results");
    let study = || {
        assert!(hoopset(folder.path(), &arguments).status.success());
        read(&results, "convergence.json")
    };
    let first = study();
    let kept = results.join("snapshots/fineness-1-increments-4.solved");
    let mut bytes = fs::read(&kept).expect("kept");
    let mut solved: Solved = postcard::from_bytes(&bytes[HEAD..]).expect("a solution");
    for hole in solved.stages.iter_mut().flat_map(|stage| &mut stage.holes) {
        hole.largest_diameter = 7.25;
    }
    bytes.truncate(FINGERPRINT);
    let body = postcard::to_stdvec(&solved).expect("packed");
    bytes.extend_from_slice(&Sha256::digest(&body));
    bytes.extend(body);
    fs::write(&kept, &bytes).expect("written");
    // Believed, as fingerprint and digest are right: nothing was solved again.
    let second = String::from_utf8(study()).expect("text");
    assert!(second.contains("7.25"), "{second}");
    bytes[0] ^= 1;
    fs::write(&kept, &bytes).expect("written");
    assert!(study() == first);
}

#[test]
fn a_mesh_made_elsewhere_is_refused_before_anything_is_computed() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mesh = Path::new(env!("CARGO_MANIFEST_DIR")).join("meshes/two-bore-plate.vtu");
    fs::copy(mesh, folder.path().join("two-bore-plate.vtu")).expect("copied");
    fs::write(folder.path().join("case.toml"), IMPORTED).expect("written");
    let output = hoopset(folder.path(), &["run", "case.toml", "--convergence"]);
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(told.starts_with("error: `--convergence` needs a mesh that can be refined"), "{told}");
    assert!(told.contains("\nhint: leave `--convergence` out"), "{told}");
    assert!(!folder.path().join("case-results").exists());
}
