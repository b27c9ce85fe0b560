//! Lesson: what does an expansion leave at the edge of a hole, and can it be had by hand?
//!
//! ```text
//! cargo run --release --example first_hole              prints and checks
//! cargo run --release --example first_hole -- FOLDER    also draws the chart into FOLDER
//! ```
//!
//! The page to read beside it is `examples/first_hole.md`.
#![allow(clippy::print_stdout)]

#[path = "common/page.rs"]
mod page;

use std::error::Error;
use std::path::Path;

use hoopset::numeric::root::bracketed_newton;
use hoopset::plot::{FigureContext, Overlay, PathChart, hoop_paths};
use hoopset::result::stage::StageResult;
use hoopset::result::summary::StageSummary;
use hoopset::theory::field::RotationalField;
use hoopset::theory::plastic_sheet::{LoadedSheet, PlasticSheet};
use hoopset::{Case, Sequence, Snapshot, parse, read};
use page::{Page, fixed};

const CASE: &str = include_str!("first_hole.toml");

/// Applied expansion of the case file, and a practical one.
const SMALL: f64 = 0.008;
const PRACTICAL: f64 = 0.04;

fn main() -> Result<(), Box<dyn Error>> {
    let case = parse(CASE, "first_hole.toml")?;
    let (at_full_size, residual) = run(&case)?;

    // By hand: the pressure that drives the bore out by the applied expansion, then the
    // elastic field of that pressure taken away again.
    let sheet = sheet(&case)?;
    let radius = sheet.wall().inner();
    let loaded = driven_out(&sheet, SMALL * radius)?;
    let by_hand = loaded.released(1.0)?;
    let edge = by_hand.hoop(radius)?;
    let depth = by_hand.hoop_profile(radius, 400)?.crossings(0.0)[0];

    let path = &residual.1.paths[0];
    let pressure = at_full_size.1.holes[0].mean_pressure;
    let found_depth = path.compression_depth.unwrap_or(f64::NAN);
    let mut page = Page::open("examples/first_hole.md")?;
    let row = |words: &str, by_hand: f64, program: f64, decimals: usize| {
        let difference = format!("{} %", fixed(100.0 * (program / by_hand - 1.0), 1));
        vec![words.to_owned(), fixed(by_hand, decimals), fixed(program, decimals), difference]
    };
    page.table(
        "comparison",
        &["", "by hand", "program", "difference"],
        &[
            row("pressure at full size, MPa", loaded.pressure(), pressure, 1),
            row("hoop stress at the edge, MPa", edge, path.edge_hoop, 1),
            row("depth of compression, mm", depth, found_depth, 3),
        ],
    );
    println!("\n  distance mm   hoop by hand   hoop of the program   MPa");
    let hoop = residual.0.paths[0].hoop();
    for distance in [0.0, 0.1, 0.2, 0.5, 1.0, 1.5, 3.0, 6.0, 12.0, 24.0] {
        let hand = by_hand.hoop(radius + distance)?;
        let found = hoop.at(distance).unwrap_or(f64::NAN);
        println!("  {distance:11.1}   {hand:12.1}   {found:19.1}");
    }

    // 0.5 %: the default mesh and eight increments are good to about half of it here.
    near("pressure", pressure, loaded.pressure(), 0.005);
    // 1 %: the edge value is carried on from the nearest integration points.
    near("edge hoop", path.edge_hoop, edge, 0.01);
    near("depth of compression", found_depth, depth, 0.01);

    let mut fine = case.clone();
    fine.job.numerics.increments = 96;
    page.value("edge hoop, 96 increments", run(&fine)?.1.1.paths[0].edge_hoop);

    // A practical expansion yields in reverse. By hand this much can still be said:
    // the bare edge is in simple compression there, so it stands at the yield stress.
    let text = CASE.replace(&format!("= {SMALL}"), &format!("= {PRACTICAL}"));
    let (_, practical) = run(&parse(&text, "first_hole.toml")?)?;
    let limit = sheet.largest_pressure();
    let unyielding = -0.5 * limit - limit * (1.0 + share(&sheet)) / (1.0 - share(&sheet));
    let path = &practical.1.paths[0];
    page.value("elastic unloading after 4 %", unyielding);
    page.value("edge hoop after 4 %", path.edge_hoop);
    page.value("reverse yielding after 4 %", path.reverse_yield_extent);
    // 2 %: the stress has a kink where reverse yielding ends, and the edge is carried on.
    near("edge hoop after a practical expansion", path.edge_hoop, -sheet.yield_stress(), 0.02);

    if let Some(folder) = std::env::args_os().nth(1) {
        draw(&case, residual.0, &by_hand, Path::new(&folder))?;
    }
    Ok(page.close()?)
}

type Reading = (StageResult, StageSummary);

/// The plate with the tool at full size, and after it.
fn run(case: &Case) -> Result<(Reading, Reading), Box<dyn Error>> {
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone())?.run(&mut snapshots).map_err(|failure| failure.error)?;
    let reading = |index: usize| read(&snapshots[index], &case.job, &case.path_angles);
    Ok((reading(0)?, reading(1)?))
}

fn sheet(case: &Case) -> Result<PlasticSheet, Box<dyn Error>> {
    let material = &case.job.material;
    let inner = case.job.plate.holes[0].radius();
    let outer = 0.5 * case.job.plate.outline.extent();
    Ok(PlasticSheet::new(inner, outer, material.yield_stress, material.elasticity)?)
}

/// `a²/b²`.
fn share(sheet: &PlasticSheet) -> f64 {
    (sheet.wall().inner() / sheet.wall().outer()).powi(2)
}

/// The sheet under the pressure that moves its bore by `displacement` mm.
fn driven_out(sheet: &PlasticSheet, displacement: f64) -> Result<LoadedSheet, Box<dyn Error>> {
    let bore = |pressure: f64| sheet.at_pressure(pressure)?.displacement(sheet.wall().inner());
    let most = sheet.reverse_yield_pressure(1.0).ok_or("the sheet never yields in reverse")?;
    let pressure = bracketed_newton(0.0, most, 1e-9, |pressure| {
        // The slope of an elastic sheet; the search narrows its bracket where it is not.
        let elastic = sheet.wall().inner() * 1.33 / sheet.wall().elasticity().youngs_modulus;
        (bore(pressure).map_or(f64::NAN, |moved| displacement - moved), -elastic)
    });
    Ok(sheet.at_pressure(pressure.ok_or("the expansion is beyond elastic unloading")?)?)
}

/// The chart of the residual hoop stress with the hand calculation over it.
fn draw(
    case: &Case,
    mut stage: StageResult,
    by_hand: &impl RotationalField,
    folder: &Path,
) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    // All directions are alike in a round plate.
    stage.paths.truncate(1);
    let overlay = Overlay {
        label: "by hand: Nádai, elastic unloading".to_owned(),
        profile: by_hand.hoop_profile(12.0, 60)?,
    };
    let context = FigureContext { case_title: &case.title, units: case.units };
    let hole = &case.job.plate.holes[0];
    let beside = PathChart { overlays: &[overlay], reach: Some(12.0), ..PathChart::default() };
    let figure = hoop_paths(&[stage], hole, &beside, context, folder)?;
    println!("drew {}", figure.png.display());
    Ok(())
}

fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    let error = (found - expected).abs() / expected.abs();
    assert!(error <= tolerance, "{what}: {found} against {expected}, {:.2} % off", 100.0 * error);
}
