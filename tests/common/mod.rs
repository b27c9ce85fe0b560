//! What the physics tests share: metals, meshes made by hand, walls under pressure, runs.
#![allow(dead_code, missing_docs, unreachable_pub, reason = "each test binary uses a part of this")]
#![allow(clippy::unwrap_used, clippy::cast_precision_loss)]

pub mod expansion;
pub mod laws;
pub mod meshes;
pub mod metals;
pub mod plates;
pub mod wall;
