//! A lot of holes as files, pages and words: `shop.json`, `holes.csv`, `shop.html`, `inspector.html`.

mod files;
mod inspector;
mod page;
mod rows;

pub use crate::report::shop::files::{csv, json};
pub use crate::report::shop::inspector::inspector;
pub use crate::report::shop::page::page;
pub use crate::report::shop::rows::{answer, sentences};
