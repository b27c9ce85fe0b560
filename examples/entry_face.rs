//! Lesson: why does the face at which the mandrel enters keep least?
//!
//! ```text
//! cargo run --release --example entry_face               prints and checks
//! ```
//!
//! The page to read beside it is `examples/entry_face.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::ops::ControlFlow;

use hoopset::process::section::observer::SectionObserver;
use hoopset::process::section::record::{SectionSnapshot, TravelRecord};
use hoopset::process::section::run::SectionRun;
use hoopset::process::section::{SectionJob, SectionStage};
use hoopset::result::section::hoop_by_row;
use hoopset::solver::friction::Friction;
use hoopset::solver::state::State;
use hoopset::solver::system::System;
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

/// Share of the thickness at a face over which its stress is averaged.
const SKIN: f64 = 0.05;

/// Keeps the last snapshot of a run.
#[derive(Default)]
struct Last(Option<SectionSnapshot>);

impl SectionObserver for Last {
    fn increment(&mut self, _: &TravelRecord, _: &System, _: &State) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: SectionSnapshot) -> ControlFlow<()> {
        self.0 = Some(snapshot);
        ControlFlow::Continue(())
    }
}

/// A section after its work: what the bore keeps, MPa.
struct Kept {
    entry: f64,
    middle: f64,
    exit: f64,
    travel: Vec<TravelRecord>,
}

/// Does one stage on the section of the case.
fn work(job: &SectionJob, stage: SectionStage) -> Outcome<Kept> {
    let mut last = Last::default();
    SectionRun::new(SectionJob { stages: vec![stage], ..job.clone() })?.run(&mut last)?;
    let snapshot = last.0.ok_or("the work has no end")?;
    let rows: Vec<(f64, f64)> = hoop_by_row(&snapshot)
        .iter()
        .filter_map(|(depth, row)| Some((depth / job.part.thickness, row.at(0.0)?)))
        .collect();
    let mean = |from: f64, to: f64| {
        let parts = 2000;
        let at = |k: i32| from + (f64::from(k) + 0.5) / f64::from(parts) * (to - from);
        (0..parts).map(|k| between(&rows, at(k))).sum::<f64>() / f64::from(parts)
    };
    Ok(Kept {
        entry: mean(0.0, SKIN),
        middle: mean(0.45, 0.55),
        exit: mean(1.0 - SKIN, 1.0),
        travel: snapshot.travel,
    })
}

/// Value of a line through `rows` at a share of the depth.
fn between(rows: &[(f64, f64)], share: f64) -> f64 {
    let after = rows.partition_point(|(z, _)| *z < share).clamp(1, rows.len() - 1);
    let ((z0, h0), (z1, h1)) = (rows[after - 1], rows[after]);
    h0 + (h1 - h0) * (share - z0) / (z1 - z0)
}

fn main() -> Outcome<()> {
    let lesson = Lesson::run(include_str!("entry_face.toml"), "entry_face.toml")?;
    let sheet = lesson.path("1-expand-A", "A", 0.0).1.edge_hoop;
    let job = &lesson.case.sections[0].section;
    let Some(SectionStage::Draw { tool, support, .. }) = job.stages.first().cloned() else {
        return Err("the case has no draw".into());
    };
    let draw = |friction: f64, backwards: bool| {
        let tool = hoopset::process::section::DrawTool {
            friction: Friction::constant(friction),
            ..tool.clone()
        };
        work(job, SectionStage::Draw { tool, support, backwards })
    };
    let even = work(job, SectionStage::Grow { diameter: tool.acting_diameter() })?;
    let smooth = draw(0.0, false)?;
    let rough = draw(0.1, false)?;
    let back = draw(0.0, true)?;

    let mut page = Page::open("examples/entry_face.md")?;
    let row = |words: &str, kept: &Kept| {
        let share = fixed(kept.entry / kept.middle, 2);
        let stresses = [kept.entry, kept.middle, kept.exit].map(|value| fixed(value, 0));
        [vec![words.to_owned()], stresses.to_vec(), vec![share]].concat()
    };
    page.table(
        "faces",
        &["MPa", "entry face", "middle", "exit face", "entry over middle"],
        &[
            row("tool grows evenly", &even),
            row("drawn without friction", &smooth),
            row("drawn with friction 0.1", &rough),
            row("drawn the other way, without friction", &back),
        ],
    );
    page.value("plane model", sheet);
    let peak = |kept: &Kept| {
        let force = |record: &&TravelRecord| record.pull_force;
        let found = kept.travel.iter().max_by(|a, b| force(a).total_cmp(&force(b)));
        found.cloned().ok_or("a draw without increments")
    };
    let (light, heavy) = (peak(&smooth)?, peak(&rough)?);
    page.value("pull without friction", light.pull_force);
    page.value("pull with friction", heavy.pull_force);
    page.value("radial force", heavy.radial_force);
    page.value("friction", heavy.friction_force);

    // Nothing is drawn, so nothing tells the faces apart: two runs of rounding.
    near("faces of the even tool", even.exit, even.entry, 1e-3);
    // The same draw seen from the other side.
    near("mirrored draw", back.exit, smooth.entry, 0.01);
    near("mirrored draw", back.entry, smooth.exit, 0.01);
    // 3 %: the skin is a twentieth of the thickness, and the metal hardens.
    near("the free face by hand", even.entry / even.middle, 0.75_f64.sqrt(), 0.03);
    // Least compression where the mandrel entered; more than the free face alone explains.
    assert!(smooth.entry > smooth.exit + 100.0 && smooth.exit > even.exit + 100.0);
    // Friction gives some of it back at the entry face.
    assert!(rough.entry < smooth.entry - 50.0 && rough.middle < smooth.middle);
    // Coulomb: friction is μ times the radial force, but for the slope of the tapers (1 %).
    near("friction", heavy.friction_force, 0.1 * heavy.radial_force, 0.01);
    // The plate is held by the nose cap alone.
    near("nose cap", heavy.support_force, heavy.pull_force, 1e-6);
    let end = rough.travel.last().ok_or("a draw without increments")?;
    let spent = end.friction_work + end.elastic_energy + end.plastic_work;
    near("work of the pull", end.tool_work, spent, 0.01);
    Ok(page.close()?)
}
