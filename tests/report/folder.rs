//! The results folder: whole or not there, and nothing lost on the way.

use std::env;
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

use hoopset::report::folder::ResultsFolder;
use hoopset::report::folder::folder_error::FolderError;

/// Tells the test process started below where to write.
const TARGET: &str = "HOOPSET_TEST_TARGET";

fn summary(complete: bool) -> String {
    format!("{{\"program\": {{\"name\": \"hoopset\"}}, \"complete\": {complete}}}\n")
}

/// A run that writes `text` and ends.
fn run(target: &Path, text: &str, complete: bool) {
    let folder = ResultsFolder::create(target).unwrap();
    folder.write("summary.json", summary(complete).as_bytes()).unwrap();
    folder.write("fields/a.txt", text.as_bytes()).unwrap();
    folder.finish().unwrap();
}

fn text_in(folder: &Path) -> String {
    fs::read_to_string(folder.join("fields/a.txt")).unwrap()
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_finished_run_leaves_its_folder_and_nothing_else() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("new/plate-results");
    run(&target, "first", true);
    assert_eq!(text_in(&target), "first");
    assert_eq!(names(&place.path().join("new")), ["plate-results"]);
    assert_eq!(names(&target), ["contents.txt", "fields", "summary.json"]);
    let contents = fs::read_to_string(target.join("contents.txt")).unwrap();
    assert_eq!(contents, "results of hoopset, complete\nfields/a.txt\nsummary.json\n");
}

#[test]
fn the_target_does_not_change_before_the_end() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    run(&target, "first", true);
    let folder = ResultsFolder::create(&target).unwrap();
    folder.write("fields/a.txt", b"second").unwrap();
    assert_eq!(text_in(&target), "first");
    folder.write("summary.json", summary(true).as_bytes()).unwrap();
    folder.finish().unwrap();
    assert_eq!(text_in(&target), "second");
    assert_eq!(names(place.path()), ["r"]);
}

#[test]
fn complete_results_are_kept_beside_incomplete_ones_until_a_run_completes() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    run(&target, "good", true);
    run(&target, "failed", false);
    run(&target, "failed again", false);
    assert_eq!(text_in(&target), "failed again");
    assert_eq!(text_in(&place.path().join("r.previous")), "good");
    run(&target, "better", true);
    assert_eq!(text_in(&target), "better");
    assert_eq!(names(place.path()), ["r"]);
}

#[test]
fn what_is_not_ours_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("thesis");
    fs::create_dir(&target).unwrap();
    fs::write(target.join("chapter.txt"), "years of work").unwrap();
    let refusal = ResultsFolder::create(&target).unwrap_err();
    assert!(matches!(refusal, FolderError::Foreign { .. }), "{refusal}");
    assert!(refusal.hint().is_some());

    fs::write(target.join("summary.json"), "{\"program\": {\"name\": \"x\"}, \"complete\": true}")
        .unwrap();
    let refusal = ResultsFolder::create(&target).unwrap_err();
    assert!(matches!(refusal, FolderError::Foreign { .. }), "{refusal}");

    let file = target.join("chapter.txt");
    let refusal = ResultsFolder::create(&file).unwrap_err();
    assert!(matches!(refusal, FolderError::NotAFolder { .. }), "{refusal}");
    let refusal = ResultsFolder::create(Path::new("/")).unwrap_err();
    assert!(matches!(refusal, FolderError::NoName { .. }), "{refusal}");
    assert_eq!(fs::read_to_string(file).unwrap(), "years of work");
    assert_eq!(names(place.path()), ["thesis"]);
}

#[test]
fn a_target_that_became_foreign_during_the_run_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    let folder = ResultsFolder::create(&target).unwrap();
    folder.write("summary.json", summary(true).as_bytes()).unwrap();
    fs::create_dir(&target).unwrap();
    fs::write(target.join("mine.txt"), "mine").unwrap();
    assert!(matches!(folder.finish(), Err(FolderError::Foreign { .. })));
    assert_eq!(names(&target), ["mine.txt"]);
    assert_eq!(names(&place.path().join("r.partial")), ["contents.txt", "summary.json"]);
}

#[test]
fn an_empty_folder_may_be_the_target() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    fs::create_dir(&target).unwrap();
    run(&target, "first", true);
    assert_eq!(names(place.path()), ["r"]);
}

#[test]
fn a_run_without_summary_does_not_finish() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    run(&target, "first", true);
    let folder = ResultsFolder::create(&target).unwrap();
    assert!(matches!(folder.finish(), Err(FolderError::NoSummary { .. })));
    assert_eq!(text_in(&target), "first");
}

#[test]
fn a_second_run_at_the_same_time_is_refused() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    let first = ResultsFolder::create(&target).unwrap();
    first.write("fields/a.txt", b"first").unwrap();
    let refusal = ResultsFolder::create(&target).unwrap_err();
    let FolderError::Busy { process, .. } = &refusal else { panic!("{refusal}") };
    assert_eq!(*process, Some(std::process::id()));
    assert_eq!(fs::read(first.path("fields/a.txt")).unwrap(), b"first");
    drop(first);
    ResultsFolder::create(&target).unwrap();
}

