//! Lesson: what does the ream take away?
//!
//! ```text
//! cargo run --release --example what_the_ream_takes               prints and checks
//! cargo run --release --example what_the_ream_takes -- FOLDER     also draws the figures
//! ```
//!
//! The page to read beside it is `examples/what_the_ream_takes.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::path::Path;

use hoopset::parse;
use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use hoopset::process::trace::Watched;
use hoopset::theory::field::RotationalField;
use hoopset::theory::ream::Reamed;
use hoopset::theory::residual_sheet::ResidualSheet;
use lesson::{Lesson, Outcome, near, sheet_driven_out};
use page::{Page, fixed};

const CASE: &str = include_str!("what_the_ream_takes.toml");
/// Final diameters, mm.
const DIAMETERS: [f64; 3] = [6.20, 6.40, 7.00];

fn main() -> Outcome<()> {
    let mut page = Page::open("examples/what_the_ream_takes.md")?;
    let mut rows = Vec::new();
    let mut lessons = Vec::new();
    for diameter in DIAMETERS {
        let text = CASE.replace("diameter = 6.40", &format!("diameter = {diameter}"));
        // The metal that becomes the edge is followed from the start.
        let depth = 0.5 * (diameter - 6.0);
        let watched = Watched { hole: 0, angle: 0.0, depth };
        let lesson = Lesson::follow(parse(&text, "what_the_ream_takes.toml")?, watched)?;
        let residual = sheet_driven_out(&lesson.case, 0.008 * 3.0)?.released(1.0)?;
        // The cutter is a circle in the part as it stands, which has moved out a little.
        let drawn = 0.5 * diameter - residual.displacement(0.5 * diameter)?;
        let reamed = Reamed::new(residual, drawn, 0.0)?;
        let (before, after) = (residual.hoop(drawn)?, reamed.hoop(drawn)?);
        let read = lesson.path("2-ream-A", "A", 0.0).1;
        let by_hand = reamed.hoop_profile(3.0, 600)?.crossings(0.0);
        let (by_hand, found) = (by_hand.first().copied(), read.compression_depth);
        let depth = |depth: Option<f64>| fixed(depth.unwrap_or(f64::NAN), 3);
        if rows.is_empty() {
            let read = lesson.path("1-expand-A", "A", 0.0).1;
            let by_hand = residual.hoop_profile(3.0, 600)?.crossings(0.0).first().copied();
            rows.push(vec![
                "6.0 (no ream)".to_owned(),
                fixed(residual.hoop(3.0)?, 1),
                String::new(),
                fixed(read.edge_hoop, 1),
                depth(by_hand),
                depth(read.compression_depth),
            ]);
        }
        rows.push(vec![
            fixed(diameter, 1),
            fixed(before, 1),
            fixed(after, 1),
            fixed(read.edge_hoop, 1),
            depth(by_hand),
            depth(found),
        ]);
        // 3 MPa: a per cent of the stress before the ream, from increments, carrying on to the edge
        // and carrying over the cut.
        assert!((read.edge_hoop - after).abs() < 3.0, "{} against {after}", read.edge_hoop);
        if let (Some(by_hand), Some(found)) = (by_hand, found) {
            near("depth", found, by_hand, 0.02);
        }
        lessons.push((lesson, reamed));
    }

    page.table(
        "comparison",
        &[
            "final diameter, mm",
            "before, same place, MPa",
            "after, by hand",
            "program",
            "depth left by hand, mm",
            "program",
        ],
        &rows,
    );

    if let Some(folder) = lesson::folder() {
        figures(&lessons, &folder)?;
    }
    Ok(page.close()?)
}

/// Hoop stress before and after each ream, with the points by hand.
fn figures(lessons: &[(Lesson, Reamed<ResidualSheet>)], folder: &Path) -> Outcome<()> {
    let (lesson, _) = &lessons[1];
    lesson.draw(&[], [6.0, 1.2], folder)?;
    // All in one frame: distance from the edge as drilled.
    let mut curves = Vec::new();
    let place = |lesson: &Lesson, stage: &str| {
        let points = &lesson.path(stage, "A", 0.0).0.points;
        let near = points.iter().filter(|point| point.position[0] < 8.0);
        near.map(|point| [point.position[0] - 3.0, point.stress.hoop]).collect::<Vec<_>>()
    };
    curves.push(Curve {
        label: "expanded".to_owned(),
        points: place(lesson, "1-expand-A"),
        look: Look::Guide,
    });
    for (k, ((lesson, reamed), diameter)) in lessons.iter().zip(DIAMETERS).enumerate() {
        curves.push(Curve {
            label: format!("reamed to {diameter:.2} mm"),
            points: place(lesson, "2-ream-A"),
            look: Look::Line(k),
        });
        let profile = reamed.hoop_profile(4.0, 16)?;
        let edge = reamed.inner() - 3.0;
        let pairs = profile.distances().iter().zip(profile.values());
        curves.push(Curve {
            label: "by hand".to_owned(),
            points: pairs.map(|(x, y)| [edge + x, *y]).collect(),
            look: Look::Points,
        });
    }
    curve_chart(
        &CurveChart::new(
            ["hoop", "Hoop stress before and after the ream", "expanded by 0.8 %"],
            ["Distance from the edge as drilled (mm)", "Hoop stress (MPa)"],
            &curves,
        ),
        lesson.context(),
        folder,
    )?;
    Ok(())
}
