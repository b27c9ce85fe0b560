//! The band of an answer: what mesh and increments, the hardening law and the idealisation leave open.

use crate::process::job::Numerics;
use crate::report::page::html::{minus, table};
use crate::report::show::Show;
use crate::result::accuracy::edge_error;
use crate::units::Units;

/// Words for each of the three; where one has no meaning, why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Band {
    /// Mesh and increments.
    pub mesh: String,
    /// Hardening law.
    pub hardening: String,
    /// Idealisation of the direction through the thickness.
    pub idealisation: String,
}

impl Band {
    /// The three as a table.
    #[must_use]
    pub fn html(&self) -> String {
        let row = |what: &str, words: &str| vec![what.to_owned(), words.to_owned()];
        let rows = [
            row("left open by", "in this answer"),
            row("mesh, increments", &self.mesh),
            row("hardening", &self.hardening),
            row("idealisation", &self.idealisation),
        ];
        table("Band of the answer", &rows)
    }
}

/// Words for the error of the hoop stress at an edge.
#[must_use]
pub fn edge_words(numerics: &Numerics, yield_stress: f64, units: Units) -> String {
    match edge_error(numerics, yield_stress) {
        Some(error) => format!(
            "hoop stress at an edge ±{} {}: the largest error of the defaults in twenty-two cases",
            Show { units }.stress(error),
            units.stress_name()
        ),
        None => "not known for numerics coarser than the default".to_owned(),
    }
}

/// Lowest and highest of some values in words, `lowest to highest`; `None` for less than two.
#[must_use]
pub fn range(values: &[f64], print: impl Fn(f64) -> String) -> Option<String> {
    if values.len() < 2 {
        return None;
    }
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(format!("{} to {}", minus(&print(low)), minus(&print(high))))
}
