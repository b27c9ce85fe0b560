//! Results folder and files: what is written is what was meant, whole, and the same every time.

#![allow(clippy::unwrap_used)]

#[path = "report/fields.rs"]
mod fields;
#[path = "report/files.rs"]
mod files;
#[path = "report/folder.rs"]
mod folder;
#[path = "common/grid.rs"]
mod grid;
#[path = "report/sample.rs"]
mod sample;
#[path = "report/summary.rs"]
mod summary;
