//! Work on the plate: tools, stages, and their sequence.
//!
//! Floor 5.

pub mod bush;
pub mod coating;
pub mod doubler;
pub mod elastic;
pub mod expand;
pub mod flowed;
pub mod gauge;
pub mod history;
pub mod job;
pub mod joint_reading;
pub mod ligament;
pub mod load;
pub mod measured;
pub mod plain;
pub mod plan;
pub mod program;
pub mod ream;
pub mod region;
mod region_metals;
pub mod relaxation;
pub mod section;
pub mod sequence;
pub mod service_history;
pub mod sheet_view;
pub mod snapshot;
pub mod stage;
pub mod stage_error;
pub mod tool;
pub mod trace;
pub mod transfer;

mod collect;
mod sheet_points;
