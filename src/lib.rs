//! hoopset: residual hoop stress around cold-expanded holes.

pub mod case;
pub mod element;
pub mod geometry;
pub mod material;
pub mod mesh;
pub mod numeric;
pub mod plot;
pub mod process;
pub mod report;
pub mod result;
pub mod solver;
pub mod tensor;
pub mod theory;
pub mod units;
