//! The results of a run as files: tables, fields, summary, page; and the folder they lie in.
//!
//! Values arrive in mm, N, MPa and leave in the units of the case. Everything but
//! `timings.json` is a function of the case and the program alone, so two runs of one
//! case give the same bytes.
//!
//! Floor 9.

// `write!` into a string would bring a result that cannot fail to every line of text, to save
// an allocation that is nothing beside the file it goes into.
#![allow(clippy::format_push_string, clippy::format_collect)]

pub mod band;
pub mod cautions;
pub mod comparison;
pub mod convergence;
pub mod csv;
pub mod escape;
pub mod folder;
pub mod gauge;
pub mod infer;
mod input_units;
mod inputs;
pub mod json;
pub mod laid_over;
pub mod life;
pub mod material;
pub mod measured;
pub mod metal;
pub mod number;
pub mod page;
pub mod record;
pub mod run;
pub mod search;
pub mod section;
pub mod section_beside;
pub mod section_page;
pub mod section_vtu;
pub mod service_words;
pub mod shop;
pub mod show;
pub mod stored;
pub mod study;
pub mod table;
pub mod toolsheet;
pub mod vtu;
pub mod write;
