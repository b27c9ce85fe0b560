//! Lesson: how does a thick cylinder go from first yield to collapse?
//!
//! ```text
//! cargo run --release --example thick_cylinder               prints and checks
//! cargo run --release --example thick_cylinder -- FOLDER     also draws the figures of the page
//! ```
//!
//! The page to read beside it is `examples/thick_cylinder.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::path::Path;

use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use hoopset::process::history::Phase;
use hoopset::result::frames::read_frame;
use hoopset::theory::plastic_cylinder::PlasticCylinder;
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

fn main() -> Outcome<()> {
    let lesson = Lesson::run(include_str!("thick_cylinder.toml"), "thick_cylinder.toml")?;
    let material = &lesson.case.job.material;
    let (inner, outer) = (20.0, 40.0);
    let wall = PlasticCylinder::mises(inner, outer, material.yield_stress, material.elasticity)?;

    // By hand: choose the front, then pressure and displacement follow without any search.
    let by_hand: Vec<[f64; 3]> = (0..=20)
        .map(|k| {
            let front = inner + (outer - inner) * f64::from(k) / 20.0;
            // A hair less than the limit, where the front is not told by the pressure.
            let pressure =
                wall.pressure_for_front(front)?.min(wall.limit_pressure() * (1.0 - 1e-9));
            let moved = wall.at_pressure(pressure)?.displacement(inner)?;
            Ok([front, 100.0 * moved / inner, pressure])
        })
        .collect::<Outcome<_>>()?;

    let mut page = Page::open("examples/thick_cylinder.md")?;
    page.value("first yield", wall.first_yield_pressure());
    page.value("collapse", wall.limit_pressure());
    let found = |expansion: f64| {
        let mut records = lesson.trace.records.windows(2);
        let pair = records.find(|pair| {
            pair[1].phase == Phase::Expand && 100.0 * pair[1].expansion >= expansion
        })?;
        let at = |k: usize| (100.0 * pair[k].expansion, pair[k].mean_pressure);
        let ((x, p), (y, q)) = (at(0), at(1));
        Some(p + (q - p) * (expansion - x) / (y - x))
    };
    let mut rows = Vec::new();
    for (k, [front, expansion, pressure]) in by_hand.iter().enumerate() {
        let program = found(*expansion).ok_or("the run ends before the hand calculation")?;
        if [0, 2, 5, 8, 11, 14, 17, 20].contains(&k) {
            let numbers = [fixed(*expansion, 3), fixed(*pressure, 1), fixed(program, 1)];
            rows.push([vec![fixed(*front, 0)], numbers.to_vec()].concat());
        }
        // 0.7 %: increments of 0.05 % expansion, and straight lines between them where the
        // curve bends at first yield; Tresca and Mises agree only as ν goes to ½.
        near("pressure", program, *pressure, 0.007);
    }
    page.table("pressures", &["front c, mm", "expansion, %", "p by hand, MPa", "program"], &rows);
    let (_, full) = lesson.stage("1-expand-A-full");
    // 0.2 %: the whole wall flows, and only the mesh is left to err.
    near("collapse", full.holes[0].mean_pressure, wall.limit_pressure(), 0.002);

    // The front itself, read off a frame on the way.
    let mut fronts = 0;
    for frame in lesson.trace.frames.iter().skip(1).step_by(4) {
        let record = &lesson.trace.records[frame.record];
        let pressure = record.mean_pressure;
        if record.phase != Phase::Expand || pressure > 0.99 * wall.limit_pressure() {
            continue;
        }
        let Some(front) = wall.at_pressure(pressure)?.front() else { continue };
        let (_, path) = read_frame(&lesson.trace, frame, &lesson.case.job)?;
        let strain = path.profile(|point| point.equivalent_plastic_strain);
        let reached = strain.crossings(2e-5).last().copied().unwrap_or(0.0);
        fronts += 1;
        page.value(&format!("front {fronts} by hand"), front);
        page.value(&format!("front {fronts}"), inner + reached);
        // 3 %: an element there is about 1 mm wide, and the front lies inside one.
        near("front", inner + reached, front, 0.03);
    }

    if let Some(folder) = lesson::folder() {
        figures(&lesson, &wall, &by_hand, &folder)?;
    }
    Ok(page.close()?)
}

/// Pressure against expansion, with the points by hand.
fn figures(
    lesson: &Lesson,
    wall: &PlasticCylinder,
    by_hand: &[[f64; 3]],
    folder: &Path,
) -> Outcome<()> {
    lesson.draw(&[], [20.0, 1.2], folder)?;
    let program = lesson.trace.records.iter().filter(|r| r.phase == Phase::Expand);
    let curves = [
        Curve {
            label: "program".to_owned(),
            points: program.map(|r| [100.0 * r.expansion, r.mean_pressure]).collect(),
            look: Look::Line(0),
        },
        Curve {
            label: "by hand: Hill 1950".to_owned(),
            points: by_hand.iter().map(|[_, x, p]| [*x, *p]).collect(),
            look: Look::Points,
        },
        Curve {
            label: "limit pressure".to_owned(),
            points: vec![[0.0, wall.limit_pressure()], [1.8, wall.limit_pressure()]],
            look: Look::Guide,
        },
    ];
    curve_chart(
        &CurveChart::new(
            ["pressure", "From first yield to collapse", "tool growing"],
            ["Expansion of the bore (%)", "Pressure (MPa)"],
            &curves,
        ),
        lesson.context(),
        folder,
    )?;
    Ok(())
}
