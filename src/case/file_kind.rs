//! Which command a file is for, before it is read as a case.

use toml::de::DeTable;

use crate::case::complaint::{Complaint, Kind, Source};
use crate::case::keys::{self, CASE_FILE};
use crate::case::table::Table;

/// Whether a file describes a section: a stage draws a mandrel through, or the plate says so.
pub(super) fn is_section(root: &DeTable<'_>) -> bool {
    let plate = root.get("plate").and_then(|plate| plate.get_ref().as_table());
    let word = plate.and_then(|plate| plate.get("idealisation"));
    let stages = root.get("stage").and_then(|stages| stages.get_ref().as_array());
    let draws = stages.is_some_and(|stages| {
        stages
            .iter()
            .any(|stage| stage.get_ref().as_table().is_some_and(|t| t.contains_key("draw")))
    });
    draws || word.is_some_and(|word| word.get_ref().as_str() == Some("section"))
}

/// Files that are given to commands of their own: name, keys that tell it from a case, command.
const OTHER_FILES: [(&str, &[&str], &str); 4] = [
    ("a tool sheet", &["tool", "expansion", "draws"], "toolsheet"),
    ("a study", &["axis", "number", "design"], "study"),
    ("a lot of holes", &["holes"], "shop"),
    ("a file of bar tests", &["test", "metal"], "metal"),
];

/// Rejects an empty file, one for another command and tables that no case has.
pub(super) fn check_is_case(source: Source<'_>, root: &DeTable<'_>) -> Result<(), Complaint> {
    let top = Table::top(source, root);
    if root.is_empty() {
        let remedy = "`hoopset starter` writes a case file to begin from";
        let problem = "the file says nothing";
        return Err(source.complain(&(0..0), "", Kind::MissingKey, problem, remedy));
    }
    let other = OTHER_FILES.iter().find_map(|(file, marks, command)| {
        marks.iter().find(|key| top.has(key)).map(|key| (file, key, command))
    });
    if let Some((file, key, command)) = other.filter(|_| !top.has("stage")) {
        let problem = format!("this is {file} and no case file");
        return Err(top.stray(key, problem, format!("`hoopset {command}` takes it")));
    }
    if is_section(root) && !top.has("section") {
        let problem = "this is a section file and no case file";
        return Err(top.stray("plate", problem, "`hoopset section` takes it"));
    }
    top.only(&keys::top_names(&CASE_FILE))
}
