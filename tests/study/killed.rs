//! A study that is killed, interrupted, or runs out of disk.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use hoopset::numeric::random::Random;

use crate::run::{hoopset, program};
use crate::study::program::{STUDY, folder, tables};

fn start(place: &Path) -> std::process::Child {
    program(place)
        .args(["study", "discs.toml", "--out", "killed"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Kills the study `times` times at random moments of `span` seconds, then lets it end.
fn kill_and_go_on(study: &str, times: usize, span: f64) {
    let place = folder(study);
    assert!(hoopset(place.path(), &["study", "discs.toml", "--out", "whole"]).status.success());
    let mut random = Random::new(20_240_607);
    for _ in 0..times {
        let mut child = start(place.path());
        std::thread::sleep(Duration::from_secs_f64(span * random.share()));
        child.kill().unwrap();
        child.wait().unwrap();
    }
    let ended = hoopset(place.path(), &["study", "discs.toml", "--out", "killed"]);
    assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stderr));
    assert_eq!(tables(place.path(), "killed"), tables(place.path(), "whole"));
    assert!(!place.path().join("killed.partial").exists());
}

#[test]
fn a_study_killed_at_random_moments_ends_in_the_same_table() {
    kill_and_go_on(STUDY, 3, 0.5);
}

#[test]
#[ignore = "minutes: 200 cases, killed twenty times"]
fn two_hundred_cases_killed_twenty_times_end_in_the_same_table() {
    let study = STUDY
        .replace("values = [0.01, 0.02, 0.03, 0.04]", "from = 0.013\nto = 0.045\ncount = 50")
        .replace("values = [50.0, 100.0]", "values = [50.0, 100.0, 120.0, 150.0]")
        .replace(", \"no such alloy\"", "");
    kill_and_go_on(&study, 20, 2.0);
}

#[test]
fn a_line_that_is_not_whole_costs_its_case_alone() {
    let place = folder(STUDY);
    assert!(hoopset(place.path(), &["study", "discs.toml"]).status.success());
    let before = tables(place.path(), "discs-study");
    let path = place.path().join("discs-study/journal.jsonl");
    let mut lines = fs::read_to_string(&path).unwrap();
    // The last line torn, and a digit changed inside another.
    lines.truncate(lines.len() - 9);
    let edge = lines.find("[-").unwrap();
    lines.replace_range(edge + 2..edge + 3, "9");
    fs::write(&path, lines).unwrap();
    let ran = hoopset(place.path(), &["study", "discs.toml"]);
    let said = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(said.contains("2 solved now"), "{said}");
    assert_eq!(tables(place.path(), "discs-study"), before);
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_the_study_within_a_second_and_keeps_what_is_finished() {
    // One case of a minute: the order to stop comes in the middle of it.
    let place = folder(STUDY);
    let slow = crate::BASE.replace("fineness = 0.3", "fineness = 4.0").replace("= 4\n", "= 400\n");
    fs::write(place.path().join("disc.toml"), slow).unwrap();
    let mut child = start(place.path());
    std::thread::sleep(Duration::from_millis(1500));
    let number = child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &number]).status().unwrap().success());
    let asked = Instant::now();
    let code = child.wait().unwrap().code();
    // Exit code of an interrupted command: 128 + 2. A second, and another for a busy machine.
    assert_eq!(code, Some(130));
    assert!(asked.elapsed() < Duration::from_secs(2), "{:?}", asked.elapsed());
    assert!(place.path().join("killed/journal.jsonl").is_file());
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told_and_the_study_goes_on_when_there_is_room() {
    let place = folder(STUDY);
    let disk = place.path().join("disk");
    fs::create_dir(&disk).unwrap();
    let mounted = |size: &str, more: &[&str]| {
        let mut mount = Command::new("mount");
        mount.args(["-t", "tmpfs", "-o", size]).args(more).arg("tmpfs").arg(&disk);
        mount.stderr(Stdio::null()).status().is_ok_and(|status| status.success())
    };
    if !mounted("size=24k", &[]) {
        eprintln!("skipped: only root can mount the small disk that this test fills");
        return;
    }
    let run = || hoopset(place.path(), &["study", "discs.toml", "--out", "disk/s"]);
    let full = run();
    let grown = Command::new("mount").args(["-o", "remount,size=8m"]).arg(&disk).status();
    let after = grown.is_ok_and(|status| status.success()).then(run);
    let found = after.as_ref().map(|_| tables(&disk, "s"));
    let _ = Command::new("umount").arg(&disk).status();
    let said = String::from_utf8_lossy(&full.stderr).into_owned();
    assert_eq!(full.status.code(), Some(1), "{said}");
    assert!(said.contains("No space left"), "{said}");
    let after = after.expect("the disk can be made larger");
    assert!(after.status.success(), "{}", String::from_utf8_lossy(&after.stderr));
    assert!(hoopset(place.path(), &["study", "discs.toml", "--out", "whole"]).status.success());
    assert_eq!(found.unwrap(), tables(place.path(), "whole"));
}
