//! How long ten thousand holes of a shop take, against one full solution of their case, in one run.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Instant;

use hoopset::case::shop::{Shop, read};
use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::{Observer, Sequence};
use hoopset::process::snapshot::Snapshot;
use hoopset::study::shop::domain::{domain, widest};
use hoopset::study::shop::nodes::{Nodes, values};
use hoopset::study::shop::{Surrogate, judge_lot};
use hoopset::study::sweep::Points;
use hoopset::study::sweep::solve::{Solver, Task};

/// The shipped lot, whose rows are repeated.
const LOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../examples/shop/hinge-lot.toml");
const HOLES: usize = 10_000;

/// Keeps nothing.
struct Blind;

impl Observer for Blind {
    fn increment(&mut self, _: &HistoryRecord) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }

    fn snapshot(&mut self, _: Snapshot) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
}

/// Prints both times and their ratio.
pub fn times() -> Result<(), String> {
    let mut shop = read(Path::new(LOT)).map_err(|complaint| complaint.to_string())?;
    // The surrogate may be rough: its evaluation takes as long.
    (shop.effort.grid, shop.effort.checks) = ([3, 2], 4);
    let clock = Instant::now();
    let job = shop.case.job.clone();
    let mut run = Sequence::new(job).map_err(|error| error.to_string())?;
    run.run(&mut Blind).map_err(|failure| failure.error.to_string())?;
    let solution = clock.elapsed().as_secs_f64();
    let surrogate = surrogate(&shop)?;
    let shipped = shop.holes.clone();
    shop.holes = (0..HOLES)
        .map(|k| {
            let mut hole = shipped[k % shipped.len()].clone();
            hole.name = format!("H{k}");
            hole
        })
        .collect();
    let clock = Instant::now();
    let lot = judge_lot(&shop, &surrogate);
    let judged = clock.elapsed().as_secs_f64();
    println!(
        "a full solution {solution:.2} s; {HOLES} holes judged in {judged:.2} s, {:.2} of it; {} suspects",
        judged / solution,
        lot.suspects().count()
    );
    Ok(())
}

fn surrogate(shop: &Shop) -> Result<Surrogate, String> {
    let stop = Arc::new(AtomicBool::new(false));
    let widest = widest(shop, &stop).map_err(|error| error.to_string())?;
    let nodes = Nodes::new(shop, domain(shop, widest).map_err(|error| error.to_string())?);
    let study = nodes.study(shop).map_err(|error| error.to_string())?;
    let points = Points::new(&study);
    let numbers = study.numbers.clone();
    let task = Task::new(study, points, numbers, stop);
    let solved = (0..task.points.len())
        .map(|case| {
            let outcome = Solver::new(&task).solve(case, false).ok_or("it was stopped")?;
            values(shop, &nodes, &outcome).map_err(|error| error.to_string())
        })
        .collect::<Result<Vec<_>, String>>()?;
    Surrogate::new(&nodes, &solved).ok_or_else(|| "a solution has no number".to_owned())
}
