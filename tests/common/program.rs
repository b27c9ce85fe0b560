//! The program as a user runs it, and the files it leaves.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// The program, to be run in `folder` without standard input.
pub(crate) fn program(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_hoopset"));
    command.current_dir(folder).stdin(Stdio::null());
    command
}

/// Its answer to `arguments`.
pub(crate) fn hoopset(folder: &Path, arguments: &[&str]) -> Output {
    program(folder).args(arguments).output().expect("the program starts")
}

/// Every file below `folder` but the timings, by relative name.
#[allow(dead_code, reason = "one of the test binaries looks at single files only")]
pub(crate) fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    let mut waiting = vec![folder.to_owned()];
    while let Some(place) = waiting.pop() {
        for entry in fs::read_dir(&place).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                waiting.push(path);
            } else if path.file_name() != Some("timings.json".as_ref()) {
                let name = path.strip_prefix(folder).expect("inside").display().to_string();
                found.push((name, fs::read(&path).expect("readable")));
            }
        }
    }
    found.sort();
    found
}
