//! Lesson: why does a spring come back, and a yielded ring does not?
//!
//! ```text
//! cargo run --release --example spring_back               prints and checks
//! cargo run --release --example spring_back -- FOLDER     also draws the figures of the page
//! ```
//!
//! The page to read beside it is `examples/spring_back.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
use lesson::{Lesson, Outcome};

fn main() -> Outcome<()> {
    let lesson = Lesson::run(include_str!("spring_back.toml"), "spring_back.toml")?;
    for r in &lesson.trace.records {
        println!(
            "{} {:?} {:.3} {:.5} {:.1} {:.5} {:.5}",
            r.stage,
            r.phase,
            r.share,
            r.edge_displacement,
            r.stress.hoop,
            r.strain.hoop,
            r.equivalent_plastic_strain
        );
    }
    if let Some(folder) = lesson::folder() {
        lesson.draw(&[], 9.0, &folder)?;
    }
    Ok(())
}
