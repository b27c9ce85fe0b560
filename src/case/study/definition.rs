//! A study as it was read: base case, axes, values, numbers.

use sha2::{Digest, Sha256};
use toml_edit::DocumentMut;

use crate::case::study::axes::{Axis, Level, Setting};
use crate::case::study::charts::Chart;
use crate::case::study::expression::Expression;
use crate::case::study::key_path::KeyPath;
use crate::case::study::numbers::Number;
use crate::case::study::search::Search;
use crate::case::{Case, hexadecimal};
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
    /// Whether it asks for lives.
    pub has_life: bool,
    /// Its text as a document whose values can be changed.
    pub(super) document: DocumentMut,
}

impl Base {
    /// The base of a case that was read from `text`, which complaints call `file`.
    ///
    /// # Errors
    ///
    /// Why the text cannot be changed.
    pub(crate) fn new(text: &str, file: &str, case: &Case) -> Result<Self, String> {
        let document = text.trim_start_matches('\u{feff}').parse::<DocumentMut>();
        Ok(Self {
            sha256: hexadecimal(&Sha256::digest(text.as_bytes())),
            units: case.units,
            holes: case.job.plate.holes.iter().map(|hole| hole.name.clone()).collect(),
            has_life: case.life.is_some(),
            file: file.to_owned(),
            text: text.to_owned(),
            document: document.map_err(|error| error.to_string())?,
        })
    }

    /// Whether stage `number`, from 1, writes `key`.
    pub(crate) fn has_key(&self, number: usize, key: &str) -> bool {
        let stages = self.document.get("stage").and_then(toml_edit::Item::as_array_of_tables);
        stages.and_then(|all| all.get(number - 1)).is_some_and(|stage| stage.contains_key(key))
    }
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

impl Study {
    /// A study of which every case is a list of keys to be set, without a file.
    pub(crate) fn of_variants(base: Base, cases: Vec<Vec<Setting>>, numbers: Vec<Number>) -> Self {
        let variant = |(k, set): (usize, Vec<Setting>)| Level::Variant { name: k.to_string(), set };
        let axis = Axis {
            name: "variant".to_owned(),
            label: "variant".to_owned(),
            unit: String::new(),
            target: None,
            levels: cases.into_iter().enumerate().map(variant).collect(),
            range: None,
            counted: false,
        };
        Self {
            title: String::new(),
            question: String::new(),
            base,
            axes: vec![axis],
            values: vec![],
            ties: vec![],
            skips: vec![],
            design: Design::Grid,
            numbers,
            charts: vec![],
            search: None,
            paths: false,
            text: String::new(),
            sha256: String::new(),
        }
    }
}
