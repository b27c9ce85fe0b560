//! `table.csv` and `paths.csv` of a study.

use std::io::{self, Write};

use crate::report::escape;
use crate::report::number;
use crate::report::study::columns::{Cell, columns};
use crate::report::study::journal::JournalError;
use crate::report::study::table::Table;

/// Columns of the file of paths, after the case.
pub(super) const OF_PATHS: [&str; 8] = [
    "stage",
    "hole",
    "angle_deg",
    "distance",
    "hoop",
    "radial",
    "von_mises",
    "equivalent_plastic_strain",
];

/// An error of the journal as one of writing.
pub(super) fn as_io(error: JournalError) -> io::Error {
    match error {
        JournalError::Read { source, .. } => source,
        other => io::Error::other(other.to_string()),
    }
}

/// Writes the table: a head row of names, then one row for every finished case.
///
/// # Errors
///
/// Of the system.
pub fn table_csv(table: &mut Table<'_>, file: &mut dyn Write) -> io::Result<()> {
    let names: Vec<String> =
        columns(table.study, table.numbers).into_iter().map(|column| column.name).collect();
    writeln!(file, "{}", names.join(","))?;
    for index in 0..table.points.len() {
        let Some(row) = table.row(index).map_err(as_io)? else { continue };
        let cells: Vec<String> = row.cells.iter().map(cell).collect();
        writeln!(file, "{}", cells.join(","))?;
    }
    Ok(())
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Count(count) => count.to_string(),
        Cell::Text(text) => escape::cell(text).into_owned(),
        Cell::Number(value) => value.map(number::text).unwrap_or_default(),
    }
}

/// Writes all paths of all cases.
///
/// # Errors
///
/// Of the system.
pub fn paths_csv(table: &mut Table<'_>, file: &mut dyn Write) -> io::Result<()> {
    writeln!(file, "case,{}", OF_PATHS.join(","))?;
    for index in 0..table.points.len() {
        let Some(outcome) = table.journal.outcome(index).map_err(as_io)? else { continue };
        for row in &outcome.paths {
            let numbers = row.numbers.map(number::text).join(",");
            let (stage, hole) = (escape::cell(&row.stage), escape::cell(&row.hole));
            writeln!(
                file,
                "{},{stage},{hole},{},{numbers}",
                index + 1,
                number::text(row.angle_deg)
            )?;
        }
    }
    Ok(())
}
