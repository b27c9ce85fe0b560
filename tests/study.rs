//! Studies: what a study file may say, the cases it makes, sharing of stages, the journal, and the
//! command as a user runs, kills and repeats it.
#![allow(clippy::unwrap_used, clippy::float_cmp, clippy::cast_possible_truncation, missing_docs)]

mod study {
    mod cases;
    mod effects;
    mod killed;
    mod lives;
    mod program;
    mod reams;
    mod slurm;
    mod wrong;
}

#[path = "common/program.rs"]
mod run;

use hoopset::case::Complaint;
use hoopset::case::study::{Study, parse};

/// A round plate, so coarse that a case takes some hundredths of a second.
pub(crate) const BASE: &str = r#"title = "Disc"
units = "mm-MPa"
[plate]
outer_diameter = 24.0
thickness = 3.0
alloy = "2024-T351 plate"
[[hole]]
name = "A"
starting_diameter = 6.0
[[stage]]
expand = "A"
applied_expansion = 0.03
[[stage]]
load = { tension = 100.0, on = ["rim"] }
[numerics]
fineness = 0.3
increments = 4
"#;

/// A study of [`BASE`] with `rest`.
pub(crate) fn read(rest: &str) -> Result<Study, Complaint> {
    let text = format!("case = \"disc.toml\"\n{rest}");
    parse(&text, "study.toml", |_| Ok((BASE.to_owned(), "disc.toml".to_owned())))
}
