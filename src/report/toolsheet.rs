//! The tool sheet as files and words: `toolsheet.json`, `toolsheet.csv`, `toolsheet.html`, with repair
//! sizes `chain.csv`, and the answer for the terminal.

mod answer;
mod band;
mod chain;
mod files;
mod page;
mod rows;

pub use crate::report::toolsheet::answer::answer;
pub use crate::report::toolsheet::chain::chain_csv;
pub use crate::report::toolsheet::files::{csv, json};
pub use crate::report::toolsheet::page::page;
pub use crate::report::toolsheet::rows::place;
