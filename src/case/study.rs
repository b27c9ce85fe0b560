//! The study file: a base case, axes along which it varies, and the numbers that are wanted.
//!
//! Its keys are those of [`STUDY_FILE`](crate::case::keys::STUDY_FILE). A case of the study is made by
//! changing values in the text of the base case, which is then read as any case file is: whatever is
//! wrong with it is told with the line of the base case.
//!
//! Lengths and stresses are in the units of the base case.

mod axes;
mod charts;
mod definition;
mod expression;
mod key_path;
mod life_number;
mod lookup;
mod made;
mod numbers;
mod read;
mod search;
mod spacing;

use std::path::Path;

use sha2::{Digest, Sha256};

pub use crate::case::study::axes::{Axis, Level, Range, Setting, Target, with_unit};
pub use crate::case::study::charts::Chart;
pub use crate::case::study::definition::{Base, Design, Study, Tie, Value};
pub use crate::case::study::expression::Expression;
pub use crate::case::study::key_path::KeyPath;
pub use crate::case::study::life_number::{CrackKind, LifeNumber, LifeReading};
pub use crate::case::study::made::{Made, Unmade, Variables};
pub use crate::case::study::numbers::{Measured, Number, Reading, Towards, When};
pub use crate::case::study::search::{Search, Wanted};
pub use crate::case::table::Scalar;

use crate::case::complaint::{Complaint, Source};
use crate::case::{hexadecimal, read_text};

/// Reads a study file and the base case that it names, which lies beside it.
///
/// # Errors
///
/// As [`crate::case::read`], for either file.
pub fn read(path: &Path) -> Result<Study, Complaint> {
    let (text, name) = read_text(path)?;
    parse(&text, &name, |file| read_text(&path.with_file_name(file)))
}

/// Reads the text of a study file that complaints call `file_name`; `base` gives the text of the base case
/// and the name that complaints call it by.
///
/// # Errors
///
/// The first [`Complaint`] about either file.
pub fn parse(
    text: &str,
    file_name: &str,
    base: impl FnOnce(&str) -> Result<(String, String), Complaint>,
) -> Result<Study, Complaint> {
    let source = Source { file: file_name, text: text.strip_prefix('\u{feff}').unwrap_or(text) };
    let mut study = read::build(source, base)?;
    text.clone_into(&mut study.text);
    study.sha256 = hexadecimal(&Sha256::digest(text.as_bytes()));
    Ok(study)
}
