//! From plate to mesh: rings of quadrilaterals round every hole, triangles between.
//!
//! Floor 2.

pub mod topology;
