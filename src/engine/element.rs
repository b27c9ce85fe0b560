//! Elements: shape functions, integration of one element, and how good its shape is.
//!
//! Floor 2.

pub mod edge;
pub mod kernel;
pub mod nominal;
pub mod point_field;
pub mod quality;
pub mod shape;
