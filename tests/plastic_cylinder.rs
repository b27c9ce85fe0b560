//! Pressurised walls that yield: published examples and closed forms, loading and unloading.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

#[path = "plastic_cylinder/hardening.rs"]
mod hardening;
#[path = "plastic_cylinder/orders.rs"]
mod orders;
#[path = "plastic_cylinder/plane_strain.rs"]
mod plane_strain;
#[path = "plastic_cylinder/sheet.rs"]
mod sheet;