#[test]
fn a_killed_run_is_found_and_its_lock_is_stale() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    let mut child = Command::new(env::current_exe().unwrap())
        .args(["--exact", "folder::a_run_that_hangs", "--ignored", "--nocapture"])
        .env(TARGET, &target)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let output = BufReader::new(child.stdout.take().unwrap());
    assert!(output.lines().map_while(Result::ok).any(|line| line.contains("hanging")));
    let refusal = ResultsFolder::create(&target).unwrap_err();
    assert!(
        matches!(refusal, FolderError::Busy { process: Some(id), .. } if id == child.id()),
        "{refusal}"
    );
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(names(place.path()), ["r.lock", "r.partial"]);

    let folder = ResultsFolder::create(&target).unwrap();
    let leftover = folder.leftover().unwrap();
    assert_eq!(fs::read(leftover.join("snapshots/1")).unwrap(), b"state");
    folder.write("snapshots/2", b"later").unwrap();
    drop(folder); // ends without results: both leftovers are kept

    let folder = ResultsFolder::create(&target).unwrap();
    let leftover = folder.leftover().unwrap();
    assert_eq!(names(&leftover.join("snapshots")), ["1", "2"]);
    folder.write("summary.json", summary(true).as_bytes()).unwrap();
    folder.finish().unwrap();
    assert_eq!(names(place.path()), ["r"]);
}

/// Not a test of its own: the run that the test above kills.
#[test]
#[ignore = "started by a_killed_run_is_found_and_its_lock_is_stale"]
fn a_run_that_hangs() {
    let Some(target) = env::var_os(TARGET) else { return };
    let folder = ResultsFolder::create(Path::new(&target)).unwrap();
    folder.write("snapshots/1", b"state").unwrap();
    writeln!(std::io::stdout(), "\nhanging").unwrap();
    // Far longer than the test needs, so that a lost child still ends.
    std::thread::sleep(std::time::Duration::from_secs(60));
}

#[test]
fn a_run_killed_between_the_renames_loses_nothing() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    // Killed after the old target was moved aside, before the new one stood.
    run(&target, "old", true);
    fs::rename(&target, place.path().join("r.replaced")).unwrap();
    drop(ResultsFolder::create(&target).unwrap());
    assert_eq!(text_in(&target), "old");

    // Killed after the new one stood, before the old one was kept or removed.
    fs::rename(&target, place.path().join("r.replaced")).unwrap();
    let elsewhere = place.path().join("elsewhere");
    run(&elsewhere, "failed", false);
    fs::rename(&elsewhere, &target).unwrap();
    drop(ResultsFolder::create(&target).unwrap());
    assert_eq!(text_in(&target), "failed");
    assert_eq!(text_in(&place.path().join("r.previous")), "old");
}

#[test]
fn names_stay_inside_the_folder() {
    let place = tempfile::tempdir().unwrap();
    let folder = ResultsFolder::create(&place.path().join("r")).unwrap();
    for name in ["../x", "/x", "", "a/../../x"] {
        let refusal = folder.write(name, b"").unwrap_err();
        assert!(matches!(refusal, FolderError::BadName { .. }), "{name}: {refusal}");
    }
    assert_eq!(names(&folder.path("")), ["contents.txt"]);
}

#[cfg(unix)]
#[test]
fn results_are_as_readable_as_any_other_file_of_the_user() {
    use std::os::unix::fs::PermissionsExt;
    let place = tempfile::tempdir().unwrap();
    let folder = ResultsFolder::create(&place.path().join("r")).unwrap();
    let ours = folder.write("a", b"").unwrap();
    let plain = place.path().join("plain");
    fs::write(&plain, b"").unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    assert_eq!(mode(&ours), mode(&plain));
}

#[cfg(unix)]
#[test]
fn a_link_to_a_results_folder_stays_a_link() {
    let place = tempfile::tempdir().unwrap();
    let (target, link) = (place.path().join("r"), place.path().join("link"));
    run(&target, "first", true);
    std::os::unix::fs::symlink(&target, &link).unwrap();
    run(&link, "second", true);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(text_in(&target), "second");
    assert_eq!(names(place.path()), ["link", "r"]);
}

#[test]
fn a_file_of_the_user_in_a_results_folder_stops_the_next_run() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    run(&target, "first", true);
    fs::write(target.join("fields/notes.txt"), "mine").unwrap();
    let refusal = ResultsFolder::create(&target).unwrap_err();
    let FolderError::Strange { files, .. } = &refusal else { panic!("{refusal}") };
    assert_eq!(files[..], ["fields/notes.txt"]);
    assert!(refusal.to_string().contains("notes.txt") && refusal.hint().is_some());
    assert_eq!(text_in(&target), "first");
    fs::remove_file(target.join("fields/notes.txt")).unwrap();
    run(&target, "second", true);
    assert_eq!(text_in(&target), "second");
}

