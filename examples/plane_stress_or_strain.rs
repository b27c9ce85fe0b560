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
#[path = "common/page.rs"]
mod page;

use std::path::Path;

use hoopset::Case;
use hoopset::Idealisation;
use hoopset::numeric::root::bracketed_newton;
use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use hoopset::theory::plastic_cylinder::PlasticCylinder;
use lesson::{Lesson, Outcome, near, sheet_driven_out};
use page::{Page, fixed};

const CASE: &str = include_str!("plane_stress_or_strain.toml");

/// Radius of the hole, mm.
const INNER: f64 = 3.0;

fn main() -> Outcome<()> {
    let lessons: Vec<Lesson> = Idealisation::NAMES
        .iter()
        .map(|name| Lesson::run(&CASE.replace("plane stress", name), "plane_stress_or_strain.toml"))
        .collect::<Outcome<_>>()?;
    let yield_stress = lessons[0].case.job.material.yield_stress;

    let mut edges = Vec::new();
    for lesson in &lessons {
        let pressure = lesson.stage("1-expand-A-full").1.holes[0].mean_pressure;
        let (path, read) = lesson.path("1-expand-A", "A", 0.0);
        let axial = path.points[0].stress.axial;
        let depth = read.compression_depth.unwrap_or(f64::NAN);
        edges.push((pressure, read.edge_hoop, axial, depth, read.reverse_yield_extent));
    }
    let [sheet, thick, free] = [edges[0], edges[1], edges[2]];

    // By hand. The bare edge yields in compression on the way back, so its hoop and axial stress
    // lie on the ellipse of von Mises: in a sheet at −σy. Where the thickness is held, flow draws
    // the axial stress towards half the hoop stress, where the ellipse reaches 2/√3 σy; it is flat
    // there, so that it hardly matters how far the axial stress has come.
    let held = 2.0 / 3.0_f64.sqrt() * yield_stress;
    // 1 %: the edge value is carried on from the nearest points.
    near("the edge of a sheet", sheet.1, -yield_stress, 0.01);
    let on_ellipse = (thick.1 * thick.1 - thick.1 * thick.2 + thick.2 * thick.2).sqrt();
    near("the ellipse where the thickness is held", on_ellipse, yield_stress, 0.01);
    // 2 %: by the flatness of the ellipse.
    near("the edge where the thickness is held", thick.1, -held, 0.02);
    assert!(sheet.2.abs() < 1e-9, "a sheet has no stress through its thickness");
    // The pressures by hand: Nádai's sheet and Hill's cylinder under 1.5 % expansion.
    let nadai = sheet_driven_out(&lessons[0].case, 0.015 * INNER)?.pressure();
    let hill = hill(&lessons[1].case)?;
    let by_hand = [Some((nadai, -yield_stress)), Some((hill, -held)), None];
    let rows: Vec<Vec<String>> = Idealisation::NAMES
        .iter()
        .zip(&edges)
        .zip(by_hand)
        .map(|((name, (pressure, hoop, axial, depth, reverse)), by_hand)| {
            let hand = |value: Option<f64>| value.map_or(String::new(), |value| fixed(value, 1));
            vec![
                (*name).to_owned(),
                fixed(*pressure, 1),
                hand(by_hand.map(|(pressure, _)| pressure)),
                fixed(*hoop, 1),
                hand(by_hand.map(|(_, hoop)| hoop)),
                fixed(*axial, 1),
                fixed(*depth, 2),
                fixed(*reverse, 2),
            ]
        })
        .collect();
    let mut page = Page::open("examples/plane_stress_or_strain.md")?;
    page.table(
        "comparison",
        &[
            "",
            "pressure, MPa",
            "by hand",
            "edge hoop, MPa",
            "by hand",
            "edge axial, MPa",
            "depth, mm",
            "reverse yielding to, mm",
        ],
        &rows,
    );
    // 1 %: near its limit the pressure of a sheet hardly depends on the expansion.
    near("the pressure of a sheet", sheet.0, nadai, 0.01);
    // 3 %: Hill's Tresca with Y = 2σy/√3 stands for von Mises exactly only as ν goes to ½.
    near("the pressure in plane strain", thick.0, hill, 0.03);
    assert!(sheet.0 < held && thick.0 > held, "no sheet carries what a thick wall does");
    // Far from the hole the plate is elastic and σr + σθ nearly vanishes: freeing the thickness
    // changes little.
    near("the pressure with a free thickness", free.0, thick.0, 0.02);

    if let Some(folder) = lesson::folder() {
        figures(&lessons, &folder)?;
    }
    Ok(page.close()?)
}

/// Fields of the three idealisations and their hoop stress in one chart.
fn figures(lessons: &[Lesson], folder: &Path) -> Outcome<()> {
    for (lesson, name) in lessons.iter().zip(Idealisation::NAMES) {
        lesson.draw(&[], [9.0, 1.4], &folder.join(name.replace(' ', "-")))?;
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
    curve_chart(
        &CurveChart::new(
            ["hoop", "Residual hoop stress, three idealisations", "tool out"],
            ["Distance from the edge of the hole (mm)", "Hoop stress (MPa)"],
            &curves,
        )
        .smooth(),
        lessons[0].context(),
        folder,
    )?;
    Ok(())
}

/// Pressure of Hill's cylinder whose bore has moved out by 1.5 %, MPa.
fn hill(case: &Case) -> Outcome<f64> {
    let metal = &case.job.material;
    let outer = 0.5 * case.job.plate.outline.extent();
    let wall = PlasticCylinder::mises(INNER, outer, metal.yield_stress, metal.elasticity)?;
    let moved = |pressure: f64| wall.at_pressure(pressure)?.displacement(INNER);
    let most = wall.limit_pressure() * (1.0 - 1e-9);
    let slope = -INNER * (1.0 + metal.elasticity.poissons_ratio) / metal.elasticity.youngs_modulus;
    let pressure = bracketed_newton(0.0, most, 1e-9, |pressure| {
        (moved(pressure).map_or(f64::NAN, |moved| 0.015 * INNER - moved), slope)
    });
    Ok(pressure.ok_or("no pressure moves the bore that far")?)
}
