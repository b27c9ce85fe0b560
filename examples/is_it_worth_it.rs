//! Is the expansion worth it? Lives of a crack at an edge hole, plain and expanded.
//!
//! `cargo run --release --example is_it_worth_it [FOLDER]` prints the lives and checks what
//! `is_it_worth_it.md` says; with a folder it also draws the figures there.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use hoopset::Case;
use hoopset::case::parse;
use hoopset::plot::life_figures;
use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::Observer;
use hoopset::process::snapshot::Snapshot;
use hoopset::process::stage::{Load, Stage};
use hoopset::report::life::answer;
use hoopset::study::lives::{LifeReport, lives, plan};
use lesson::Outcome;
use page::{Page, fixed, grouped};

const CASE: &str = include_str!("is_it_worth_it.toml");

/// Highest remote stress of the case, MPa.
const STRESS: f64 = 180.0;

struct Keep(Vec<Snapshot>);

impl Observer for Keep {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.0.push(snapshot);
        ControlFlow::Continue(())
    }
}

fn report(case: &Case) -> Outcome<LifeReport> {
    let mut keep = Keep(Vec::new());
    case.sequence(case.job.clone())?.run(&mut keep).map_err(|failure| failure.error)?;
    Ok(lives(case, plan(case)?, &keep.0, &[], &AtomicBool::new(false))?)
}

/// Three significant digits, as the page quotes cycles.
fn rounded(cycles: f64) -> f64 {
    grouped(cycles, 3).replace(' ', "").parse().unwrap_or(f64::NAN)
}

/// Cycles of the worst plain and the worst expanded crack when every stress is `factor` times that of the case.
fn at(report: &LifeReport, factor: f64) -> [f64; 2] {
    let sequence = report.ground.sequence.scaled(factor);
    let shortest = |lives: Vec<f64>| lives.into_iter().fold(f64::INFINITY, f64::min);
    let all = &report.comparisons;
    [
        shortest(all.iter().map(|c| c.plain.grower.life(&sequence).cycles_borne()).collect()),
        shortest(all.iter().map(|c| c.expanded.grower.life(&sequence).cycles_borne()).collect()),
    ]
}

fn main() -> Outcome<()> {
    let folder = lesson::folder();
    let case = parse(CASE, "is_it_worth_it.toml")?;
    let found = report(&case)?;
    println!("{}", answer(&found));

    let mut page = Page::open("examples/is_it_worth_it.md")?;
    let row = |stress: f64| {
        let [plain, expanded] = at(&found, stress / STRESS);
        let none = || "no end: the flaw never opens".to_owned();
        let cycles = if expanded.is_finite() { grouped(expanded, 3) } else { none() };
        let factor =
            if expanded.is_finite() { fixed(expanded / plain, 0) } else { "–".to_owned() };
        vec![fixed(stress, 0), grouped(plain, 3), cycles, factor]
    };
    page.table(
        "lives",
        &["highest stress MPa", "plain", "expanded", "factor"],
        &[120.0, 150.0, 180.0, 200.0].map(row),
    );
    let [plain, expanded] = at(&found, 1.0);
    assert!((3_500.0..5_000.0).contains(&plain), "{plain}");
    assert!((20.0..200.0).contains(&(expanded / plain)), "{}", expanded / plain);
    // At two thirds of the stress the flaw never opens.
    let [plain_low, expanded_low] = at(&found, 120.0 / STRESS);
    assert!(expanded_low.is_infinite() && (14_000.0..20_000.0).contains(&plain_low));

    // One hard landing that presses the plate together before the crack is there.
    let mut pressed = case.clone();
    let tractions = ["bottom", "top"].map(|edge| (edge.to_owned(), -120.0)).to_vec();
    let load = Load { tractions, ..Load::default() };
    pressed.job.stages.push(Stage::Load { load, cycles: 1 });
    let after = report(&pressed)?;
    let [plain, left] = at(&after, 1.0);
    let mut summary = Page::open("docs/life.md")?;
    summary.value("factor", expanded / plain);
    summary.value("factor after a push", left / plain);
    summary.close()?;
    page.value("factor at 180", expanded / plain);
    page.value("factor after a push", left / plain);
    page.value("expanded at 180", rounded(expanded));
    page.value("left after a push", rounded(left));
    page.value("plain at 180", rounded(plain));
    assert!(left < 0.9 * expanded && left > plain, "{left} {expanded}");

    if let Some(folder) = folder {
        draw(&found, &folder)?;
    }
    Ok(page.close()?)
}

fn draw(report: &LifeReport, folder: &Path) -> Outcome<()> {
    std::fs::create_dir_all(folder)?;
    let (drawn, troubles) = life_figures(report, folder);
    for (figure, caption) in drawn {
        println!("{}: {caption}", figure.png.display());
    }
    if troubles.is_empty() { Ok(()) } else { Err(troubles.join("; ").into()) }
}
