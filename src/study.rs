//! Many solutions of one case, read together; and the tools for a hole.
//!
//! Floor 8.

pub mod fleet;
pub mod life;
pub mod refinement;
pub mod toolsheet;
