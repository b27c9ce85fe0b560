//! Lesson: which extreme load costs an expanded hole its compression, a pull or a push?
//!
//! ```text
//! cargo run --release --example overload               prints and checks
//! cargo run --release --example overload -- FOLDER     also draws the pictures of the page
//! ```
//!
//! The page to read beside it is `examples/overload.md`.
#![allow(clippy::print_stdout)]

#[path = "common/page.rs"]
mod page;

use std::error::Error;
use std::path::Path;

use hoopset::plot::{Curve, CurveChart, FigureContext, Look, curve_chart, service_loop};
use hoopset::process::plain::plain_job;
use hoopset::process::program::{Block, Program};
use hoopset::process::service_history::Mark;
use hoopset::process::stage::Stage;
use hoopset::result::service_summary::{ServicePath, ServiceSummary, Shakedown, services};
use hoopset::{Case, Snapshot, parse};
use page::{Page, fixed};

const CASE: &str = include_str!("overload.toml");

fn main() -> Result<(), Box<dyn Error>> {
    let case = parse(CASE, "overload.toml")?;
    let flights = |cycles| Block { highest: 1.0, lowest: 0.1, cycles };
    let extreme = |block: Block| vec![flights(3), block, flights(4)];
    let steady = service(&case, &[flights(8)])?;
    let over = service(&case, &extreme(Block { highest: 1.5, lowest: 0.1, cycles: 1 }))?;
    let under = service(&case, &extreme(Block { highest: 1.0, lowest: -1.5, cycles: 1 }))?;
    let all = [("flights only", &steady), ("overload", &over), ("underload", &under)];
    let mut page = Page::open("examples/overload.md")?;
    let words = ["none: one flight more", "overload, 0.1 to 1.5", "underload, −1.5 to 1"];
    let rows: Vec<Vec<String>> = all
        .iter()
        .zip(words)
        .map(|((_, service), words)| {
            let (worked, plain) = side(service);
            let numbers = [
                worked.before,
                worked.after,
                worked.highest,
                worked.lowest,
                worked.mean(),
                worked.range(),
                plain.highest,
                plain.highest - worked.highest,
            ];
            [vec![words.to_owned()], numbers.map(|number| fixed(number, 1)).to_vec()].concat()
        })
        .collect();
    page.table(
        "hoop",
        &[
            "extreme cycle",
            "before",
            "after",
            "highest",
            "lowest",
            "mean",
            "range",
            "plain hole: highest",
            "lowered by",
        ],
        &rows,
    );
    let lost = |service: &ServiceSummary| side(service).0.after - side(service).0.before;
    page.value("lost by the pull", lost(&over));
    page.value("lost by the push", lost(&under));
    page.value("range", side(&over).0.range());
    page.value("before", side(&over).0.before);
    page.value("plain after the pull", side(&over).1.highest);
    page.value("plain after flights", side(&steady).1.highest);
    page.value("worse by", side(&under).0.highest - side(&under).1.highest);
    let along = |service: &ServiceSummary| {
        let at = |path: &&ServicePath| (path.angle_deg - 90.0).abs() < 1e-6;
        let path = service.worked.paths.iter().find(at);
        path.map_or([f64::NAN; 2], |path| [path.before, path.after])
    };
    page.value("axis, before", along(&over)[0]);
    page.value("axis, after the pull", along(&over)[1]);
    page.value("axis, after flights", along(&steady)[1]);
    check(&steady, &over, &under);
    if let Some(folder) = std::env::args_os().nth(1) {
        draw(&case, &all, Path::new(&folder))?;
    }
    Ok(page.close()?)
}

/// Runs the case under other blocks, and the plain part under the same.
fn service(case: &Case, blocks: &[Block]) -> Result<ServiceSummary, Box<dyn Error>> {
    let mut case = case.clone();
    for stage in &mut case.job.stages {
        if let Stage::Service { program, .. } = stage {
            *program = Program::Blocks(blocks.to_vec());
        }
    }
    let plain = plain_job(&case.job).map_err(|why| format!("{why:?}"))?;
    let run = |job: &hoopset::Job| -> Result<Snapshot, Box<dyn Error>> {
        let mut snapshots: Vec<Snapshot> = Vec::new();
        case.sequence(job.clone())?.run(&mut snapshots).map_err(|failure| failure.error)?;
        snapshots.pop().ok_or_else(|| "nothing was run".into())
    };
    let (worked, reference) = (run(&case.job)?, run(&plain)?);
    let read = services(&worked, &case.job, &case.path_angles, Some((&reference, &plain)));
    read.into_iter().next().ok_or_else(|| "no service load".into())
}

/// Index of the path at the side of the hole, across the load.
fn place(service: &ServiceSummary) -> usize {
    let at = |path: &ServicePath| path.angle_deg.abs() < 1e-6;
    service.worked.paths.iter().position(at).expect("a path leads to the nearest edge, at 0°")
}

/// Worked and plain hole there.
fn side(service: &ServiceSummary) -> (&ServicePath, &ServicePath) {
    let index = place(service);
    let plain = service.plain.as_ref().expect("the plain part was run");
    (&service.worked.paths[index], &plain.paths[index])
}

fn check(steady: &ServiceSummary, over: &ServiceSummary, under: &ServiceSummary) {
    let lost = |service: &ServiceSummary| side(service).0.after - side(service).0.before;
    // Flights alone and the overload leave the side of the hole as the ream left it ...
    assert!(lost(steady).abs() < 15.0 && lost(over).abs() < 15.0);
    // ... the underload of the same size takes away more than 50 MPa of compression,
    assert!(lost(under) > 50.0, "{}", lost(under));
    // which comes back as mean stress in every later flight: the range is the same.
    let [a, b] = [over, under].map(|service| side(service).0.range());
    assert!((a - b).abs() < 0.02 * a, "{a} {b}");
    // The metal has settled after each: the later flights add nothing.
    for service in [steady, over, under] {
        assert_eq!(service.worked.shakedown, Shakedown::Reached);
    }
    // The work lowers the highest stress by hundreds of MPa, until the underload: nothing is left.
    let lowered = |service: &ServiceSummary| side(service).1.highest - side(service).0.highest;
    assert!(lowered(steady) > 300.0 && lowered(over) > 200.0);
    assert!(lowered(under) < 20.0, "{}", lowered(under));
}

fn draw(case: &Case, all: &[(&str, &ServiceSummary)], folder: &Path) -> Result<(), Box<dyn Error>> {
    let context = FigureContext { case_title: &case.title, units: case.units };
    let curves: Vec<Curve> = all
        .iter()
        .enumerate()
        .map(|(k, (words, service))| {
            let index = place(service);
            let rows = service.worked.rows.iter().filter(|row| row.mark != Mark::Between);
            let points = rows.enumerate().map(|(n, row)| [n as f64, row.edge_hoop[index]]);
            Curve { label: (*words).to_owned(), points: points.collect(), look: Look::Line(k) }
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            [
                "overload-reversals",
                "Hoop stress at the side of the hole, reversal by reversal",
                "first and last without load",
            ],
            ["Reversal", "Edge hoop stress (MPa)"],
            &curves,
        ),
        context,
        folder,
    )?;
    if let Some((_, under)) = all.last() {
        service_loop(under, context, folder)?;
    }
    Ok(())
}
