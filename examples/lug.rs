//! Lesson: what does an edge margin that varies round a lug do to the expansion of its bore?
//!
//! ```text
//! cargo run --release --example lug               prints and checks
//! cargo run --release --example lug -- FOLDER     also draws the pictures of the page into FOLDER
//! ```
//!
//! The page to read beside it is `examples/lug.md`.
#![allow(clippy::print_stdout)]

#[path = "common/page.rs"]
mod page;

use std::error::Error;
use std::path::Path;

use hoopset::plot::{FigureContext, MeshLines, hoop_contour, plastic_zones};
use hoopset::process::ligament::Bound;
use hoopset::result::stage::StageResult;
use hoopset::result::summary::StageSummary;
use hoopset::{Case, Sequence, Snapshot, parse, read};
use page::{Page, fixed};

const CASE: &str = include_str!("lug.toml");

/// Radius of the round end, and how far its centre lies behind that of the bore, mm.
const END: f64 = 18.0;
const BEHIND: f64 = 2.0;

fn main() -> Result<(), Box<dyn Error>> {
    let case = parse(CASE, "lug.toml")?;
    let lug = run(&case)?;
    // The same lug with the bore at the centre of its end: e/D is 1.5 from the tip to both sides.
    let text = CASE.replace("at = [44.0, 0.0]", "at = [42.0, 0.0]");
    let centred = run(&parse(&text, "centred.toml")?)?;

    let mut page = Page::open("examples/lug.md")?;
    let mut rows = Vec::new();
    for (path, other) in lug.summary.paths.iter().zip(&centred.summary.paths) {
        let direction = match path.angle_deg.round() {
            0.0 => "0°, the tip".to_owned(),
            90.0 => "90°, 270°, the sides".to_owned(),
            180.0 => "180°, the shank".to_owned(),
            // The lug mirrors about its axis.
            270.0 => continue,
            angle => format!("{angle}°"),
        };
        let numbers = |p: &hoopset::result::summary::PathSummary| {
            [
                fixed(p.edge_hoop, 0),
                fixed(p.compression_depth.unwrap_or(f64::NAN), 2),
                fixed(p.peak_tension.map_or(0.0, |t| t[0]), 0),
            ]
        };
        let mut row = vec![direction, fixed(margin(path.angle_deg), 2)];
        row.extend([numbers(path), numbers(other)].concat());
        rows.push(row);
        let angle = path.angle_deg;
        page.value(&format!("tension at {angle:.0}°"), path.peak_tension.map_or(0.0, |t| t[0]));
    }
    page.table(
        "hoop",
        &[
            "direction",
            "e/D",
            "edge, MPa",
            "depth, mm",
            "largest tension, MPa",
            "centred: edge",
            "depth",
            "tension",
        ],
        &rows,
    );
    let broke = lug.through_at.ok_or("the ligament at the tip should yield through")?;
    page.value("yields through at", 100.0 * broke);
    if let Some(share) = centred.through_at {
        println!("  with the bore centred, at {:.0} %", 100.0 * share);
    }

    let at = |run: &Run, angle: f64| {
        let mut paths = run.summary.paths.iter();
        let path = paths.find(|path| (path.angle_deg - angle).abs() < 1e-6).expect("automatic");
        let tension = path.peak_tension.expect("some metal must balance the compression");
        (path.edge_hoop, path.compression_depth.expect("compressed"), tension)
    };
    // The thinner the metal, the more tension is left in it, and at the tip most of all at the
    // free edge: this is where a lug must not be scratched.
    let (tip, side, shank) = (at(&lug, 0.0), at(&lug, 90.0), at(&lug, 180.0));
    assert!(tip.2[0] > 1.5 * side.2[0] && side.2[0] > shank.2[0], "{tip:?} {side:?} {shank:?}");
    page.value("tip over shank", 100.0 * (tip.0 / shank.0 - 1.0));
    page.value("centred, largest tension", at(&centred, 0.0).2[0]);
    let ligament = margin(0.0) * 12.0 - 6.0;
    assert!(tip.2[1] > 0.9 * ligament, "largest at {} of {ligament} mm", tip.2[1]);
    assert!(at(&centred, 0.0).2[0] < tip.2[0], "two more millimetres take tension away");
    // The bore itself hardly knows: its compression varies by a few per cent.
    assert!((tip.0 / shank.0 - 1.0).abs() < 0.08, "{} and {}", tip.0, shank.0);
    // Nothing holds the metal in front of the bore, so the cut across the lug carries no force.
    let across = lug.summary.sections.iter().find(|section| section.angle_deg > 45.0);
    let net = across.ok_or("the cut across the lug is a free section")?.net_over_compressive;
    page.value("net force", 100.0 * net);
    assert!(net.abs() < 0.02, "{net}");

    if let Some(folder) = std::env::args_os().nth(1) {
        draw(&case, &lug, Path::new(&folder))?;
    }
    Ok(page.close()?)
}

/// Edge margin e/D in a direction: from the bore to the round end, by the law of cosines.
fn margin(angle_deg: f64) -> f64 {
    let (sine, cosine) = angle_deg.to_radians().sin_cos();
    let to_end = -BEHIND * cosine + (END * END - (BEHIND * sine).powi(2)).sqrt();
    // Behind the bore there is the shank.
    if angle_deg > 95.0 && angle_deg < 265.0 { 44.0 / 12.0 } else { to_end / 12.0 }
}

struct Run {
    expanded: StageResult,
    reamed: StageResult,
    summary: StageSummary,
    /// Share of full expansion at which the round end was reached by yielded metal.
    through_at: Option<f64>,
}

fn run(case: &Case) -> Result<Run, Box<dyn Error>> {
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone())?.run(&mut snapshots).map_err(|failure| failure.error)?;
    let [_, expanded, reamed] = snapshots.as_slice() else {
        return Err("three snapshots: at full size, expanded, reamed".into());
    };
    let end = Bound::Edge("end".to_owned());
    let through_at = reamed.break_throughs.iter().find(|b| b.bound == end).map(|b| b.share);
    let expanded = read(expanded, &case.job, &case.path_angles)?.0;
    let (reamed, summary) = read(reamed, &case.job, &case.path_angles)?;
    Ok(Run { expanded, reamed, summary, through_at })
}

fn draw(case: &Case, run: &Run, folder: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    let context = FigureContext { case_title: &case.title, units: case.units };
    let holes = &case.job.plate.holes;
    let hoop = hoop_contour(&run.reamed, holes, MeshLines::Hidden, context, folder)?;
    let zones = plastic_zones(&run.expanded, holes, 0, context, folder)?;
    println!("drew {} and {}", hoop.png.display(), zones.png.display());
    Ok(())
}
