//! Lesson: what does a fastener that pushes do at a hole, and what is expansion worth there?
//!
//! ```text
//! cargo run --release --example loaded_fastener               prints and checks
//! cargo run --release --example loaded_fastener -- FOLDER     also draws the pictures of the page
//! ```
//!
//! The page to read beside it is `examples/loaded_fastener.md`.
#![allow(clippy::print_stdout)]

#[path = "common/page.rs"]
mod page;

use std::error::Error;
use std::path::Path;

use hoopset::plot::{Curve, CurveChart, FigureContext, Look, curve_chart, service_loop};
use hoopset::process::plain::plain_job;
use hoopset::process::program::{Block, Program};
use hoopset::process::stage::{Load, Stage};
use hoopset::result::service_summary::{ServicePath, ServiceSummary, services};
use hoopset::{Case, Job, Snapshot, parse};
use page::{Page, fixed};

const CASE: &str = include_str!("loaded_fastener.toml");
/// Share of the load at which the plain hole is still elastic.
const SMALL: f64 = 0.25;

fn main() -> Result<(), Box<dyn Error>> {
    let case = parse(CASE, "loaded_fastener.toml")?;
    let plain = plain_job(&case.job).map_err(|why| format!("{why:?}"))?;
    let parts = elastic_parts(&case, &plain)?;
    let worked = run(&case, &case.job)?;
    let unworked = run(&case, &plain)?;
    let last = |snapshots: &[Snapshot]| snapshots.last().cloned().ok_or("nothing was run");
    let (end, reference) = (last(&worked)?, last(&unworked)?);
    let service = services(&end, &case.job, &case.path_angles, Some((&reference, &plain)));
    let service = service.into_iter().next().ok_or("no service load")?;
    let (expanded, other) = side(&service)?;
    let mut page = Page::open("examples/loaded_fastener.md")?;
    say(&mut page, &parts, expanded, other);
    check(&parts, expanded, other);
    if let Some(folder) = std::env::args_os().nth(1) {
        draw(&case, [&unworked, &worked], &service, Path::new(&folder))?;
    }
    Ok(page.close()?)
}

/// Edge hoop at the side over the stated load, MPa: open hole and bypass; pin and bypass; bearing;
/// both.
fn elastic_parts(case: &Case, plain: &Job) -> Result<[f64; 4], Box<dyn Error>> {
    let load = plain.stages.iter().find_map(Stage::load).ok_or("no load")?.clone();
    let bypass = Load { bearing: vec![], ..load.clone() };
    let bearing = Load { tractions: vec![], ..load.clone() };
    let small = Program::Blocks(vec![Block { highest: SMALL, lowest: 0.0, cycles: 1 }]);
    let one = |load: &Load, pin: bool| -> Result<f64, Box<dyn Error>> {
        let mut job = plain.clone();
        job.stages.retain(|stage| pin && matches!(stage, Stage::Fasten { .. }));
        job.stages.push(Stage::Service { load: load.clone(), program: small.clone() });
        let end = run(case, &job)?.pop().ok_or("nothing was run")?;
        let service = services(&end, &job, &case.path_angles, None);
        let paths = &service.first().ok_or("no service load")?.worked.paths;
        Ok(paths[place(paths)?].highest / SMALL)
    };
    let parts =
        [one(&bypass, false)?, one(&bypass, true)?, one(&bearing, true)?, one(&load, true)?];
    Ok(parts)
}

/// The numbers of the page.
fn say(page: &mut Page, parts: &[f64; 4], expanded: &ServicePath, plain: &ServicePath) {
    let [open, filled, bearing, both] = *parts;
    let [by_open, by_pin] = by_hand();
    let row = |words: &str, by_hand: Option<f64>, program: f64| {
        let by_hand = by_hand.map_or(String::new(), |value| fixed(value, 1));
        vec![words.to_owned(), by_hand, fixed(program, 1)]
    };
    page.table(
        "elastic",
        &["hoop at the side of the hole, MPa", "by hand", "program"],
        &[
            row("bypass, open hole", Some(by_open), open),
            row("bypass, pin in the hole, no force on it", None, filled),
            row("bearing alone", Some(by_pin), bearing),
            row("both", Some(by_open + by_pin), both),
        ],
    );
    page.value("open hole and bearing", open + bearing);
    page.value("pin and bypass", filled);
    page.value("bearing", bearing);
    page.value("first sum, percent low", 100.0 * (1.0 - (filled + bearing) / both));
    page.value("second sum, percent low", 100.0 * (1.0 - (open + bearing) / both));
    let cycle = |words: &str, path: &ServicePath| {
        let numbers = [path.highest, path.lowest, path.mean(), path.range()];
        let mut row = vec![words.to_owned()];
        row.extend(numbers.map(|number| fixed(number, 1)));
        row.push(format!("{} %", fixed(50.0 * path.strain_range, 3)));
        row
    };
    page.table(
        "last cycle",
        &[
            "last cycle, side of the hole",
            "highest MPa",
            "lowest",
            "mean",
            "range",
            "half the strain range",
        ],
        &[cycle("plain", plain), cycle("expanded", expanded)],
    );
    page.value("mean falls by", plain.mean() - expanded.mean());
}

