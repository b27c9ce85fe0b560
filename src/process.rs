//! What is done to the plate: tools, stages, and their sequence.
//!
//! Floor 4.

pub mod history;
pub mod job;
pub mod stage;
pub mod tool;
