//! The numbers of the documents are those of the program. `.ci/pages` writes them anew.

#[path = "../examples/common/page.rs"]
mod page;

use std::path::Path;
use std::process::Command;

use hoopset::{Sequence, Snapshot, parse, read};
use page::Page;
use serde_json::Value;

const DEMO: &str = include_str!("../src/case/demo.toml");

/// Standard output of the program, run in `folder`.
fn said(folder: &Path, arguments: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoopset"));
    let run = command.args(arguments).current_dir(folder).output().expect("the program starts");
    let trouble = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{arguments:?}: {trouble}");
    String::from_utf8(run.stdout).expect("text")
}

fn json(path: &Path) -> Value {
    let text = std::fs::read_to_string(path).expect("a results file");
    serde_json::from_str(&text).expect("JSON")
}

/// The number at `pointer`, or none.
fn number(value: &Value, pointer: &str) -> f64 {
    value.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}")).as_f64().unwrap_or(f64::NAN)
}

#[test]
fn the_demonstration_is_that_of_the_documents() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("demo.toml"), DEMO).expect("written");
    let output = said(folder.path(), &["run", "demo.toml"]);
    let mut readme = Page::open("README.md").expect("the page");
    let start = output.find("After 2-ream-A").expect("the ream");
    let rest = &output[start..];
    // Times and places on disk are not the same in every run.
    let end = ["\ntime:", "\nresults:"].iter().filter_map(|word| rest.find(word)).min();
    readme.output("demonstration", &rest[..end.expect("the place of the results")]);
    let case = readme.text().split("```toml\n").nth(1).and_then(|rest| rest.split("```").next());
    let wrong = case.expect("a case").replacen("mandrel_diameter", "mandrel_diametre", 1);
    std::fs::write(folder.path().join("two.toml"), wrong).expect("written");
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoopset"));
    let run = command.args(["check", "two.toml"]).current_dir(folder.path()).output();
    let run = run.expect("the program starts");
    assert_eq!(run.status.code(), Some(2));
    readme.output("mistake", &String::from_utf8_lossy(&run.stderr));
    readme.close().unwrap_or_else(|faults| panic!("{faults}"));

    let summary = json(&folder.path().join("demo-results/summary.json"));
    let mut model = Page::open("docs/model.md").expect("the page");
    let peak = |paths: &str| number(&summary, &format!("{paths}/A/0/peak_compression/hoop"));
    model.value("compression", peak("/stages/2-ream-A/paths"));
    model.value("compression, isotropic", peak("/hardening_bracket/isotropic/paths"));
    model.value("compression, kinematic", peak("/hardening_bracket/kinematic/paths"));
    model.close().unwrap_or_else(|faults| panic!("{faults}"));

    let output = said(folder.path(), &["check", "demo.toml"]);
    let lines = output.lines().filter(|line| {
        ["  1-", "  2-", "  hole", "  mesh"].iter().any(|start| line.starts_with(start))
    });
    let mut page = Page::open("docs/case-file.md").expect("the page");
    page.output("check", &lines.collect::<Vec<_>>().join("\n"));
    page.close().unwrap_or_else(|faults| panic!("{faults}"));
}

#[test]
fn the_tool_sheet_is_that_of_its_page() {
    let folder = tempfile::tempdir().expect("a folder");
    said(folder.path(), &["starter", "--sheet", "hinge.toml"]);
    said(folder.path(), &["toolsheet", "hinge.toml"]);
    let sheet = json(&folder.path().join("hinge-toolsheet/toolsheet.json"));
    let mut page = Page::open("docs/tool-sheet.md").expect("the page");
    for corner in ["smallest", "largest"] {
        let corner_value = |key: &str| number(&sheet, &format!("/corners/{corner}/{key}"));
        let expansion = 100.0 * corner_value("sizes/applied_expansion");
        page.value(&format!("expansion, {corner}"), expansion);
        page.value(&format!("edge hoop, {corner}"), corner_value("result/edge_hoop"));
    }
    for (place, words) in [(2, "95 %"), (0, "5 %")] {
        let pointer = format!("/draws/percentiles/edge_hoop/p5_p50_p95/{place}");
        page.value(&format!("edge hoop, {words}"), number(&sheet, &pointer));
    }
    page.close().unwrap_or_else(|faults| panic!("{faults}"));
}

/// Next to the ends of a slit the contact stress has no finite value, so it grows with the mesh.
#[test]
fn the_pressure_at_a_slit_is_that_of_the_page_on_accuracy() {
    let mut page = Page::open("docs/accuracy.md").expect("the page");
    for fineness in [1.0, 2.0] {
        let slit = "sleeve_thickness = 0.20\nsplit_angle = 180.0\nsplit_gap = 5.0";
        let text = DEMO.replace("sleeve_thickness = 0.20", slit);
        let mut case = parse(&text, "slit.toml").unwrap_or_else(|complaint| panic!("{complaint}"));
        case.job.numerics.fineness = fineness;
        case.job.stages.truncate(1);
        let mut snapshots: Vec<Snapshot> = Vec::new();
        let run = Sequence::new(case.job.clone()).expect("a mesh").run(&mut snapshots);
        assert!(run.is_ok(), "the run reaches its end");
        let (_, full) = read(&snapshots[0], &case.job, &case.path_angles).expect("a reading");
        page.value(&format!("peak pressure, fineness {fineness}"), full.holes[0].peak_pressure);
        page.value(&format!("mean pressure, fineness {fineness}"), full.holes[0].mean_pressure);
    }
    page.close().unwrap_or_else(|faults| panic!("{faults}"));
}
