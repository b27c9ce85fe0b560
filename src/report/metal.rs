//! The constants of a metal and how well they are known: words, tables, files, a page.

mod files;
mod page;
mod words;

pub use crate::report::metal::files::{constants, correlation, deviations, json};
pub use crate::report::metal::page::page;
pub(in crate::report) use crate::report::metal::words::digits;
pub use crate::report::metal::words::{rows, sentences};
