//! hoopset: residual hoop stress around cold-expanded holes.

pub mod element;
pub mod geometry;
pub mod material;
pub mod mesh;
pub mod numeric;
pub mod plot;
pub mod process;
pub mod result;
pub mod tensor;
pub mod units;
