//! Many solutions of one case, read together; and the tools for a hole.
//!
//! Floor 8.

pub mod bracket;
pub mod companions;
pub mod effort;
pub mod fleet;
pub mod idealisations;
pub mod infer;
mod kept_section;
pub mod last_state;
pub mod lives;
pub mod plain_hole;
pub mod reading;
pub mod refinement;
pub mod search;
pub mod section_beside;
pub mod shop;
pub mod sweep;
pub mod toolsheet;
