//! Elements: shape functions, integration of one element, and how good its shape is.
//!
//! Floor 1.

pub mod quality;
pub mod shape;
