//! Many solutions of one case, read together.
//!
//! Floor 8.

pub mod life;
pub mod refinement;
