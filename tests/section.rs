//! Sections of the metal round one hole: contact, friction, drawn mandrels, cuts.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::cast_precision_loss,
    missing_docs
)]

mod common;

#[path = "section/beside.rs"]
mod beside;
#[path = "section/buckling.rs"]
mod buckling;
#[path = "section/case.rs"]
mod case;
#[path = "section/contact.rs"]
mod contact;
#[path = "section/doubled.rs"]
mod doubled;
#[path = "section/draw.rs"]
mod draw;
#[path = "section/energy.rs"]
mod energy;
#[path = "section/limits.rs"]
mod limits;
#[path = "section/long_hole.rs"]
mod long_hole;
#[path = "section/opinion.rs"]
mod opinion;
#[path = "section/repair.rs"]
mod repair;
#[path = "section/resumed.rs"]
mod resumed;
#[path = "section/shop.rs"]
mod shop;
#[path = "section/sleeve.rs"]
mod sleeve;
#[path = "section/sleeve_pulled.rs"]
mod sleeve_pulled;
#[path = "section/sleeved.rs"]
mod sleeved;
#[path = "section/spotface.rs"]
mod spotface;
