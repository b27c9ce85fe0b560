//! The tool sheet as files and words: `toolsheet.json`, `toolsheet.csv`, `toolsheet.html`, and the
//! answer for the terminal.

mod band;
mod files;
mod page;
mod rows;

pub use crate::report::toolsheet::files::{csv, json};
pub use crate::report::toolsheet::page::page;
pub use crate::report::toolsheet::rows::{answer, place};
