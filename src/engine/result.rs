//! Results of the finished states: recovered fields, paths, zones, the summary.
//!
//! Floor 6.

pub mod accuracy;
mod bend;
pub mod closed_form;
pub mod coating;
pub mod depth;
pub mod fit;
pub mod frames;
pub mod gauge;
pub mod headline;
mod kink;
pub mod measured;
pub mod numbers;
mod patches;
pub mod path;
pub mod read;
pub mod recovery;
pub mod refinement;
pub mod sampling;
pub mod section;
pub mod section_map;
pub mod service_summary;
pub mod shape;
pub mod stage;
pub mod summary;
pub mod warnings;