/// Heywood's factor on the bypass, the chart of pin-loaded holes on the bearing stress, MPa.
fn by_hand() -> [f64; 2] {
    let x: f64 = 6.0 / 30.0;
    // R. B. Heywood (1952), from memory: net stress times 2 + (1 − x)³.
    let open = 75.0 * (2.0 + (1.0 - x).powi(3)) / (1.0 - x);
    // M. M. Frocht and H. N. Hill (1940), as in `tests/bearing.rs`, from memory.
    let pin = 0.2880 + 8.820 * x - 23.196 * x * x + 29.167 * x.powi(3);
    [open, pin * 3000.0 / (6.0 * 4.0)]
}

fn check(parts: &[f64; 4], expanded: &ServicePath, plain: &ServicePath) {
    let [open, filled, bearing, both] = *parts;
    let hand = by_hand();
    // The strap is short and one end of it built in: a per cent.
    assert!((open / hand[0] - 1.0).abs() < 0.02, "{open} {hand:?}");
    // The chart's models had friction and play (`tests/bearing.rs`).
    assert!((0.85..1.05).contains(&(bearing / hand[1])), "{bearing} {hand:?}");
    // A pin that bypass alone loads is held at the front and back of the hole, and helps.
    assert!(filled < open);
    // Contact makes the parts not add up, in whichever way they are taken.
    assert!((both - filled - bearing).abs() > 0.005 * both);
    // The load and what the metal does with it are nearly the same, the mean is not.
    assert!((expanded.range() / plain.range() - 1.0).abs() < 0.1);
    assert!(plain.mean() - expanded.mean() > 100.0);
}

fn run(case: &Case, job: &Job) -> Result<Vec<Snapshot>, Box<dyn Error>> {
    let mut snapshots: Vec<Snapshot> = Vec::new();
    case.sequence(job.clone())?.run(&mut snapshots).map_err(|failure| failure.error)?;
    Ok(snapshots)
}

/// Index of the path across the load.
fn place(paths: &[ServicePath]) -> Result<usize, Box<dyn Error>> {
    let at = |path: &ServicePath| (path.angle_deg - 90.0).abs() < 1e-6;
    Ok(paths.iter().position(at).ok_or("no path at 90 degrees")?)
}

/// Worked and plain hole there.
fn side(service: &ServiceSummary) -> Result<(&ServicePath, &ServicePath), Box<dyn Error>> {
    let index = place(&service.worked.paths)?;
    let plain = service.plain.as_ref().ok_or("the plain part was not run")?;
    Ok((&service.worked.paths[index], &plain.paths[index]))
}

fn draw(
    case: &Case,
    [plain, worked]: [&[Snapshot]; 2],
    service: &ServiceSummary,
    folder: &Path,
) -> Result<(), Box<dyn Error>> {
    let context = FigureContext { case_title: &case.title, units: case.units };
    service_loop(service, context, folder)?;
    let full = |snapshots: &[Snapshot]| -> Vec<[f64; 2]> {
        let full = snapshots.iter().rfind(|snapshot| snapshot.label.ends_with("load-full"));
        let pressures = full.and_then(|full| full.tools.first()).map(|tool| &tool.pressures);
        let degrees = |[angle, pressure]: &[f64; 2]| [angle.to_degrees(), *pressure];
        pressures.map(|all| all.iter().map(degrees).collect()).unwrap_or_default()
    };
    let curve =
        |label: &str, points, k| Curve { label: label.to_owned(), points, look: Look::Line(k) };
    let curves = [curve("plain", full(plain), 0), curve("expanded", full(worked), 1)];
    curve_chart(
        &CurveChart::new(
            [
                "fastener-pressure",
                "Pressure of the fastener round the hole",
                "at the highest load of the last cycle",
            ],
            ["Angle from the direction of the force (degrees)", "Contact pressure (MPa)"],
            &curves,
        ),
        context,
        folder,
    )?;
    Ok(())
}
