//! Finite strain: logarithmic strain round the return maps, from one point to whole plates.
#![allow(clippy::unwrap_used, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

#[path = "finite/element.rs"]
mod element;
#[path = "finite/laws.rs"]
mod laws;
#[path = "finite/loads.rs"]
mod loads;
#[path = "finite/point.rs"]
mod point;
#[path = "finite/superposed.rs"]
mod superposed;
#[path = "finite/walls.rs"]
mod walls;
