//! Lesson: what does the direction through the thickness do to the answer?
//!
//! ```text
//! cargo run --release --example plane_stress_or_strain               prints and checks
//! cargo run --release --example plane_stress_or_strain -- FOLDER     also draws the figures
//! ```
//!
//! The page to read beside it is `examples/plane_stress_or_strain.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;

use hoopset::Idealisation;
use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use lesson::{Lesson, Outcome, near};

const CASE: &str = include_str!("plane_stress_or_strain.toml");

fn main() -> Outcome<()> {
    let lessons: Vec<Lesson> = Idealisation::NAMES
        .iter()
        .map(|name| Lesson::run(&CASE.replace("plane stress", name), "plane_stress_or_strain.toml"))
        .collect::<Outcome<_>>()?;
    let yield_stress = lessons[0].case.job.material.yield_stress;

    println!(
        "                                  pressure   edge hoop  edge axial    depth   yields again to"
    );
    println!(
        "                                       MPa         MPa         MPa       mm                mm"
    );
    let mut edges = Vec::new();
    for (lesson, name) in lessons.iter().zip(Idealisation::NAMES) {
        let pressure = lesson.stage("1-expand-A-full").1.holes[0].mean_pressure;
        let (path, read) = lesson.path("1-expand-A", "A", 0.0);
        let axial = path.points[0].stress.axial;
        let depth = read.compression_depth.unwrap_or(f64::NAN);
        println!(
            "  {name:28} {pressure:11.1} {:11.1} {axial:11.1} {depth:8.2} {:17.2}",
            read.edge_hoop, read.reverse_yield_extent
        );
        edges.push((pressure, read.edge_hoop, axial));
    }
    let [sheet, thick, free] = [edges[0], edges[1], edges[2]];

    // By hand. The bare edge yields in compression on the way back: in a sheet at −σy; where the
    // thickness cannot strain, flow keeps the axial stress half-way and the edge stands 2/√3
    // higher.
    let held = 2.0 / 3.0_f64.sqrt() * yield_stress;
    println!("by hand: {:.1} in a sheet, {:.1} where the thickness is held", -yield_stress, -held);
    // 1 %: the edge value is carried on from the nearest points.
    near("the edge of a sheet", sheet.1, -yield_stress, 0.01);
    // 2 %: the axial stress needs some plastic strain to come to half the hoop stress.
    near("the edge where the thickness is held", thick.1, -held, 0.02);
    near("its axial stress", thick.2, 0.5 * thick.1, 0.10);
    assert!(sheet.2.abs() < 1e-9, "a sheet has no stress through its thickness");
    // A sheet cannot carry more than 2σy/√3; a thick wall can.
    assert!(sheet.0 < held && thick.0 > 1.2 * held, "{} {}", sheet.0, thick.0);
    // Far from the hole the plate is elastic and σr + σθ nearly vanishes: freeing the thickness
    // changes little.
    near("the pressure with a free thickness", free.0, thick.0, 0.02);

    if let Some(folder) = lesson::folder() {
        for (lesson, name) in lessons.iter().zip(Idealisation::NAMES) {
            lesson.draw(&[], 9.0, &folder.join(name.replace(' ', "-")))?;
        }
        let curves: Vec<Curve> = lessons
            .iter()
            .zip(Idealisation::NAMES)
            .enumerate()
            .map(|(k, (lesson, name))| {
                let points = &lesson.path("1-expand-A", "A", 0.0).0.points;
                let shown = points.iter().filter(|point| point.distance < 9.0);
                Curve {
                    label: name.to_owned(),
                    points: shown.map(|point| [point.distance, point.stress.hoop]).collect(),
                    look: if k == 2 { Look::Dashed(k) } else { Look::Line(k) },
                }
            })
            .collect();
        let chart = CurveChart {
            name: "hoop",
            title: "Residual hoop stress, three idealisations",
            stage: "tool out",
            x: "Distance from the edge of the hole (mm)",
            y: "Hoop stress (MPa)",
            equal: false,
            curves: &curves,
        };
        curve_chart(&chart, lessons[0].context(), &folder)?;
    }
    Ok(())
}
