//! Lives of cracks as files and words: `life.json`, `life.csv`, `life.html`, and the answer for the
//! terminal.
//!
//! Every one of them names the source of the growth constants, says when they are from memory or of
//! another product, and carries the cautions.

mod corner;
mod corner_data;
mod csv;
mod json;
mod outside;
mod page;
mod rows;
mod stands;
mod text;
mod trade_rows;

pub use crate::report::life::corner_data::corner_csv;
pub use crate::report::life::csv::csv;
pub use crate::report::life::json::json;
pub use crate::report::life::page::page;
pub use crate::report::life::text::answer;
