//! Questions that the page sends: a state of the case, and what is asked of it.

use serde::Deserialize;
use serde_json::Value;

use crate::case::study::Scalar;
use crate::live::Trouble;
use crate::live::answer::Accuracy;
use crate::live::deck::Moves;

/// A question of the page.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Question {
    /// Number of the page, its own choice.
    #[serde(default)]
    pub(super) page: u64,
    /// Controls that were moved.
    #[serde(default)]
    pub(super) moves: serde_json::Map<String, Value>,
    #[serde(default = "full")]
    pub(super) accuracy: Accuracy,
    /// Label of the stage to show; the last one when empty.
    #[serde(default)]
    pub(super) stage: String,
    /// Ends of a line, in the units of the case.
    #[serde(default)]
    pub(super) line: [[f64; 2]; 2],
    /// Name of the hole that polar components are about, or whose section is asked for; the first when empty.
    #[serde(default)]
    pub(super) hole: String,
    /// `paths`, `headlines`, `history`, `section` or `travel`.
    #[serde(default)]
    pub(super) table: String,
}

fn full() -> Accuracy {
    Accuracy::Full
}

impl Question {
    pub(super) fn moves(&self) -> Result<Moves, Trouble> {
        let scalar = |(id, value): (&String, &Value)| {
            let value = match value {
                Value::Number(number) => number.as_f64().map(Scalar::Number),
                Value::String(text) => Some(Scalar::Text(text.clone())),
                _ => None,
            };
            value
                .map(|value| (id.clone(), value))
                .ok_or_else(|| Trouble::Control(format!("`{id}`: a number or a word is wanted")))
        };
        self.moves.iter().map(scalar).collect()
    }
}
