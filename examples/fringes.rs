//! Lesson: what would a photoelastic coating show of an expansion, and of a load after it?
//!
//! ```text
//! cargo run --release --example fringes               prints and checks
//! cargo run --release --example fringes -- FOLDER     also draws the figures of the page
//! ```
//!
//! The page to read beside it is `examples/fringes.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::path::Path;

use hoopset::plot::fringe_view;
use hoopset::process::coating::{Coating, Light};
use hoopset::process::history::Phase;
use hoopset::process::trace::Frame;
use hoopset::result::coating::FaceStrain;
use hoopset::theory::strip_hole::heywood_factor;
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

fn main() -> Outcome<()> {
    let lesson = Lesson::run(include_str!("fringes.toml"), "fringes.toml")?;
    let job = &lesson.case.job;
    let coating = lesson.case.coating.clone().ok_or("the case has a coating")?;
    let mut page = Page::open("examples/fringes.md")?;
    page.value("fringe value", 1e6 * coating.fringe_value());

    let strain = |label: &str| {
        let snapshot = lesson.trace.snapshots.iter().find(|s| s.label == label);
        Ok::<_, Box<dyn std::error::Error>>(FaceStrain::of_snapshot(
            snapshot.ok_or("no such stage")?,
            job,
        )?)
    };
    let expanded = strain("1-expand-A")?;
    let at_load = strain("2-load-full")?;
    // Bonded after the expansion, the coating shows the load alone.
    let load_alone = at_load.since(&expanded);

    // Largest order at the edge of the hole.
    let edge = |strain: &FaceStrain| {
        let orders = strain.orders(&coating);
        strain.mesh.holes[0].edge.iter().map(|&node| orders[node]).fold(0.0, f64::max)
    };
    let full = strain("1-expand-A-full")?;
    // By hand: Heywood's factor at the edge across the load, all of it hoop stress, so
    // ε₁ − ε₂ = (1+ν) σ/E.
    let metal = job.material.elasticity;
    let hoop = 100.0 * heywood_factor(6.0 / 60.0)?;
    let by_hand = coating.order((1.0 + metal.poissons_ratio) / metal.youngs_modulus * hoop);
    let row = |coated: &str, moment: &str, order: String| {
        vec![coated.to_owned(), moment.to_owned(), order]
    };
    let alone = format!("{} (by hand {})", fixed(edge(&load_alone), 2), fixed(by_hand, 3));
    page.table(
        "orders",
        &["coating bonded", "moment", "order"],
        &[
            row("before the work", "tool at full size", fixed(edge(&full), 2)),
            row("", "tool out", fixed(edge(&expanded), 2)),
            row("", "100 MPa on", fixed(edge(&at_load), 2)),
            row("after the expansion", "100 MPa on", alone),
        ],
    );
    page.value("order, tool out", edge(&expanded));
    page.value("thickness for order 4", coating.thickness * 4.0 / edge(&expanded));
    // 1.5 %: Heywood's own error, and what the loading yields once more.
    near("the load alone", edge(&load_alone), by_hand, 0.015);
    // Stress cannot be read where the metal has yielded: the coating keeps the plastic strain.
    assert!(edge(&expanded) > 3.0 * edge(&load_alone));

    if let Some(folder) = lesson::folder() {
        figures(&lesson, &coating, [&full, &expanded, &load_alone], &folder)?;
    }
    Ok(page.close()?)
}

/// Fringes of the coating at the moments of the table, and through the steps.
fn figures(
    lesson: &Lesson,
    coating: &Coating,
    strains: [&FaceStrain; 3],
    folder: &Path,
) -> Outcome<()> {
    lesson.draw(&[], [9.0, 1.6], folder)?;
    let grey = Coating { light: Light::Monochrome, ..coating.clone() };
    let job = &lesson.case.job;
    let [full, expanded, load_alone] = strains;
    let holes = &job.plate.holes;
    let context = lesson.context();
    for (strain, coating, label, heading, near) in [
        (full, coating, "1-expand-A-full", "coated before the work, tool at full size", Some(0)),
        (expanded, coating, "1-expand-A", "coated before the work, tool out", None),
        (expanded, coating, "1-expand-A", "coated before the work, tool out", Some(0)),
        (expanded, &grey, "grey", "coated before the work, tool out", Some(0)),
        (load_alone, coating, "load-alone", "coated after expansion, 100 MPa on", None),
    ] {
        fringe_view(strain, coating, (label, heading), (holes, near), context, folder)?;
    }
    // Through the steps: the growing tool half in, and at full size.
    for (label, share) in [("half-in", 0.5), ("full-size", 1.0)] {
        let record = |frame: &Frame| &lesson.trace.records[frame.record];
        let growing = lesson.trace.frames.iter().filter(|f| record(f).phase == Phase::Expand);
        let off = |frame: &Frame| (record(frame).share - share).abs();
        let frame = growing.min_by(|a, b| off(a).total_cmp(&off(b))).ok_or("no frame")?;
        let percent = 100.0 * record(frame).share;
        let heading = format!("tool growing, {percent:.0} % of its growth");
        let strain = FaceStrain::of_frame(frame, job)?;
        let heads = (label, heading.as_str());
        fringe_view(&strain, coating, heads, (holes, Some(0)), context, folder)?;
    }
    Ok(())
}
