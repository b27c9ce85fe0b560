//! Bushes in holes, against closed forms, radial solutions and limits.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

#[path = "bush/case.rs"]
mod case;
mod common;
#[path = "bush/elastic.rs"]
mod elastic;
#[path = "bush/friction.rs"]
mod friction;
#[path = "bush/parts.rs"]
mod parts;
#[path = "bush/plastic.rs"]
mod plastic;
#[path = "bush/radial.rs"]
mod radial;
#[path = "bush/study.rs"]
mod study;
