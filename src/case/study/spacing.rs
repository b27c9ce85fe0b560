//! `spacing`: how the values of a range lie, or those of the scale of a chart.

use crate::case::border::unknown_word;
use crate::case::complaint::Complaint;
use crate::case::keys::study_file::SPACINGS;
use crate::case::table::Table;

/// Whether `spacing` of a range or a scale is logarithmic.
pub(super) fn is_logarithmic(table: &Table<'_>) -> Result<bool, Complaint> {
    let Some(word) = table.text("spacing")? else { return Ok(false) };
    if SPACINGS.contains(&word.value) {
        return Ok(word.value == "logarithmic");
    }
    Err(unknown_word(table, &word, "spacing", &SPACINGS))
}
