//! The book: one page for a browser and paper, the same in Markdown, all numbers in JSON.
//!
//! ```text
//! book.html               everything, figures inside
//! book.md                 the summary table; a page for each case beside it:
//! NAME/README.md          page, NAME/*.svg, *.png, *.csv figures and their numbers
//! NAME/case.toml, NAME/expected.toml are those of `verification/`
//! summary.json            all numbers
//! timings.json            seconds, the only file that differs between two runs
//! ```

mod figures;
mod html;
mod json;
mod markdown;
mod words;

use std::fmt;

use crate::plot::FigureError;
use crate::report::folder::folder_error::FolderError;
use crate::report::folder::{ResultsFolder, SUMMARY};
use crate::report::json::timings;
use crate::report::record::Record;
use crate::verify::Judged;
use crate::verify::bench::Effort;

/// Identity of the book.
#[derive(Clone, Debug, Default)]
pub struct Front {
    /// Number, revision and date.
    pub record: Record,
    /// SHA-256 of all inputs and expected numbers, one after the other, hexadecimal.
    pub sha256: String,
}

/// A book that could not be written.
#[derive(Debug)]
#[non_exhaustive]
pub enum BookError {
    /// The folder refused a file.
    Folder(FolderError),
    /// A figure could not be drawn.
    Figure(FigureError),
    /// A drawn figure could not be read back.
    Read(std::io::Error),
    /// A JSON file could not be made.
    Json(serde_json::Error),
}

impl fmt::Display for BookError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Folder(error) => error.fmt(f),
            Self::Figure(error) => error.fmt(f),
            Self::Read(error) => write!(f, "cannot read a figure back: {error}"),
            Self::Json(error) => write!(f, "cannot write the numbers: {error}"),
        }
    }
}

impl std::error::Error for BookError {}

impl From<FolderError> for BookError {
    fn from(error: FolderError) -> Self {
        Self::Folder(error)
    }
}

impl From<FigureError> for BookError {
    fn from(error: FigureError) -> Self {
        Self::Figure(error)
    }
}

impl From<serde_json::Error> for BookError {
    fn from(error: serde_json::Error) -> Self {
        Self::Json(error)
    }
}

/// Writes the book of the cases in the order given, and the seconds each took.
///
/// # Errors
///
/// [`BookError`] of any kind; the folder then stays unfinished.
pub fn write(
    judged: &[Judged],
    seconds: &[(&str, f64)],
    effort: Effort,
    front: &Front,
    folder: &ResultsFolder,
) -> Result<(), BookError> {
    let mut drawn = Vec::with_capacity(judged.len());
    for case in judged {
        let pictures = figures::draw(case, &folder.subfolder(case.name)?)?;
        let page = markdown::page(case, &pictures);
        folder.write(&format!("{}/README.md", case.name), page.as_bytes())?;
        drawn.push(pictures);
    }
    folder.write("book.md", markdown::book(judged, effort).as_bytes())?;
    folder.write("book.html", html::book(judged, &drawn, effort, front).as_bytes())?;
    folder.write("timings.json", timings(seconds)?.as_bytes())?;
    folder.write(SUMMARY, json::numbers(judged, effort)?.as_bytes())?;
    Ok(())
}
