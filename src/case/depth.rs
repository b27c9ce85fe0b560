//! `depth` and `depth_share`: where through the thickness something was measured on a drawn hole.

use crate::case::border::{Border, plain};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};

/// Remedy for a key that only a section has.
pub(super) const WRITE_SECTION: &str =
    "write [section] for the mandrel that is drawn through the hole, or leave it out";

/// Share of the `thickness` (mm) from the entry face, when the table gives one; `None` for a case without a section,
/// which has none.
pub(super) fn read_depth(
    table: &Table<'_>,
    thickness: Option<f64>,
    border: Border,
) -> Result<Option<f64>, Complaint> {
    let (depth, share) = (table.number("depth")?, table.number("depth_share")?);
    let Some(thickness) = thickness else {
        let key = if depth.is_some() { "depth" } else { "depth_share" };
        if depth.is_none() && share.is_none() {
            return Ok(None);
        }
        let problem =
            format!("`{key}` is given, and the plane model has one stress through the thickness");
        return Err(table.stray(key, problem, WRITE_SECTION));
    };
    let outside = |at: Valued<f64>, limit: String| {
        let problem = format!("`{}` is {}, outside 0 to {limit}", at.key, plain(at.value));
        let remedy = "0 is the entry face, where the mandrel goes in";
        Err(table.about(&at, Kind::OutOfRange, problem, remedy))
    };
    match (depth, share) {
        (Some(_), Some(_)) => {
            let problem = "`depth` and `depth_share` both say where";
            Err(table.stray("depth_share", problem, "keep one of them"))
        }
        (Some(at), None) if !(0.0..=thickness).contains(&border.length(at.value)) => {
            outside(at, border.show_length(thickness))
        }
        (Some(at), None) => Ok(Some(border.length(at.value) / thickness)),
        (None, Some(at)) if !(0.0..=1.0).contains(&at.value) => outside(at, "1".to_owned()),
        (None, share) => Ok(share.map(|share| share.value)),
    }
}
