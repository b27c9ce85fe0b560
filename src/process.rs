//! What is done to the plate: tools, stages, and their sequence.
//!
//! Floor 5.

pub mod coating;
pub mod elastic;
pub mod error;
pub mod expand;
pub mod history;
pub mod job;
pub mod ligament;
pub mod load;
pub mod plain;
pub mod plan;
pub mod program;
pub mod ream;
pub mod section;
pub mod sequence;
pub mod service;
pub mod snapshot;
pub mod stage;
pub mod tool;
pub mod trace;
pub mod transfer;

mod collect;
