//! Sections of the metal round one hole: contact, friction, drawn mandrels, cuts.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_precision_loss, missing_docs)]

mod common;

#[path = "section/beside.rs"]
mod beside;
#[path = "section/case.rs"]
mod case;
#[path = "section/contact.rs"]
mod contact;
#[path = "section/draw.rs"]
mod draw;
