//! The verification book: it agrees, it notices what is wrong, and it is written well.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::atomic::AtomicBool;

use hoopset::verify::bench::Effort;
use hoopset::verify::cases::{CASES, Entry};
use hoopset::verify::expected::Expected;
use hoopset::verify::judge::Verdict;
use hoopset::verify::{Judged, Stopped, run};

fn entry(name: &str) -> &'static Entry {
    CASES.iter().find(|entry| entry.name == name).unwrap()
}

fn judged(name: &str, input: &str, expected: &str) -> Judged {
    run(entry(name), input, expected, Effort::Quick, &AtomicBool::new(false)).unwrap()
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn program(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .unwrap()
}

/// Files below a folder, by name.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_owned();
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}

#[test]
fn the_quick_book_agrees() {
    let mut short = Vec::new();
    for entry in CASES {
        if !Expected::parse(entry.name, entry.expected()).unwrap().quick {
            continue;
        }
        let case = judged(entry.name, entry.input(), entry.expected());
        let compared = case.rows.iter().filter(|row| row.computed.is_some()).count();
        assert!(compared > 0, "{} compares nothing", entry.name);
        if let Some(trouble) = &case.trouble {
            short.push(format!("{}: {trouble}", entry.name));
        }
        for row in case.rows.iter().filter(|row| !row.agrees()) {
            let (key, found) = (&row.expected.key, row.computed);
            short.push(format!("{}: {key}: {found:?}, error {:?}", entry.name, row.error));
        }
    }
    assert!(short.is_empty(), "{}", short.join("\n"));
}

#[test]
fn a_case_whose_expected_value_is_changed_falls_short() {
    let lame = entry("lame");
    let changed = lame.expected().replace("value = 166.666667", "value = 167.0");
    assert_ne!(changed, lame.expected());
    let case = judged("lame", lame.input(), &changed);
    assert!(!case.agrees());
    let row = case.rows.iter().find(|row| row.expected.key == "bore hoop").unwrap();
    assert_eq!(row.verdict, Verdict::Differs);
    // The others still agree: the change is pinned to its number.
    assert_eq!(case.rows.iter().filter(|row| !row.agrees()).count(), 1);
}

#[test]
fn a_case_whose_input_is_changed_falls_short() {
    for (name, from, to) in [
        ("lame", "poissons_ratio = 0.3", "poissons_ratio = 0.31"),
        ("kirsch", "starting_diameter = 2.0", "starting_diameter = 4.0"),
        ("strain-path", "poissons_ratio = 0.25", "poissons_ratio = 0.26"),
        ("elliptic-membrane", "traction = 10.0", "traction = 10.3"),
        ("pulled-bar", "slope = 6000.0", "slope = 6100.0"),
        ("interference-fit", "pin_modulus = 29000.0", "pin_modulus = 28000.0"),
    ] {
        let entry = entry(name);
        let changed = entry.input().replace(from, to);
        assert_ne!(changed, entry.input(), "{name}");
        let case = judged(name, &changed, entry.expected());
        println!(
            "{name}: {} of {} differ",
            case.rows.iter().filter(|r| !r.agrees()).count(),
            case.rows.len()
        );
        assert!(case.trouble.is_none() && !case.agrees(), "{name}");
    }
}

#[test]
fn a_quantity_that_is_not_computed_is_missing() {
    let patch = entry("patch-test");
    let extra = format!(
        "{}\n[[quantity]]\nkey = \"nothing\"\nwhat = \"nothing\"\nvalue = 1.0\ntolerance = 0.1\n\
         why = \"none\"\nsource = \"irons\"\n",
        patch.expected()
    );
    let case = judged("patch-test", patch.input(), &extra);
    assert_eq!(case.rows.last().unwrap().verdict, Verdict::Missing);
    assert!(!case.agrees());
}

#[test]
fn expectations_that_cannot_be_used_are_refused() {
    let patch = entry("patch-test");
    for (from, to) in [
        ("source = \"irons\"", "source = \"nobody\""),
        ("at_most = 1e-10", "unit = \"MPa\""),
        ("at_most = 1e-10", "value = 0.0\ntolerance = 0.1"),
        ("[source.irons]", "[origin.irons]"),
    ] {
        let changed = patch.expected().replacen(from, to, 1);
        assert_ne!(changed, patch.expected(), "{from}");
        let stop = AtomicBool::new(false);
        let stopped = run(patch, patch.input(), &changed, Effort::Quick, &stop).unwrap_err();
        assert!(matches!(stopped, Stopped::Flawed(_)), "{from}: {stopped:?}");
    }
}

#[test]
fn a_case_stops_when_it_is_interrupted() {
    let kirsch = entry("kirsch");
    let stop = AtomicBool::new(true);
    let stopped = run(kirsch, kirsch.input(), kirsch.expected(), Effort::Quick, &stop).unwrap_err();
    assert!(matches!(stopped, Stopped::Interrupted));
}

