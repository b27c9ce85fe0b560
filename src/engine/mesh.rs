//! From plate to mesh: rings of quadrilaterals round every hole, triangles between.
//!
//! [`build`] is the whole way; the modules below are its steps in order.
//!
//! Floor 3.

pub mod adjacency;
pub mod bush;
pub mod check;
pub mod export;
pub mod grid_file;
pub mod import;
pub mod locate;
pub mod mating;
pub mod mesh_error;
pub mod overlap;
pub mod plan;
pub mod region;
pub mod region_numbers;
pub mod section;
pub mod section_grid;
pub mod section_sleeve;
pub mod sheet;
pub mod store;
pub mod symmetry;
pub mod topology;

mod angles;
mod assemble;
mod features;
mod fill;
mod grade;
mod half;
mod inside;
mod layers;
mod outline;
mod polish;
mod rings;
mod size;
pub mod walls;

pub use assemble::build;
