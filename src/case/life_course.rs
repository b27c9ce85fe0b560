//! The course of the load of `[life]`: one cycle, blocks, a spectrum.

use crate::case::beside::read_beside;
use crate::case::border::required_positive;
use crate::case::complaint::Complaint;
use crate::case::keys::row::names;
use crate::case::keys::stage_keys;
use crate::case::program::{check_ratio, read_ends};
use crate::case::table::{Table, Valued};

/// Largest spectrum file, MiB.
const LARGEST_MIB: u64 = 1;

/// How the load comes and goes.
#[derive(Clone, Debug, PartialEq)]
pub enum LoadCourse {
    /// Between the stated load and this share of it.
    Ratio(f64),
    /// Blocks `[highest, lowest, cycles]` in order, repeated; shares of the load.
    Blocks(Vec<[f64; 3]>),
    /// Text of a spectrum file, turning points as shares of the load.
    Spectrum {
        /// Name of the file.
        file: String,
        /// Text in it.
        text: String,
    },
}

impl LoadCourse {
    /// Whether the load goes below zero. A spectrum that is no list of numbers does not.
    pub(super) fn turns_round(&self) -> bool {
        match self {
            Self::Ratio(ratio) => *ratio < 0.0,
            Self::Blocks(blocks) => blocks.iter().any(|[_, lowest, _]| *lowest < 0.0),
            Self::Spectrum { text, .. } => {
                let words = text.lines().filter_map(|line| line.split('#').next());
                words.filter_map(|word| word.trim().parse::<f64>().ok()).any(|share| share < 0.0)
            }
        }
    }
}

pub(super) fn read_course(table: &Table<'_>) -> Result<LoadCourse, Complaint> {
    let ways: Vec<&str> =
        ["load_ratio", "blocks", "spectrum"].into_iter().filter(|key| table.has(key)).collect();
    if let [first, second, ..] = ways.as_slice() {
        let problem = format!("`{second}` and `{first}` both say how the load goes");
        return Err(table.stray(second, problem, "keep one of them"));
    }
    if table.has("blocks") {
        return read_blocks(table);
    }
    if let Some(name) = table.text("spectrum")? {
        return read_spectrum(table, &name);
    }
    let Some(ratio) = table.number("load_ratio")? else { return Ok(LoadCourse::Ratio(0.0)) };
    check_ratio(table, &ratio)?;
    Ok(LoadCourse::Ratio(ratio.value))
}

pub(super) fn read_blocks(table: &Table<'_>) -> Result<LoadCourse, Complaint> {
    let example = "for example `blocks = [{ highest = 1.0, lowest = 0.1, cycles = 100 }]`";
    let tables = table.tables("blocks", "block of [life], number", example)?;
    let mut blocks = Vec::with_capacity(tables.len());
    for block in &tables {
        block.only(&names(stage_keys::BLOCK))?;
        let [highest, lowest] = read_ends(block, example)?;
        let cycles = required_positive(block, "cycles", "how often the block goes up and down")?;
        blocks.push([highest, lowest, cycles.value]);
    }
    if blocks.is_empty() {
        return Err(table.stray("blocks", "`blocks` lists no block", example));
    }
    Ok(LoadCourse::Blocks(blocks))
}

pub(super) fn read_spectrum(
    table: &Table<'_>,
    name: &Valued<&str>,
) -> Result<LoadCourse, Complaint> {
    let text = read_beside(table, name, LARGEST_MIB)?;
    Ok(LoadCourse::Spectrum { file: name.value.to_owned(), text })
}
