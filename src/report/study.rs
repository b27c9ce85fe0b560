//! Files of a study: the journal while it runs; then one table, in CSV and Parquet, its description in
//! JSON, and the page.

pub mod columns;
mod csv;
pub mod journal;
mod json;
pub mod page;
mod parquet;
pub mod table;

pub use crate::report::study::columns::{Cell, Column, Kind};
pub use crate::report::study::csv::{paths_csv, table_csv};
pub use crate::report::study::journal::{Journal, JournalError};
pub use crate::report::study::json::description;
pub use crate::report::study::parquet::{paths_parquet, table_parquet};
pub use crate::report::study::table::Table;
