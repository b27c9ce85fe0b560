//! The table of holes: a row a hole, columns by name.

use std::collections::BTreeMap;

use crate::case::border::Border;
use crate::case::columns::Columns;
use crate::case::complaint::Complaint;
use crate::case::shop::size::Size;
use crate::case::table::quoted;
use crate::numeric::nearest::nearest;

/// Columns of the table; `hole` must be there, and of the sizes at least one.
pub const COLUMNS: [&str; 7] =
    ["hole", "order", "start", "mandrel", "sleeve", "expanded", "reamed"];

/// Longest name of a hole, characters.
const LONGEST_NAME: usize = 40;

/// A reading further from the middle of its limits than this share of it is a slip of the pen or of the
/// unit, not a size that a shop could leave.
const SLIP: f64 = 0.5;

/// The readings of one hole, mm; `None` where nothing was measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HoleRow {
    /// Its name.
    pub name: String,
    /// Starting diameter.
    pub start: Option<f64>,
    /// Mandrel diameter.
    pub mandrel: Option<f64>,
    /// Wall of the sleeve.
    pub sleeve: Option<f64>,
    /// Mean diameter after the expansion, before the ream.
    pub expanded: Option<f64>,
    /// Diameter after the ream.
    pub reamed: Option<f64>,
}

/// Sizes by which readings are checked for slips: start, mandrel, sleeve, reamed.
pub(super) struct Nominal {
    pub(super) start: Size,
    pub(super) mandrel: Size,
    pub(super) sleeve: Option<Size>,
    pub(super) reamed: Option<Size>,
}

/// The holes of `columns`, put into the order of the column `order` when there is one.
pub(super) fn read_holes(
    columns: &Columns,
    nominal: &Nominal,
    border: Border,
) -> Result<Vec<HoleRow>, Complaint> {
    check_head(columns, nominal)?;
    if let Some(complaint) = columns.too_long() {
        return Err(complaint);
    }
    let names = read_names(columns)?;
    let column = |name: &'static str, size: Option<Size>| {
        let Some(size) = size.filter(|_| columns.has(name)) else {
            return Ok(vec![None; names.len()]);
        };
        let limits =
            [1.0 - SLIP, 1.0 + SLIP].map(|by| by * size.middle() / border.units.length_scale());
        let numbers = columns.numbers(name, limits, true)?;
        Ok(numbers.into_iter().map(|n| n.map(|n| border.length(n))).collect::<Vec<_>>())
    };
    let start = column("start", Some(nominal.start))?;
    let mandrel = column("mandrel", Some(nominal.mandrel))?;
    let sleeve = column("sleeve", nominal.sleeve)?;
    // An expanded hole is about as large as the starting hole.
    let expanded = column("expanded", Some(nominal.start))?;
    let reamed = column("reamed", nominal.reamed)?;
    let mut holes: Vec<HoleRow> = names
        .into_iter()
        .enumerate()
        .map(|(k, name)| HoleRow {
            name,
            start: start[k],
            mandrel: mandrel[k],
            sleeve: sleeve[k],
            expanded: expanded[k],
            reamed: reamed[k],
        })
        .collect();
    let measured = |hole: &HoleRow| hole.start.or(hole.expanded).or(hole.reamed).is_some();
    if let Some(row) = holes.iter().position(|hole| !measured(hole)) {
        let problem = format!("hole `{}` has no reading at all", holes[row].name.escape_debug());
        let remedy = "give `start`, `expanded` or `reamed`, or leave the row out";
        return Err(columns.about(row, "hole", problem, remedy));
    }
    if columns.has("order") {
        let order = columns.all_numbers("order", [-1e15, 1e15])?;
        let mut by: Vec<usize> = (0..holes.len()).collect();
        // Rows of equal order stay as they stand in the table.
        by.sort_by(|a, b| order[*a].total_cmp(&order[*b]));
        holes = by.into_iter().map(|k| std::mem::take(&mut holes[k])).collect();
    }
    Ok(holes)
}

/// Rejects a column that would not be read, for it would be missed.
fn check_head(columns: &Columns, nominal: &Nominal) -> Result<(), Complaint> {
    for name in columns.names().iter().filter(|name| !name.is_empty()) {
        if !COLUMNS.contains(&name.as_str()) {
            let problem = format!("a table of holes has no column `{}`", name.escape_debug());
            let remedy = match nearest(name, COLUMNS) {
                Some(meant) => format!("is it `{meant}`?"),
                None => format!("its columns are {}", quoted(&COLUMNS)),
            };
            return Err(columns.about_head(name, problem, remedy));
        }
    }
    let unlimited = [("sleeve", nominal.sleeve.is_none()), ("reamed", nominal.reamed.is_none())];
    for (name, without) in unlimited {
        if without && columns.has(name) {
            let problem =
                format!("the column `{name}` is there, and the shop file has no [{name}]");
            let remedy = format!("write [{name}] with its limits, or leave the column out");
            return Err(columns.about_head(name, problem, remedy));
        }
    }
    Ok(())
}

/// Names of the holes, each once.
fn read_names(columns: &Columns) -> Result<Vec<String>, Complaint> {
    let names = columns.texts("hole")?;
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, name) in names.iter().enumerate() {
        if name.is_empty() {
            let problem = "the hole of this row has no name";
            return Err(columns.about(row, "hole", problem, "give every hole a name of its own"));
        }
        if name.chars().count() > LONGEST_NAME || name.chars().any(char::is_control) {
            let problem = "the name of this hole is too long, or holds a control character";
            let remedy = format!("up to {LONGEST_NAME} characters");
            return Err(columns.about(row, "hole", problem, remedy));
        }
        if let Some(first) = seen.insert(name, row) {
            let problem = format!(
                "hole `{}` stands in this row and in line {}",
                name.escape_debug(),
                columns.line(first)
            );
            let remedy = "keep one row a hole, or give the second a name of its own";
            return Err(columns.about(row, "hole", problem, remedy));
        }
    }
    Ok(names)
}
