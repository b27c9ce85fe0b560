//! The elastic answers: patch test, ring, and holes in plates against published factors.
//!
//! "Computed" values come from series or spectral solutions evaluated without any finite
//! elements; the `theory` module says which.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

#[path = "elastic/holes.rs"]
mod holes;
#[path = "elastic/patch.rs"]
mod patch;
#[path = "elastic/ring.rs"]
mod ring;
#[path = "elastic/section.rs"]
mod section;
#[path = "elastic/symmetry.rs"]
mod symmetry;
