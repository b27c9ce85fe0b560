//! Lesson: what does a near edge do to an expanded hole?
//!
//! ```text
//! cargo run --release --example edge_margin               prints and checks
//! cargo run --release --example edge_margin -- FOLDER     also draws the figures of the page
//! ```
//!
//! The page to read beside it is `examples/edge_margin.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::f64::consts::PI;
use std::path::Path;

use hoopset::parse;
use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use hoopset::process::stage::{Load, Stage};
use hoopset::process::trace::Watched;
use hoopset::theory::edge_hole::EdgeHole;
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

const CASE: &str = include_str!("edge_margin.toml");
/// Edge margins e/D of the lesson.
const MARGINS: [f64; 3] = [3.0, 1.75, 1.25];
/// The edge of the hole that faces the edge of the plate.
const TOWARDS_EDGE: Watched = Watched { hole: 0, angle: PI, depth: 0.0 };

fn main() -> Outcome<()> {
    let mut page = Page::open("examples/edge_margin.md")?;
    elastic_table(&mut page)?;

    let lessons: Vec<Lesson> = MARGINS
        .iter()
        .map(|&margin| Lesson::follow(parse(&at(margin), "edge_margin.toml")?, TOWARDS_EDGE))
        .collect::<Outcome<_>>()?;
    let mut cells = Vec::new();
    let mut rows = Vec::new();
    for (lesson, margin) in lessons.iter().zip(MARGINS) {
        let (path, read) = lesson.path("1-expand-A", "A", 180.0);
        let free = path.hoop().values().last().copied().ok_or("an empty path")?;
        let last = lesson.trace.snapshots.last().ok_or("no snapshot")?;
        let through = last.break_throughs.first().map(|b| 100.0 * b.share);
        cells.push(vec![
            fixed(margin, 2),
            fixed(read.edge_hoop, 0),
            fixed(read.compression_depth.unwrap_or(f64::NAN), 2),
            fixed(free, 0),
            through.map_or("never".to_owned(), |share| format!("{share:.0} % of full size")),
        ]);
        // The section from the hole to the edge and beyond it carries no net force.
        for section in &lesson.stage("1-expand-A").1.sections {
            // 3 %: the coarse mesh of the lesson.
            assert!(section.net_over_compressive.abs() < 0.03, "{}", section.net_over_compressive);
        }
        rows.push((free, through, read.edge_hoop));
    }
    page.table(
        "expanded",
        &[
            "e/D",
            "hoop at the hole, MPa",
            "depth, mm",
            "hoop at the free edge, MPa",
            "the ligament yields through at",
        ],
        &cells,
    );
    // Of the exercise.
    for margin in [1.4, 1.5, 1.6, 1.75, 2.0] {
        let lesson = Lesson::follow(parse(&at(margin), "edge_margin.toml")?, TOWARDS_EDGE)?;
        let profile = lesson.path("1-expand-A", "A", 180.0).0.hoop();
        let free = profile.values().last().copied().ok_or("an empty path")?;
        page.value(&format!("free edge, e/D {margin}"), free);
    }
    page.value("hole, e/D 1.25", rows[2].2);
    page.value("hole, e/D 3", rows[0].2);
    // An elastic rim keeps the tension low; a ligament that just yields through is left with most
    // of it; one that yields through early is stretched as a whole and has nothing to pull against.
    assert!(rows[0].1.is_none() && rows[1].1.is_some() && rows[2].1.is_some());
    assert!(rows[1].0 > 2.0 * rows[0].0 && rows[1].0 > rows[2].0);
    assert!(rows[2].2 > 0.9 * rows[0].2, "the near edge costs compression at the hole");

    if let Some(folder) = lesson::folder() {
        figures(&lessons, &folder)?;
    }
    Ok(page.close()?)
}

/// The case with its hole at another edge margin e/D.
fn at(margin: f64) -> String {
    CASE.replace("at = [18.0,", &format!("at = [{},", 6.0 * margin))
}

/// By hand, while all is elastic: Jeffery's hole under pressure near a straight edge.
fn elastic_table(page: &mut Page) -> Outcome<()> {
    let mut rows = Vec::new();
    for margin in MARGINS {
        // A plate so large that its other edges are not felt.
        let large = at(margin).replace("= 60.0", "= 300.0").replace("30.0]", "150.0]");
        let mut case = parse(&large, "edge_margin.toml")?;
        let load = Load { pressure: Some((0, 50.0)), ..Load::default() };
        case.job.stages = vec![Stage::Load { load, cycles: 1 }];
        case.job.numerics.fineness = 1.0;
        case.job.numerics.increments = 4;
        let lesson = Lesson::follow(case, TOWARDS_EDGE)?;
        let profile = lesson.path("1-load-full", "A", 180.0).0.hoop();
        let found = profile.values().last().copied().ok_or("an empty path")?;
        let by_hand = EdgeHole::new(3.0, 6.0 * margin, 50.0)?.edge_stress(0.0);
        rows.push([margin, by_hand, found].map(|number| fixed(number, 2)).to_vec());
        // 2 %: the fill at the free edge is coarse beside a ligament.
        near("stress along the free edge", found, by_hand, 0.02);
    }

    page.table("elastic", &["e/D", "by hand, MPa", "program, MPa"], &rows);
    Ok(())
}

/// Fields of the nearest edge and the hoop stress from hole to edge, for every margin.
fn figures(lessons: &[Lesson], folder: &Path) -> Outcome<()> {
    lessons[2].draw(&[], [4.5, 2.0], folder)?;
    let curves: Vec<Curve> = lessons
        .iter()
        .zip(MARGINS)
        .enumerate()
        .map(|(k, (lesson, margin))| {
            let profile = lesson.path("1-expand-A", "A", 180.0).0.hoop();
            let pairs = profile.distances().iter().zip(profile.values());
            Curve {
                label: format!("e/D {margin}"),
                points: pairs.map(|(x, y)| [*x, *y]).collect(),
                look: Look::Line(k),
            }
        })
        .collect();
    curve_chart(
        &CurveChart::new(
            ["hoop", "Residual hoop stress from the hole to the near edge", "tool out"],
            ["Distance from the edge of the hole (mm)", "Hoop stress (MPa)"],
            &curves,
        )
        .smooth(),
        lessons[2].context(),
        folder,
    )?;
    Ok(())
}
