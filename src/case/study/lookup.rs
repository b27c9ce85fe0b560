//! Names of axes, numbers and holes that one table of a study uses and another gives.

use crate::case::complaint::{Complaint, Kind};
use crate::case::study::axes::Axis;
use crate::case::table::{Table, Valued};
use crate::numeric::nearest::nearest;

/// The index of the axis that `key` names.
pub(super) fn axis_named(
    table: &Table<'_>,
    key: &'static str,
    axes: &[Axis],
) -> Result<Option<usize>, Complaint> {
    let Some(name) = table.text(key)? else { return Ok(None) };
    let found = axes.iter().position(|axis| axis.name == name.value);
    let names: Vec<&str> = axes.iter().map(|axis| axis.name.as_str()).collect();
    found.map(Some).ok_or_else(|| unknown(table, &name, "axis", &names))
}

/// The complaint about a name that is none of `names`.
pub(super) fn unknown(
    table: &Table<'_>,
    at: &Valued<&str>,
    what: &str,
    names: &[&str],
) -> Complaint {
    let problem = format!("the study has no {what} `{}`", at.value.escape_debug());
    let remedy = match nearest(at.value, names.iter().copied()) {
        Some(meant) => format!("did you mean `{meant}`?"),
        None if names.is_empty() => format!("write a [[{what}]] first"),
        None => format!("it has: {}", names.join(", ")),
    };
    table.about(at, Kind::UnknownName, problem, remedy)
}
