//! Doublers: bonded against shear lag, fastened against strips and springs, and what both leave.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

mod common;

#[path = "doubler/bonded.rs"]
mod bonded;
#[path = "doubler/case.rs"]
mod case;
#[path = "doubler/fastened.rs"]
mod fastened;
#[path = "doubler/parts.rs"]
mod parts;
