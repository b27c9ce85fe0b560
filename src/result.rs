//! What is read off the finished states: recovered fields, paths, zones, the summary.
//!
//! Floor 5.

pub mod path;
pub mod stage;
pub mod summary;
