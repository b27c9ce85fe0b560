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
#[path = "common/page.rs"]
mod page;

use hoopset::Idealisation;
use hoopset::plot::{Curve, Look};
use hoopset::process::history::Phase;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use lesson::{Lesson, Outcome, near, sheet_driven_out};
use page::{Page, fixed};

fn main() -> Outcome<()> {
    let lesson = Lesson::run(include_str!("spring_back.toml"), "spring_back.toml")?;
    let material = &lesson.case.job.material;
    let (inner, outer) = (lesson.case.job.plate.holes[0].radius(), 30.0);
    let ring = Ring::new(inner, outer, material.elasticity, Idealisation::PlaneStress)?;

    // What the tool saw: pressure at full size, and what the edge kept.
    let end = |stage: &str, phase: Phase| {
        let mut records = lesson.trace.records.iter().rev();
        records.find(|r| r.stage == stage && r.phase == phase).ok_or("a phase is missing")
    };
    let (little, back) = (end("1-expand-A", Phase::Expand)?, end("1-expand-A", Phase::Release)?);
    let (much, left) = (end("2-expand-A", Phase::Expand)?, end("2-expand-A", Phase::Release)?);

    // By hand: an elastic ring for the first, Nádai's sheet for the second.
    let spring = ring.at_pressure(1.0)?.displacement(inner)?;
    let little_by_hand = 0.002 * inner / spring;
    let loaded = sheet_driven_out(&lesson.case, 0.008 * inner)?;
    let kept_by_hand = 0.008 * inner - spring * loaded.pressure();
    let residual = loaded.released(1.0)?;

    let edge = lesson.path("2-expand-A", "A", 0.0).1.edge_hoop;
    let mut page = Page::open("examples/spring_back.md")?;
    let row = |words: &str, by_hand: f64, program: f64, decimals: usize| {
        vec![words.to_owned(), fixed(by_hand, decimals), fixed(program, decimals)]
    };
    // Where the work went: what the tool put in and did not get back.
    let energy = |stage: &str| {
        let of_stage = lesson.trace.history.iter().rev().find(|r| r.stage == stage);
        of_stage.map_or([0.0; 3], |r| [r.external_work, r.elastic_energy, r.plastic_work])
    };
    let work = |words: &str, value: f64| vec![words.to_owned(), String::new(), fixed(value, 1)];
    let [kept, stored, spent] = energy("2-expand-A");
    page.table(
        "comparison",
        &["", "by hand", "program"],
        &[
            row("0.2 %: pressure, MPa", little_by_hand, little.mean_pressure, 1),
            row("0.2 %: displacement left at the bore, mm", 0.0, back.edge_displacement, 4),
            row("0.8 %: pressure, MPa", loaded.pressure(), much.mean_pressure, 1),
            row(
                "0.8 %: displacement left at the bore, mm",
                kept_by_hand,
                left.edge_displacement,
                4,
            ),
            row("0.8 %: hoop stress left at the edge, MPa", residual.hoop(inner)?, edge, 1),
            work("0.8 %: work that the tool did not get back, N·mm", kept),
            work("of it stored as residual stress", stored),
            work("of it spent in plastic flow", spent),
        ],
    );
    page.value("work after 0.2 %", energy("1-expand-A")[0]);

    // 1e-9: nothing yielded, so it is Newton's tolerance that is left.
    assert!(back.edge_displacement.abs() < 1e-9 && back.stress.hoop.abs() < 1e-4);
    // 0.1 %: the mesh alone.
    near("pressure at 0.2 %", little.mean_pressure, little_by_hand, 1e-3);
    // 0.5 %: the increments follow the growing zone.
    near("pressure at 0.8 %", much.mean_pressure, loaded.pressure(), 5e-3);
    // 1.5 %: half a per cent of pressure is more of the small difference of two displacements.
    near("what the hole keeps", left.edge_displacement, kept_by_hand, 0.015);
    near("hoop left", edge, residual.hoop(inner)?, 0.015);
    // 1 %: the work of an increment is taken with its mean force.
    near("the balance of work", kept, stored + spent, 0.01);

    if let Some(folder) = lesson::folder() {
        let profile = residual.hoop_profile(8.0, 40)?;
        let pairs = profile.distances().iter().zip(profile.values());
        let by_hand = Curve {
            label: "by hand: Nádai, then Lamé taken away".to_owned(),
            points: pairs.map(|(x, y)| [*x, *y]).collect(),
            look: Look::Points,
        };
        lesson.draw(&[by_hand], [8.0, 1.2], &folder)?;
    }
    Ok(page.close()?)
}
