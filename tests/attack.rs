//! Attacks on the whole program: damaged snapshots, closed and full outputs, full disks.
//!
//! No source: that nothing wrong is shown, nothing is lost and nothing panics is the whole claim.
//! The damage is the same in every run. The long attack is
//! `cargo test --release --test attack -- --ignored`.
#![allow(clippy::unwrap_used, missing_docs)]
#![cfg(unix)]

#[path = "common/bracket.rs"]
mod bracket;
#[path = "attack/disks.rs"]
mod disks;
#[path = "attack/inputs.rs"]
mod inputs;
#[path = "attack/kills.rs"]
mod kills;
#[path = "attack/nonsense.rs"]
mod nonsense;
#[path = "attack/pipes.rs"]
mod pipes;
#[path = "common/program.rs"]
mod process;
#[path = "attack/snapshots.rs"]
mod snapshots;
#[path = "attack/workshop.rs"]
mod workshop;
