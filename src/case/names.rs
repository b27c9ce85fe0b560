//! Names that a user gives to holes, edges and cut-outs.

use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};

/// Longest name; names become parts of file names.
pub(super) const LONGEST_NAME: usize = 32;

/// Refuses a name that cannot stand in a file name. `what` has the name, e.g. `a hole`.
pub(super) fn check_name(
    table: &Table<'_>,
    name: &Valued<&str>,
    what: &str,
) -> Result<(), Complaint> {
    let fits = |letter: char| letter.is_ascii_alphanumeric() || "-_".contains(letter);
    let word = name.value;
    let this = what.trim_start_matches("an ").trim_start_matches("a ");
    let problem = if word.is_empty() {
        format!("the name of {what} is empty")
    } else if let Some(letter) = word.chars().find(|letter| !fits(*letter)) {
        format!("`{}` in the name of {what} cannot stand in a file name", letter.escape_debug())
    } else if word.starts_with('-') {
        format!("the name `{word}` begins with a hyphen, which commands take for an option")
    } else if word.len() > LONGEST_NAME {
        format!("the name of this {this} has {} letters", word.len())
    } else {
        return Ok(());
    };
    let remedy =
        format!("use up to {LONGEST_NAME} letters a to z, digits, `-` and `_`; it names files");
    Err(table.about(name, Kind::OutOfRange, problem, remedy))
}