#[test]
fn every_case_has_a_page_and_every_number_a_source_and_a_reason() {
    for entry in CASES {
        let folder = root().join("verification").join(entry.name);
        for file in ["case.toml", "expected.toml", "README.md"] {
            assert!(folder.join(file).is_file(), "{} has no {file}", entry.name);
        }
        let expected = Expected::parse(entry.name, entry.expected()).unwrap();
        assert!(!expected.quantity.is_empty());
        for quantity in &expected.quantity {
            assert!(!quantity.why.trim().is_empty(), "{}: {}", entry.name, quantity.key);
        }
        for (key, source) in &expected.source {
            assert!(source.text.len() > 20, "{}: source {key}", entry.name);
        }
    }
    // A folder with expectations that is not in the list would never be run.
    for folder in fs::read_dir(root().join("verification")).unwrap() {
        let path = folder.unwrap().path();
        if path.join("expected.toml").is_file() {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            assert!(CASES.iter().any(|entry| entry.name == name), "{name} is not listed");
        }
    }
}

#[test]
fn an_unknown_case_is_bad_input_and_the_names_are_listed() {
    let scratch = tempfile::tempdir().unwrap();
    let output = program(scratch.path(), &["verify", "--only", "lamme"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("no verification case `lamme`"), "{said}");
    for entry in CASES {
        assert!(said.contains(entry.name), "{said}");
    }
    assert_eq!(fs::read_dir(scratch.path()).unwrap().count(), 0, "nothing on disk");
}

#[test]
fn the_book_is_written_whole_and_twice_the_same() {
    let scratch = tempfile::tempdir().unwrap();
    let book = |name: &str| {
        let arguments =
            ["verify", "--quick", "--only", "lame", "--only", "pulled-bar", "--out", name];
        let output = program(scratch.path(), &arguments);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        let mut files = files(&scratch.path().join(name));
        assert!(files.remove(Path::new("timings.json")).is_some());
        files
    };
    let (first, second) = (book("one"), book("two"));
    assert!(first == second, "the same bytes but for the timings");
    let text = |name: &str| String::from_utf8(first[Path::new(name)].clone()).unwrap();
    let page = text("book.html");
    for part in ["Elastic ring under pressure", "166.667", "<svg", "@media print", "G. Lamé"] {
        assert!(page.contains(part), "{part}");
    }
    // One page that fetches nothing.
    for outside in ["<script", "src=\"http", "<link", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
    let numbers: serde_json::Value = serde_json::from_str(&text("summary.json")).unwrap();
    assert_eq!(numbers["agrees"], true);
    assert_eq!(numbers["cases"].as_array().unwrap().len(), 2);
    assert!(text("book.md").contains("[lame](lame/README.md)"));
    assert!(text("lame/README.md").contains("convergence.svg"));
}

#[test]
fn a_case_that_falls_short_ends_with_one_and_the_book_says_where() {
    let scratch = tempfile::tempdir().unwrap();
    let folder = scratch.path().join("cases/patch-test");
    fs::create_dir_all(&folder).unwrap();
    let patch = entry("patch-test");
    fs::write(folder.join("case.toml"), patch.input()).unwrap();
    let strict = patch.expected().replacen("at_most = 1e-10", "at_most = 1e-30", 1);
    fs::write(folder.join("expected.toml"), strict).unwrap();
    let arguments = ["verify", "--from", "cases", "--only", "patch-test", "--out", "book"];
    let output = program(scratch.path(), &arguments);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    assert!(String::from_utf8_lossy(&output.stdout).contains("FALLS SHORT"));
    let page = fs::read_to_string(scratch.path().join("book/book.html")).unwrap();
    assert!(page.contains("DIFFERS") && page.contains("1 case falls short"));
}

/// The lines a patch finds, hunk by hunk: context and removed lines, in order.
fn hunks(patch: &str) -> Vec<(String, String)> {
    let mut file = String::new();
    let mut found: Vec<(String, String)> = Vec::new();
    for line in patch.lines() {
        if let Some(name) = line.strip_prefix("+++ b/") {
            name.clone_into(&mut file);
        } else if line.starts_with("@@") {
            found.push((file.clone(), String::new()));
        } else if let (Some((_, old)), false) = (found.last_mut(), line.starts_with('+')) {
            old.push_str(line.get(1..).unwrap_or_default());
            old.push('\n');
        }
    }
    found
}

#[test]
fn every_deliberate_fault_still_applies() {
    let folder = root().join("verification/mutations/patches");
    let mut count = 0;
    for patch in fs::read_dir(&folder).unwrap() {
        let path = patch.unwrap().path();
        let text = fs::read_to_string(&path).unwrap();
        let hunks = hunks(&text);
        assert!(!hunks.is_empty(), "{}", path.display());
        for (file, old) in hunks {
            let source = fs::read_to_string(root().join(&file)).unwrap();
            assert_eq!(source.matches(&old).count(), 1, "{} in {file}:\n{old}", path.display());
        }
        count += 1;
    }
    assert!(count >= 15, "{count} faults");
}

#[test]
fn the_table_of_faults_has_every_fault_and_each_builds() {
    let folder = root().join("verification/mutations");
    let table = fs::read_to_string(folder.join("table.md")).unwrap();
    for patch in fs::read_dir(folder.join("patches")).unwrap() {
        let path = patch.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let row = table.lines().find(|line| line.starts_with(&format!("| {name} |")));
        assert!(row.is_some(), "{name} has no row");
    }
    assert!(!table.contains("does not build"));
}
