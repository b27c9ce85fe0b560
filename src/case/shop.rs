//! The shop file: limits, gauges and measured sizes of a lot of holes that are all the hole of one case.
//!
//! Its keys are those of [`SHOP_FILE`](crate::case::keys::SHOP_FILE). The table of holes has a row a
//! hole; a cell that is empty was not measured. Lengths inside are mm.

mod read;
mod size;
mod table;

use std::path::Path;

use sha2::{Digest, Sha256};

pub use crate::case::shop::size::Size;
pub use crate::case::shop::table::{COLUMNS, HoleRow};

use crate::case::complaint::{Complaint, Source};
use crate::case::study::Base;
use crate::case::{Case, hexadecimal, read_text};
use crate::units::Units;

/// A shop file to begin from, every key explained.
pub const SHOP_STARTER: &str = include_str!("shop/starter.toml");

/// The table of holes that it names.
pub const HOLES_STARTER: &str = include_str!("shop/starter.csv");

/// How the surrogate is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Solutions along the applied expansion and along the depth of the ream.
    pub grid: [usize; 2],
    /// Solutions at random sizes that tell its error.
    pub checks: usize,
    /// Where the random numbers start.
    pub seed: u64,
}

/// A shop file and its table, read and checked.
#[derive(Clone, Debug)]
pub struct Shop {
    /// Heading of figures and pages.
    pub title: String,
    /// Units of case, file and table.
    pub units: Units,
    /// The case of the nominal hole.
    pub case: Case,
    /// The same as text that can be varied.
    pub base: Base,
    /// Index of the hole.
    pub hole: usize,
    /// Numbers of the stages that expand and ream it, from 1.
    pub stages: (usize, Option<usize>),
    /// Whether the case says how large the tool is by `applied_expansion`.
    pub by_expansion: bool,
    /// Direction in which stresses are read, degrees; `None`: towards the nearest edge.
    pub path: Option<f64>,
    /// Starting diameter.
    pub start: Size,
    /// Mandrel diameter.
    pub mandrel: Size,
    /// Wall of the sleeve; `None` without one.
    pub sleeve: Option<Size>,
    /// Standard error of a reading of the expanded diameter, mm.
    pub expanded: f64,
    /// Standard uncertainty of the expanded diameter of the model, common to all holes, mm.
    pub model: f64,
    /// Diameter after the ream; `None` when the case does not ream the hole.
    pub reamed: Option<Size>,
    /// Largest share of sound holes that may be called suspects.
    pub false_alarms: f64,
    /// How the surrogate is made.
    pub effort: Effort,
    /// The holes, in the order of the table or of its column `order`.
    pub holes: Vec<HoleRow>,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Name of the table of holes.
    pub table: String,
    /// SHA-256 of the bytes of the table.
    pub table_sha256: String,
}

/// Reads a shop file, the case and the table of holes that it names, which lie beside it.
///
/// # Errors
///
/// The first [`Complaint`] about any of the three; of the table it names the line, and the column counted
/// in cells.
pub fn read(path: &Path) -> Result<Shop, Complaint> {
    let (text, name) = read_text(path)?;
    let source = Source { file: &name, text: text.strip_prefix('\u{feff}').unwrap_or(&text) };
    let mut shop = read::build(source)?;
    shop.sha256 = hexadecimal(&Sha256::digest(text.as_bytes()));
    shop.text = text;
    Ok(shop)
}
