//! The verification book: problems whose answers are known from elsewhere, computed anew.
//!
//! A case is a folder in `verification/` (its input, and what is expected of it with the
//! source and the tolerance of every number) and one small file in [`cases`] that computes. What
//! is expected stands in the folder alone; the code never knows the answer.
//!
//! ```text
//! case.toml ──► bench ──► cases::… ──► Findings ─┐
//! expected.toml ─────────────────────────────────┴─► judge ──► book (HTML, Markdown, JSON)
//! ```
//!
//! The folders are embedded, so the program needs no repository to judge itself.
//!
//! Floor 10.

// `write!` into a string would bring a result that cannot fail to every line of text.
#![allow(clippy::format_push_string, clippy::format_collect)]

pub mod bench;
pub mod book;
pub mod cases;
pub mod cracks;
pub mod expected;
pub mod findings;
pub mod grid;
pub mod judge;
pub mod trouble;
pub mod wall;

use std::sync::atomic::AtomicBool;

use crate::verify::bench::{Bench, Effort};
use crate::verify::cases::Entry;
use crate::verify::expected::{Expected, Flaw};
use crate::verify::findings::Findings;
use crate::verify::judge::{Row, Verdict, judge};
use crate::verify::trouble::Trouble;

/// A case that was run and judged.
#[derive(Debug)]
pub struct Judged {
    /// Name of its folder.
    pub name: &'static str,
    /// Its input file, as it is.
    pub input: String,
    /// Expected values, and all words of the page.
    pub expected: Expected,
    /// Computed values.
    pub findings: Findings,
    /// One row for each expected number.
    pub rows: Vec<Row>,
    /// Why it could not be computed, if it could not.
    pub trouble: Option<String>,
}

impl Judged {
    /// Whether every number that was to be computed agrees.
    #[must_use]
    pub fn agrees(&self) -> bool {
        self.trouble.is_none() && self.rows.iter().all(Row::agrees)
    }

    /// The rows that were to be computed in this run.
    pub fn shown(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().filter(|row| row.verdict != Verdict::LeftOut)
    }
}

/// Runs one case on texts that need not be those of its folder.
///
/// # Errors
///
/// [`Stopped::Flawed`] when the expectations cannot be read, [`Stopped::Interrupted`] when
/// `stop` was raised. A case that fails in any other way is judged and falls short.
pub fn run(
    entry: &Entry,
    input: &str,
    expected: &str,
    effort: Effort,
    stop: &AtomicBool,
) -> Result<Judged, Stopped> {
    let expected = Expected::parse(entry.name, expected).map_err(Stopped::Flawed)?;
    let bench = Bench { name: entry.name, input, settings: &expected.settings, effort, stop };
    let (findings, trouble) = match (entry.run)(&bench) {
        Ok(findings) => (findings, None),
        Err(Trouble::Interrupted) => return Err(Stopped::Interrupted),
        Err(trouble) => (Findings::default(), Some(trouble.to_string())),
    };
    let rows = judge(&expected.quantity, &findings, effort);
    Ok(Judged { name: entry.name, input: input.to_owned(), expected, findings, rows, trouble })
}

/// Why there is no judgement.
#[derive(Debug)]
#[non_exhaustive]
pub enum Stopped {
    /// The user interrupted.
    Interrupted,
    /// The expectations of a case cannot be read.
    Flawed(Flaw),
}
