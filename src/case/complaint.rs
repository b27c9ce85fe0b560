//! Messages about a wrong case file: the place, the mistake, and the remedy.

use std::fmt;
use std::ops::Range;

/// Longest message, characters: some five lines of a terminal. None of ours is longer unless it quotes
/// the file.
const LONGEST_MESSAGE: usize = 480;

/// The kind of a mistake, for callers that sort them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Kind {
    /// The file cannot be had: missing, a folder, too large, not text.
    Unreadable,
    /// The text is not TOML.
    Syntax,
    /// A key that no table of this kind has.
    UnknownKey,
    /// A key or table that cannot be done without.
    MissingKey,
    /// A value of the wrong type, e.g. text for a number.
    WrongType,
    /// A word that is none of the words allowed, or a hole that does not exist.
    UnknownName,
    /// A number outside its limits.
    OutOfRange,
    /// Keys or tables that contradict each other.
    Conflict,
    /// A plate that cannot be drawn: holes outside it, or into each other.
    Geometry,
    /// A stage that cannot follow the ones before it.
    Sequence,
}

/// One mistake in a case file.
///
/// `Display` gives `FILE:LINE:COLUMN: what is wrong` on one line; [`Complaint::hint`]
/// says what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Complaint {
    /// The file, as the caller named it.
    pub file: String,
    /// Line and column from 1, the column counted in characters; `None` when the
    /// complaint is about the file as a whole.
    pub place: Option<(usize, usize)>,
    /// The key at fault, when there is one.
    pub key: Option<Box<str>>,
    /// The kind of mistake.
    pub kind: Kind,
    /// The mistake, one line, no full stop.
    pub problem: String,
    /// The remedy, one line, no full stop.
    pub remedy: String,
}

impl Complaint {
    /// The remedy.
    #[must_use]
    pub fn hint(&self) -> &str {
        &self.remedy
    }

    /// A complaint about a file as a whole.
    pub(super) fn whole_file(
        file: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            place: None,
            key: None,
            kind: Kind::Unreadable,
            problem: problem.into(),
            remedy: remedy.into(),
        }
    }
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.file)?;
        if let Some((line, column)) = self.place {
            write!(f, "{line}:{column}:")?;
        }
        write!(f, " {}", self.problem)
    }
}

impl std::error::Error for Complaint {}

/// The text of a case file and its name: turns byte ranges into places.
#[derive(Clone, Copy, Debug)]
pub(super) struct Source<'a> {
    /// Name of the file, as the caller gave it.
    pub(super) file: &'a str,
    /// Its text, without byte order mark.
    pub(super) text: &'a str,
}

impl Source<'_> {
    /// Line and column of a byte, both from 1, the column in characters.
    pub(super) fn place(&self, byte: usize) -> (usize, usize) {
        let mut backwards = (0..=byte.min(self.text.len())).rev();
        let end = backwards.find(|at| self.text.is_char_boundary(*at)).unwrap_or(0);
        let before = &self.text[..end];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }

    /// A complaint about the bytes of `span`, where `key` stands or is missing.
    pub(super) fn complain(
        &self,
        span: &Range<usize>,
        key: &str,
        kind: Kind,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        Complaint {
            file: self.file.to_owned(),
            place: Some(self.place(span.start)),
            key: (!key.is_empty()).then(|| key.into()),
            kind,
            problem: readable(problem.into()),
            remedy: readable(remedy.into()),
        }
    }
}

/// A message that someone can read: one that quotes a long word of the file loses its middle.
fn readable(message: String) -> String {
    let length = message.chars().count();
    if length <= LONGEST_MESSAGE {
        return message;
    }
    let start: String = message.chars().take(LONGEST_MESSAGE / 2).collect();
    let end: String = message.chars().skip(length - LONGEST_MESSAGE / 4).collect();
    format!("{start} … {end}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_counts_characters_not_bytes() {
        let source = Source { file: "a.toml", text: "one\ntitle = \"Gelenkträger\" x\n" };
        let byte = source.text.find('x').expect("there is one");
        assert_eq!(source.place(byte), (2, 24));
        assert_eq!(source.place(source.text.len()), (3, 1));
        assert_eq!(source.place(10_000), (3, 1));
    }

    #[test]
    fn a_long_word_of_the_file_is_quoted_in_part() {
        let source = Source { file: "a.toml", text: "" };
        let problem = format!("`fineness` is 1{}, outside 0.25 to 8", "0".repeat(100_000));
        let complaint = source.complain(&(0..0), "fineness", Kind::OutOfRange, problem, "");
        assert!(complaint.problem.starts_with("`fineness` is 1000"));
        assert!(complaint.problem.ends_with("00, outside 0.25 to 8"));
        assert!(complaint.problem.chars().count() < LONGEST_MESSAGE);
    }
}
