//! Text files that a case names: they lie beside the case file.

use std::path::Path;

use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};

/// The text of the file `name`, a value of `table`, of so many MiB at most.
///
/// # Errors
/// A [`Complaint`] about the name when there is no such file, or when it is too large or no text.
pub(super) fn read_beside(
    table: &Table<'_>,
    name: &Valued<&str>,
    most_mib: u64,
) -> Result<String, Complaint> {
    let refuse =
        |problem: String, remedy: &str| Err(table.about(name, Kind::Unreadable, problem, remedy));
    let shown = name.value.escape_debug().to_string();
    let path = Path::new(table.source.file).with_file_name(name.value);
    let found = std::fs::metadata(&path);
    if name.value.is_empty() || !found.as_ref().is_ok_and(std::fs::Metadata::is_file) {
        return refuse(
            format!("there is no file `{shown}`"),
            "it is looked for beside the case file",
        );
    }
    if found.is_ok_and(|file| file.len() > most_mib << 20) {
        let problem = format!("`{shown}` is larger than {most_mib} MiB");
        return refuse(problem, "is this another file?");
    }
    match std::fs::read(&path).map(String::from_utf8) {
        Ok(Ok(text)) => Ok(text),
        _ => refuse(format!("`{shown}` is not UTF-8 text"), "save it as UTF-8"),
    }
}
