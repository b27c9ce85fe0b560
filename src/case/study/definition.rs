//! A study as it was read: base case, axes, values, numbers.

use toml_edit::DocumentMut;

use crate::case::study::axes::Axis;
use crate::case::study::charts::Chart;
use crate::case::study::expression::Expression;
use crate::case::study::key_path::KeyPath;
use crate::case::study::numbers::Number;
use crate::case::study::search::Search;
use crate::units::Units;

/// How the cases of a study lie in the space of its axes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Design {
    /// Every combination of the values of all axes; the last axis varies fastest.
    Grid,
    /// So many cases that each axis, cut into as many parts, has one case in each.
    LatinHypercube {
        /// Cases.
        count: usize,
        /// Where the random numbers start.
        seed: u64,
    },
}

/// A number computed from the axes, with a column of its own.
#[derive(Clone, Debug, PartialEq)]
pub struct Value {
    /// Its name.
    pub name: String,
    /// How it is computed.
    pub expression: Expression,
    /// Words on charts.
    pub label: String,
    /// Its unit; may be empty.
    pub unit: String,
}

/// A key of the case that follows the axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Tie {
    /// The key.
    pub key: KeyPath,
    /// The number it gets.
    pub to: Expression,
}

/// The case that is varied.
#[derive(Clone, Debug)]
pub struct Base {
    /// The file, as complaints call it.
    pub file: String,
    /// Its text.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
    /// Units of the study and its results.
    pub units: Units,
    /// Names of its holes, in order.
    pub holes: Vec<String>,
    /// Its text as a document whose values can be changed.
    pub(super) document: DocumentMut,
}

/// A study file, read and checked.
#[derive(Clone, Debug)]
pub struct Study {
    /// Heading of page and charts.
    pub title: String,
    /// The question it answers; may be empty.
    pub question: String,
    /// The case that is varied.
    pub base: Base,
    /// The axes, in the order of the file.
    pub axes: Vec<Axis>,
    /// Values computed from them, each after those it needs.
    pub values: Vec<Value>,
    /// Keys tied to axes and values.
    pub ties: Vec<Tie>,
    /// Conditions under which a case is skipped.
    pub skips: Vec<Expression>,
    /// How the cases lie.
    pub design: Design,
    /// The numbers that are read from every case; when empty, the headline numbers of its last state.
    pub numbers: Vec<Number>,
    /// The charts asked for.
    pub charts: Vec<Chart>,
    /// The search, when the file asks for one.
    pub search: Option<Search>,
    /// Whether whole paths are kept.
    pub paths: bool,
    /// The file as it is, for the echo.
    pub text: String,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}
