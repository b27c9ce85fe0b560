//! The unknowns of a case as measurements tell them: words, tables, files, a page.

mod files;
mod page;
mod rows;
mod words;

pub use files::{band, json, readings};
pub use page::page;
pub use rows::{numbers, rows, singles};
pub use words::sentences;
