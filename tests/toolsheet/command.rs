//! The tool sheet as a user asks for it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output as Ran, Stdio};
use std::time::{Duration, Instant};

use crate::DISC;

fn hoopset(folder: &Path, arguments: &[&str]) -> Ran {
    Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("the program starts")
}

#[test]
fn the_command_writes_the_sheet_and_any_thread_count_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("idler.toml"), DISC.replace("fineness = 0.5", "fineness = 0.25"))
        .unwrap();
    let one = hoopset(folder.path(), &["toolsheet", "idler.toml", "--threads", "1"]);
    assert_eq!(one.status.code(), Some(0), "{}", String::from_utf8_lossy(&one.stderr));
    let two =
        hoopset(folder.path(), &["toolsheet", "idler.toml", "--threads", "2", "--out", "two"]);
    assert_eq!(two.status.code(), Some(0));
    let results = folder.path().join("idler-toolsheet");
    for name in ["toolsheet.json", "toolsheet.csv", "toolsheet.html", "figures/diameters.png"] {
        let [a, b] =
            [&results, &folder.path().join("two")].map(|at| fs::read(at.join(name)).unwrap());
        assert!(a == b, "{name} differs");
    }
    let page = fs::read_to_string(results.join("toolsheet.html")).unwrap();
    for words in ["governing specification", "pulling equipment", "common practice, no source"] {
        assert!(page.contains(words), "{words}");
    }
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(results.join("toolsheet.json")).unwrap()).unwrap();
    let text = String::from_utf8(one.stdout).unwrap();
    let go = json["gauges"]["starting_hole_go"].as_f64().unwrap();
    assert!(text.contains(&format!("{go:.3}")), "{text}");
    assert_eq!(json["solutions"], 22);
    // Two bounding laws, two other idealisations.
    assert_eq!(json["beside_nominal"].as_array().map(Vec::len), Some(4));
}

#[test]
fn a_wrong_sheet_is_refused_with_its_place_and_touches_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at =
        |text: &str, key: &str| text.lines().position(|line| line.starts_with(key)).unwrap() + 1;
    for (from, to, key) in [
        ("mandrel_wear", "mandrel_ware", "mandrel_ware"),
        ("lowest = 0.03", "lowest = 0.06", "highest"),
        ("count = 2000", "count = 20", "count"),
        ("[6.35, 6.375]", "[6.40, 6.375]", "finished_diameter"),
        ("band = 0.05", "band = -0.05", "band"),
    ] {
        let text = DISC.replacen(from, to, 1);
        fs::write(folder.path().join("bad.toml"), &text).unwrap();
        let ran = hoopset(folder.path(), &["toolsheet", "bad.toml"]);
        let said = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(ran.status.code(), Some(2), "{said}");
        assert!(said.contains(&format!("bad.toml:{}:", at(&text, key))), "{said}");
        assert!(said.contains("hint: "), "{said}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{said}");
    }
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_the_sheet_with_its_own_code_and_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let fine = DISC.replace("fineness = 0.5", "fineness = 2");
    fs::write(folder.path().join("idler.toml"), fine).unwrap();
    let child = Command::new(env!("CARGO_BIN_EXE_hoopset"))
        .args(["toolsheet", "idler.toml"])
        .current_dir(folder.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // The handler stands before the folder does.
    let started = Instant::now();
    while !folder.path().join("idler-toolsheet.partial").exists() {
        assert!(started.elapsed() < Duration::from_secs(60), "it never started");
        std::thread::sleep(Duration::from_millis(10));
    }
    let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(killed.success());
    let ran = child.wait_with_output().unwrap();
    assert_eq!(ran.status.code(), Some(130), "{}", String::from_utf8_lossy(&ran.stderr));
    assert!(!folder.path().join("idler-toolsheet").exists());
    assert!(!folder.path().join("idler-toolsheet.partial").exists());
}