#[test]
fn a_file_put_there_during_the_run_survives_its_end() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    run(&target, "first", true);
    let folder = ResultsFolder::create(&target).unwrap();
    folder.write("summary.json", summary(true).as_bytes()).unwrap();
    fs::write(target.join("notes.txt"), "mine").unwrap();
    assert!(matches!(folder.finish(), Err(FolderError::Strange { .. })));
    assert_eq!(fs::read_to_string(target.join("notes.txt")).unwrap(), "mine");
}

#[test]
fn neighbours_that_are_not_ours_are_left_alone() {
    for ending in ["partial", "leftover", "previous", "replaced"] {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("r");
        run(&target, "good", true);
        let neighbour = place.path().join(format!("r.{ending}"));
        fs::create_dir(&neighbour).unwrap();
        fs::write(neighbour.join("mine.txt"), "mine").unwrap();
        // A complete run removes `previous`; an incomplete one replaces it.
        let outcome = ResultsFolder::create(&target).and_then(|folder| {
            folder.write("summary.json", summary(false).as_bytes())?;
            folder.finish()
        });
        assert!(matches!(outcome, Err(FolderError::Foreign { .. })), "{ending}: {outcome:?}");
        assert_eq!(fs::read_to_string(neighbour.join("mine.txt")).unwrap(), "mine", "{ending}");
    }
}

/// Killed before the mark of its folder was whole: all that can be there is a file that nobody was to see.
#[test]
fn a_folder_whose_mark_was_being_written_is_ours() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    let partial = place.path().join("r.partial");
    fs::create_dir(&partial).unwrap();
    fs::write(partial.join(".writing-a1b2c3"), "results of").unwrap();
    run(&target, "good", true);
    assert_eq!(names(place.path()), ["r"]);
    // One file beside it, and the folder is the user's.
    fs::create_dir(&partial).unwrap();
    fs::write(partial.join(".writing-a1b2c3"), "results of").unwrap();
    fs::write(partial.join("mine.txt"), "mine").unwrap();
    let outcome = ResultsFolder::create(&target);
    assert!(matches!(outcome, Err(FolderError::Foreign { .. })), "{outcome:?}");
}

/// A folder is emptied with its mark last, so that what a killed run leaves of it is still known as ours.
#[test]
fn a_leftover_that_cannot_be_moved_keeps_its_mark() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    let (partial, leftover) = (place.path().join("r.partial"), place.path().join("r.leftover"));
    for folder in [&partial, &leftover] {
        fs::create_dir(folder).unwrap();
        fs::write(folder.join("contents.txt"), "results of hoopset, unfinished\n").unwrap();
    }
    fs::write(partial.join("z.csv"), "new").unwrap();
    // A folder with something in it stands where the file should go.
    fs::create_dir_all(leftover.join("z.csv/old")).unwrap();
    let outcome = ResultsFolder::create(&target);
    assert!(matches!(outcome, Err(FolderError::Io { .. })), "{outcome:?}");
    assert_eq!(names(&partial), ["contents.txt", "z.csv"]);
    fs::remove_dir_all(leftover.join("z.csv")).unwrap();
    run(&target, "good", true);
    assert_eq!(names(place.path()), ["r"]);
}

#[cfg(unix)]
#[test]
fn a_lock_that_is_a_link_a_pipe_or_a_text_is_left_alone() {
    let place = tempfile::tempdir().unwrap();
    let (target, lock) = (place.path().join("r"), place.path().join("r.lock"));
    let diary = place.path().join("diary.txt");
    fs::write(&diary, "mine").unwrap();
    std::os::unix::fs::symlink(&diary, &lock).unwrap();
    assert!(matches!(ResultsFolder::create(&target), Err(FolderError::NotALock { .. })));
    fs::remove_file(&lock).unwrap();
    fs::copy(&diary, &lock).unwrap();
    assert!(matches!(ResultsFolder::create(&target), Err(FolderError::NotALock { .. })));
    assert_eq!(fs::read_to_string(&lock).unwrap(), "mine");
    fs::remove_file(&lock).unwrap();
    assert!(Command::new("mkfifo").arg(&lock).status().unwrap().success());
    assert!(matches!(ResultsFolder::create(&target), Err(FolderError::NotALock { .. })));
    assert_eq!(fs::read_to_string(diary).unwrap(), "mine");
}

#[cfg(unix)]
#[test]
fn a_link_to_nothing_is_found_at_the_start() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("r");
    std::os::unix::fs::symlink(place.path().join("nowhere"), &target).unwrap();
    let refusal = ResultsFolder::create(&target).unwrap_err();
    assert!(matches!(refusal, FolderError::NotAFolder { .. }), "{refusal}");
}
