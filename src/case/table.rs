//! The tables of a case file as written, every value with its place, before anything is believed.
//!
//! Lengths are in mm or in, stresses in MPa or ksi, as `units` says; angles in degrees,
//! counter-clockwise from +x. The keys are those of [`crate::case::keys`].
//!
//! The tables are walked by hand rather than derived: a derived reader complains in the
//! words of its library and stops at the first line of a table; this one knows the place
//! of every key and value and says what was meant.

mod values;

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use crate::case::complaint::{Complaint, Kind, Source};
use crate::numeric::nearest::nearest;

/// A value, the key it belongs to, and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Valued<T> {
    /// The value.
    pub(super) value: T,
    /// Its key.
    pub(super) key: &'static str,
    /// Its bytes in the file.
    pub(super) span: Range<usize>,
}

/// A value that stands alone.
#[derive(Clone, Debug, PartialEq)]
pub enum Scalar {
    /// A finite number.
    Number(f64),
    /// Text.
    Text(String),
    /// `true` or `false`.
    Switch(bool),
}

/// Keys that had another name, and the one they have now.
const RENAMED: [(&str, &str); 4] = [
    ("substeps", "strain_parts"),
    ("passes", "repeats"),
    ("holds", "points_are"),
    ("start_hole", "starting_diameter"),
];

/// A table of the file and the words to speak of it.
#[derive(Clone, Debug)]
pub(super) struct Table<'a> {
    /// The file it stands in.
    pub(super) source: Source<'a>,
    /// How messages call it, e.g. `` `[plate]` ``.
    pub(super) name: String,
    /// Its heading, where missing keys are reported.
    pub(super) span: Range<usize>,
    entries: &'a DeTable<'a>,
}

/// How a value looks to the person who wrote it.
fn describe(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(number) if number.radix() != 10 => "a hexadecimal, octal or binary one",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

impl<'a> Table<'a> {
    /// The whole file.
    pub(super) fn top(source: Source<'a>, entries: &'a DeTable<'a>) -> Self {
        Self { source, name: "this file".to_owned(), span: 0..0, entries }
    }

    /// The same table under another name.
    pub(super) fn called(&self, name: String) -> Self {
        Self { name, ..self.clone() }
    }

    /// Whether the table has the key.
    pub(super) fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Where a key itself stands; the heading when it is missing.
    pub(super) fn key_span(&self, key: &str) -> Range<usize> {
        self.entries.get_key_value(key).map_or(self.span.clone(), |(key, _)| key.span())
    }

    /// Refuses the first key that is not among `known`.
    pub(super) fn only(&self, known: &[&'static str]) -> Result<(), Complaint> {
        let stray = self
            .entries
            .keys()
            .filter(|key| !known.contains(&key.get_ref().as_ref()))
            .min_by_key(|key| key.span().start);
        let Some(stray) = stray else { return Ok(()) };
        let word = stray.get_ref().as_ref();
        let renamed = RENAMED.iter().find(|(old, new)| *old == word && known.contains(new));
        let remedy = match (renamed, nearest(word, known.iter().copied())) {
            (Some((_, new)), _) => format!("it is called `{new}` now"),
            (None, Some(meant)) => format!("did you mean `{meant}`?"),
            (None, None) => format!("keys of {}: {}", self.name, quoted(known)),
        };
        let problem = format!("`{}` is no key of {}", word.escape_debug(), self.name);
        Err(self.source.complain(&stray.span(), word, Kind::UnknownKey, problem, remedy))
    }

    /// The complaint that `key` is missing.
    pub(super) fn missing(&self, key: &str, remedy: impl Into<String>) -> Complaint {
        let problem = format!("{} has no `{key}`", self.name);
        self.source.complain(&self.span, key, Kind::MissingKey, problem, remedy)
    }

    /// The complaint that a key stands where it makes no sense.
    pub(super) fn stray(
        &self,
        key: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        self.source.complain(&self.key_span(key), key, Kind::Conflict, problem, remedy)
    }

    /// A complaint about a value.
    pub(super) fn about<T>(
        &self,
        at: &Valued<T>,
        kind: Kind,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        self.source.complain(&at.span, at.key, kind, problem, remedy)
    }

    fn get(&self, key: &str) -> Option<(&'a DeValue<'a>, Range<usize>)> {
        self.entries.get(key).map(|value| (value.get_ref(), value.span()))
    }

    fn wrong_type(
        &self,
        key: &str,
        span: &Range<usize>,
        wanted: &str,
        found: &DeValue<'_>,
        remedy: impl Into<String>,
    ) -> Complaint {
        let problem = format!("`{key}` must {wanted}, not {}", describe(found));
        self.source.complain(span, key, Kind::WrongType, problem, remedy)
    }
}

/// Words in backticks, with commas.
pub(super) fn quoted(words: &[&str]) -> String {
    let quoted: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    quoted.join(", ")
}
