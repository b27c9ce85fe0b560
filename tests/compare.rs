//! `hoopset compare`, measurements, the other idealisations, and the pictures of an alloy.
//!
//! No source: differences are taken between two runs of the program, whose values are checked elsewhere.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "common/bracket.rs"]
mod bracket;
#[path = "common/program.rs"]
mod program;

use std::fs;

use bracket::bracket;
use program::hoopset;

const CASE: &str = bracket!(
    "Bracket",
    r#"[[stage]]
expand = "A"
applied_expansion = 0.04"#,
    "0.25",
    "8"
);

fn rows(text: &str) -> Vec<Vec<String>> {
    text.lines().map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Column `name` of row `k`, counted from the first below the head.
fn number(table: &[Vec<String>], k: usize, name: &str) -> f64 {
    let place = table[0].iter().position(|cell| cell == name).unwrap();
    table[k + 1][place].parse().unwrap()
}

#[test]
fn two_results_differ_by_what_their_tables_say() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::write(at("strips.csv"), "distance,hoop\n0.5,-300\n1.5,-150\n").unwrap();
    fs::write(at("a.toml"), format!("{CASE}\n[[measured]]\nfile = \"strips.csv\"\n")).unwrap();
    // The same in inches with another expansion: compared in the units of the first.
    let inches = CASE
        .replace("mm-MPa", "in-ksi")
        .replace("40.0", "1.574803149606")
        .replace("5.0\n", "0.196850393701\n")
        .replace("[14.0, 20.0]", "[0.551181102362, 0.787401574803]")
        .replace("5.70", "0.224409448819")
        .replace("0.04", "0.03");
    fs::write(at("b.toml"), inches).unwrap();
    for case in ["a.toml", "b.toml"] {
        let output = hoopset(folder.path(), &["run", case]);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let output = hoopset(folder.path(), &["compare", "a-results", "b-results"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let read = |name: &str| fs::read_to_string(at(name)).unwrap();
    let compared = rows(&read("comparison/comparison.csv"));
    let a = rows(&read("a-results/headlines.csv"));
    let b = rows(&read("b-results/headlines.csv"));
    let residual = |table: &[Vec<String>]| {
        (0..table.len() - 1).find(|k| number(table, *k, "residual") > 0.5).unwrap()
    };
    let (first, second) = (residual(&a), residual(&b));
    let edge = number(&compared, 0, "edge_hoop_a");
    assert!((edge - number(&a, first, "edge_hoop")).abs() < 1e-6 * edge.abs());
    let other = number(&compared, 0, "edge_hoop_b");
    let ksi = 6.894_757_293_168;
    assert!((other - ksi * number(&b, second, "edge_hoop")).abs() < 1e-6 * other.abs());
    let depth = number(&compared, 0, "compression_depth_b");
    assert!((depth - 25.4 * number(&b, second, "compression_depth")).abs() < 1e-6);
    let largest = number(&compared, 0, "largest_difference");
    assert!(largest.abs() >= (other - edge).abs() - 1e-9);
    assert!(at("comparison/figures/comparison-A.svg").is_file());
    let page = read("comparison/report.html");
    assert!(
        page.contains("Two results compared") && page.contains("Measurements beside both results")
    );
    // Points of A over the chart, and their mean distance from A as the run of A told it.
    assert!(read("comparison/figures/comparison-A.csv").contains("measured (strips.csv)"));
    let points = rows(&read("a-results/measured.csv"));
    let mean = 0.5 * (number(&points, 0, "difference") + number(&points, 1, "difference"));
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    let own = told.lines().find(|line| line.contains("measured (strips.csv)")).unwrap();
    assert!(own.contains(&format!("{mean:.1}")), "{mean}: {own}");

    let same = hoopset(folder.path(), &["compare", "a-results", "a-results", "--out", "same"]);
    assert_eq!(same.status.code(), Some(0));
    assert!(number(&rows(&read("same/comparison.csv")), 0, "largest_difference").abs() < 1e-12);
    let none = hoopset(folder.path(), &["compare", "a-results", "."]);
    assert_eq!(none.status.code(), Some(2));
}

#[test]
fn measured_points_and_other_idealisations_stand_beside_the_answer() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::write(
        at("strips.csv"),
        "distance,hoop,plus_minus,angle_deg\n0.5,-300,400,180\n1.0,-200,1,180\n",
    )
    .unwrap();
    let case = format!(
        "{CASE}idealisations = true\n[[measured]]\nfile = \"strips.csv\"\nlabel = \"strips\"\n"
    );
    fs::write(at("a.toml"), case).unwrap();
    let output = hoopset(folder.path(), &["run", "a.toml"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        told.contains("Idealisations for 1-expand-A") && told.contains("plane strain"),
        "{told}"
    );
    assert!(told.contains("strips: measured less computed, 2 of 2 points"), "{told}");
    let summary: serde_json::Value =
        serde_json::from_str(&fs::read_to_string(at("a-results/summary.json")).unwrap()).unwrap();
    let edge =
        |name: &str| summary["idealisations"][name]["A"]["180"]["edge_hoop"].as_f64().unwrap();
    let own = summary["stages"]["1-expand-A"]["paths"]["A"]["180"]["edge_hoop"].as_f64().unwrap();
    // The thickness strain is not free: the edge keeps another stress.
    assert!((edge("plane strain") - own).abs() > 1.0);
    // A thick plate free at its faces is close to plane strain, and not the same.
    assert!((edge("plane strain") - edge("generalised plane strain")).abs() > 1e-3);
    let points = rows(&fs::read_to_string(at("a-results/measured.csv")).unwrap());
    for k in 0..2 {
        let difference = number(&points, k, "measured") - number(&points, k, "computed");
        assert!((difference - number(&points, k, "difference")).abs() < 1e-6);
    }
    assert_eq!(summary["measured"][0]["within_bars"][1], 2);
}

#[test]
fn an_alloy_is_drawn_on_request() {
    let folder = tempfile::tempdir().unwrap();
    let output = hoopset(folder.path(), &["alloys", "7075-T651 plate", "--out", "metal"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    for name in ["first-pull.svg", "first-pull.csv", "loops.png"] {
        assert!(folder.path().join("metal").join(name).is_file(), "{name}");
    }
}
