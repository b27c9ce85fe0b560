//! `expected.toml`: the words of a page, and every expected number with source and tolerance.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

/// Expected values of a case, and the words of its page.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    /// Heading of the page.
    pub title: String,
    /// Whether the case belongs to the quick subset.
    #[serde(default)]
    pub quick: bool,
    /// The problem in words.
    pub problem: String,
    /// A drawing in letters.
    #[serde(default)]
    pub sketch: String,
    /// Common mistakes.
    #[serde(default)]
    pub trap: String,
    /// Measurements beyond the table, and open questions.
    #[serde(default)]
    pub notes: String,
    /// Numbers that the run needs beside its input: meshes, radii, pressures.
    #[serde(default)]
    pub settings: toml::Table,
    /// Where the expected numbers come from.
    pub source: BTreeMap<String, Source>,
    /// The expected numbers.
    pub quantity: Vec<Quantity>,
}

/// A source.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Author, year, work, page or equation.
    pub text: String,
    /// How far it was read.
    pub label: Label,
}

/// How an expected number is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Label {
    /// The source was read.
    Read,
    /// Somebody's transcription of the source was read.
    ReadInTranscription,
    /// Recalled, not looked up.
    FromMemory,
    /// Evaluated independently of any finite elements, converged to the digits shown.
    Computed,
    /// Worked out again from first principles.
    Derived,
    /// A property of the method rather than of a problem.
    Method,
    /// Known in the trade, no single source.
    CommonPractice,
}

impl Label {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::ReadInTranscription => "read in a transcription",
            Self::FromMemory => "from memory",
            Self::Computed => "computed without finite elements",
            Self::Derived => "derived",
            Self::Method => "property of the method",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// One expected number: `value` within `tolerance · of`, or a bound.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Quantity {
    /// Name under which the run reports it.
    pub key: String,
    /// In words.
    pub what: String,
    /// The number.
    pub value: Option<f64>,
    /// A lower bound in place of it.
    pub at_least: Option<f64>,
    /// An upper bound in place of it, or beside the lower one.
    pub at_most: Option<f64>,
    /// Unit.
    #[serde(default)]
    pub unit: String,
    /// Largest distance from `value`, as a share of `of`.
    pub tolerance: Option<f64>,
    /// The same downward, where theory allows an error upward only.
    pub tolerance_below: Option<f64>,
    /// Reference of the error; the value itself when left out.
    pub of: Option<f64>,
    /// Why the tolerance is what it is.
    pub why: String,
    /// Key of the source.
    pub source: String,
    /// Whether only the whole run computes it.
    #[serde(default)]
    pub whole_only: bool,
}

/// Expectations that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flaw {
    /// The case.
    pub case: String,
    /// The mistake.
    pub problem: String,
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "expectations of case `{}`: {}", self.case, self.problem)
    }
}

impl std::error::Error for Flaw {}

impl Expected {
    /// Reads the text of an `expected.toml`.
    ///
    /// # Errors
    ///
    /// [`Flaw`] for text that does not fit, a quantity without a bound or source, a tolerance
    /// that measures nothing.
    pub fn parse(case: &str, text: &str) -> Result<Self, Flaw> {
        let flaw = |problem: String| Flaw { case: case.to_owned(), problem };
        let expected: Self = toml::from_str(text).map_err(|e| flaw(e.to_string()))?;
        for (k, quantity) in expected.quantity.iter().enumerate() {
            let key = &quantity.key;
            if expected.quantity[..k].iter().any(|earlier| earlier.key == *key) {
                return Err(flaw(format!("`{key}` is expected twice")));
            }
            if !expected.source.contains_key(&quantity.source) {
                return Err(flaw(format!("`{key}` has no source `{}`", quantity.source)));
            }
            match (quantity.value, quantity.at_least.or(quantity.at_most)) {
                (Some(_), None) => {
                    let tolerance = quantity.tolerance.unwrap_or(0.0);
                    if !(tolerance > 0.0 && quantity.scale() > 0.0) {
                        return Err(flaw(format!("the tolerance of `{key}` measures nothing")));
                    }
                }
                (None, Some(_)) => {}
                _ => return Err(flaw(format!("`{key}` needs either a value or a bound"))),
            }
        }
        Ok(expected)
    }
}

impl Quantity {
    /// Reference of the error, in the unit of the quantity.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.of.or(self.value).unwrap_or(1.0).abs()
    }
}
