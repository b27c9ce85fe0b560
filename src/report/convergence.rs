//! The convergence study as files: `convergence.json` and `convergence.csv`, and its table.
//!
//! The files hold every headline number in the units of the case; the table for people joins
//! paths that mirror each other.

mod files;
mod method;
mod rows;

pub use crate::report::convergence::files::{csv, json};
pub use crate::report::convergence::method::METHOD;
pub(super) use crate::report::convergence::rows::{NOTE, levels, rows};
pub use crate::report::convergence::rows::{answer, remarks};
