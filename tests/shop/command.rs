//! `hoopset shop` as a user runs it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use super::{HOLES, LOT, lay};

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .arg("shop")
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap()
}

const FILES: [&str; 5] = [
    "shop.json",
    "holes.csv",
    "shop.html",
    "inspector.html",
    "figures/control-applied-expansion.svg",
];

fn bytes(folder: &Path) -> Vec<Vec<u8>> {
    FILES.iter().map(|name| fs::read(folder.join(name)).unwrap()).collect()
}

/// Fewer solutions, for the same path through the program.
fn small() -> String {
    format!("{LOT}[surrogate]\nexpansions = 3\nreams = 2\nchecks = 4\n")
}

#[test]
fn the_same_bytes_for_any_number_of_threads_and_after_an_interruption() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    lay(path, &small(), HOLES);
    let said = |output: &Output| String::from_utf8_lossy(&output.stderr).into_owned();
    let ran = run(path, &["lot.toml", "--threads", "1", "--out", "one"]);
    assert!(ran.status.success(), "{}", said(&ran));
    let ran = run(path, &["lot.toml", "--threads", "2", "--out", "two"]);
    assert!(ran.status.success(), "{}", said(&ran));
    let whole = bytes(&path.join("one"));
    assert!(whole == bytes(&path.join("two")), "threads");

    let mut child = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(["shop", "lot.toml", "--out", "three"])
        .current_dir(path)
        .stderr(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let journal = path.join("three.partial/journal.jsonl");
    let begin = Instant::now();
    let lines = || fs::read_to_string(&journal).map_or(0, |text| text.lines().count());
    while lines() < 3 && begin.elapsed() < Duration::from_secs(60) {
        thread::sleep(Duration::from_millis(10));
    }
    let id = child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let asked = Instant::now();
    assert_eq!(child.wait().unwrap().code(), Some(130));
    assert!(asked.elapsed() < Duration::from_secs(2), "{:?}", asked.elapsed());
    let kept = fs::read_to_string(path.join("three/journal.jsonl")).unwrap().lines().count();
    assert!(kept >= 3, "{kept}");
    let ran = run(path, &["lot.toml", "--out", "three"]);
    assert!(ran.status.success(), "{}", said(&ran));
    assert!(whole == bytes(&path.join("three")), "after the interruption");

    // Another table of holes needs no new solution: the journal stays as it is.
    let before = fs::read(path.join("three/journal.jsonl")).unwrap();
    fs::write(path.join("holes.csv"), HOLES.replace("5.870", "5.868")).unwrap();
    let ran = run(path, &["lot.toml", "--out", "three"]);
    assert!(ran.status.success(), "{}", said(&ran));
    assert!(before == fs::read(path.join("three/journal.jsonl")).unwrap());
    assert!(whole != bytes(&path.join("three")));
}

#[test]
fn inches_give_the_same_holes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    lay(path, &small(), HOLES);
    assert!(run(path, &["lot.toml"]).status.success());
    let inch = |text: &str| -> String {
        let number = |word: &str| word.parse::<f64>().map(|value| format!("{}", value / 25.4));
        let cells = text.split(',').map(|cell| number(cell).unwrap_or_else(|_| cell.to_owned()));
        cells.collect::<Vec<_>>().join(",")
    };
    let holes: Vec<String> = HOLES.lines().map(inch).collect();
    fs::write(path.join("holes.csv"), holes.join("\n")).unwrap();
    let mut case = super::DISC.replace("mm-MPa", "in-ksi");
    for size in ["48", "4\n", "5.7\n", "5.52\n", "0.2\n", "6.0\n"] {
        let value: f64 = size.trim().parse().unwrap();
        let end = if size.ends_with('\n') { "\n" } else { "" };
        case = case.replacen(&format!("= {size}"), &format!("= {}{end}", value / 25.4), 1);
    }
    fs::write(path.join("disc.toml"), case).unwrap();
    let lot: Vec<String> = small()
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some(("plus_minus", value)) => {
                format!("plus_minus = {}", value.parse::<f64>().unwrap() / 25.4)
            }
            Some(("limits", pair)) => {
                let ends: Vec<String> = pair
                    .trim_matches(['[', ']'])
                    .split(", ")
                    .map(|end| format!("{}", end.parse::<f64>().unwrap() / 25.4))
                    .collect();
                format!("limits = [{}]", ends.join(", "))
            }
            _ => line.to_owned(),
        })
        .collect();
    fs::write(path.join("lot.toml"), lot.join("\n")).unwrap();
    let ran = run(path, &["lot.toml", "--out", "inches"]);
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    let column = |file: &str, name: &str| -> Vec<f64> {
        let text = fs::read_to_string(path.join(file).join("holes.csv")).unwrap();
        let at = text.lines().next().unwrap().split(',').position(|n| n == name).unwrap();
        text.lines().skip(1).map(|line| line.split(',').nth(at).unwrap().parse().unwrap()).collect()
    };
    let of = |name: &str, scale: f64, tolerance: f64| {
        for (metric, inch) in column("lot-shop", name).iter().zip(column("inches", name)) {
            assert!((metric - scale * inch).abs() <= tolerance * metric.abs(), "{name} {metric}");
        }
    };
    of("applied_expansion", 1.0, 1e-9);
    // Rounding of the sizes in inches moves the iteration within its tolerance.
    of("edge_hoop", 6.894_757_293_168, 1e-5);
    of("compression_depth", 25.4, 1e-5);
}

/// The shipped lot: its planted holes are the suspects, and its keys are those of the schema.
#[test]
fn the_shipped_lot_is_read_and_its_keys_are_those_of_the_schema() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/shop/hinge-lot.toml");
    let shop = hoopset::case::shop::read(&file).unwrap();
    assert_eq!(shop.holes.len(), 60);
    let schema = hoopset::case::schema::shop_schema();
    let tree: toml::Table = toml::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    for (key, value) in &tree {
        let own = &schema["properties"][key];
        assert!(own.is_object(), "{key}");
        for inner in value.as_table().into_iter().flat_map(|table| table.keys()) {
            assert!(own["properties"][inner].is_object(), "{key}.{inner}");
        }
    }
    for needed in schema["required"].as_array().unwrap() {
        assert!(tree.contains_key(needed.as_str().unwrap()), "{needed}");
    }
}
