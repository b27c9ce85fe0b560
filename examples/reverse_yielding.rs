//! Lesson: why does the edge yield twice, and what does the Bauschinger effect change?
//!
//! ```text
//! cargo run --release --example reverse_yielding               prints and checks
//! cargo run --release --example reverse_yielding -- FOLDER     also draws the figures
//! ```
//!
//! The page to read beside it is `examples/reverse_yielding.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use std::path::Path;

use hoopset::material::bracket::{purely_isotropic, purely_kinematic};
use hoopset::material::hardening::Isotropic;
use hoopset::plot::{Curve, CurveChart, Look, curve_chart};
use hoopset::process::history::Phase;
use hoopset::process::trace::{TraceRecord, Watched};
use hoopset::tensor::Polar;
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use hoopset::{Elasticity, Idealisation, Stage, parse};
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

/// Applied expansion of the metal without hardening.
const SMALL: f64 = 0.012;

const EDGE: Watched = Watched { hole: 0, angle: 0.0, depth: 0.0 };

fn main() -> Outcome<()> {
    let case = parse(include_str!("reverse_yielding.toml"), "reverse_yielding.toml")?;
    let alloy = case.job.material.clone();
    let mut perfect = alloy.clone();
    (perfect.isotropic, perfect.kinematic, perfect.yield_stress) =
        (Isotropic::None, Vec::new(), 350.0);
    let metals = [
        ("no hardening", perfect),
        ("all isotropic", purely_isotropic(&alloy)),
        ("as the alloy", alloy.clone()),
        ("all kinematic", purely_kinematic(&alloy).0),
    ];
    let lessons: Vec<(&str, Lesson)> = metals
        .into_iter()
        .enumerate()
        .map(|(k, (name, material))| {
            let mut own = case.clone();
            own.job.material = material;
            if let (0, Stage::Expand { tool, .. }) = (k, &mut own.job.stages[0]) {
                // Without hardening a sheet carries no more than 2σy/√3, reached near 1.6 %.
                tool.mandrel_diameter = 6.0 * (1.0 + SMALL);
            }
            Ok((name, Lesson::follow(own, EDGE)?))
        })
        .collect::<Outcome<_>>()?;

    let mut page = Page::open("examples/reverse_yielding.md")?;
    compare(&lessons, &mut page)?;

    let hoop = |k: usize| lessons[k].1.path("1-expand-A", "A", 0.0).1.edge_hoop;
    // By hand: a bare edge without hardening stands at −σy. 1 %: it is carried on from the
    // nearest points.
    near("the edge without hardening", hoop(0), -350.0, 0.01);
    // One tensile curve, one way there: the pressures agree; the ways back do not.
    let pressure = |k: usize| lessons[k].1.stage("1-expand-A-full").1.holes[0].mean_pressure;
    near("pressure, isotropic against kinematic", pressure(1), pressure(3), 0.01);
    assert!(
        hoop(1) < hoop(2) - 20.0 && hoop(2) < hoop(3) - 20.0,
        "{} {} {}",
        hoop(1),
        hoop(2),
        hoop(3)
    );

    // By hand without hardening: on the way back the edge follows Lamé until it meets the circle
    // again, which is a quadratic in the drop of pressure.
    let records = &lessons[0].1.trace.records;
    let full = last(records, Phase::Expand)?;
    let drop = drop_by_hand(full, 350.0)?;
    let met = records.windows(2).find(|pair| {
        pair[1].phase == Phase::Release
            && pair[1].equivalent_plastic_strain > full.equivalent_plastic_strain + 1e-9
    });
    let met = met.ok_or("it yields in reverse")?;
    let [before, after] = [0, 1].map(|k| full.mean_pressure - met[k].mean_pressure);
    page.value("drop by hand", drop);
    page.value("last elastic drop", before);
    page.value("first plastic drop", after);
    page.value("full size, radial", full.stress.radial);
    page.value("full size, hoop", full.stress.hoop);
    let edge = |k: usize| {
        Ok::<_, Box<dyn std::error::Error>>(
            last(&lessons[k].1.trace.records, Phase::Release)?.stress.hoop,
        )
    };
    page.value("difference of the laws", edge(3)? - edge(1)?);
    page.value("isotropic", edge(1)?);
    page.value("kinematic", edge(3)?);
    assert!(before <= drop && drop <= after, "{before} {drop} {after}");

    if let Some(folder) = lesson::folder() {
        draw(&lessons, &folder)?;
    }
    Ok(page.close()?)
}

/// The table of the page.
fn compare(lessons: &[(&str, Lesson)], page: &mut Page) -> Outcome<()> {
    let mut rows = Vec::new();
    for (name, lesson) in lessons {
        let records = &lesson.trace.records;
        let full = last(records, Phase::Expand)?;
        let left = last(records, Phase::Release)?;
        let again = records.iter().find(|r| {
            r.phase == Phase::Release
                && r.equivalent_plastic_strain > full.equivalent_plastic_strain + 2e-5
        });
        let again = again.ok_or("4 % yields in reverse with any of these metals")?;
        // Backstress as the pull that it stands for: its deviator is (−½, 1, −½)·(2/3) of that.
        let centre = 1.5 * left.backstress.hoop;
        let words = if rows.is_empty() { "no hardening, 1.2 %" } else { name };
        rows.push(vec![
            words.to_owned(),
            fixed(full.mean_pressure, 1),
            fixed(full.stress.hoop, 1),
            fixed(100.0 * full.equivalent_plastic_strain, 2),
            fixed(full.mean_pressure - again.mean_pressure, 0),
            fixed(left.stress.hoop, 1),
            fixed(centre, 1),
            fixed(left.yield_stress, 1),
        ]);
        // The stress lies on the yield circle as it stands: 0.5 % for the shear left out.
        near("distance from the centre", beyond(left), left.yield_stress, 0.005);
    }

    page.table(
        "comparison",
        &[
            "metal",
            "pressure at full size, MPa",
            "hoop there",
            "plastic strain, %",
            "reverse yielding after a drop of",
            "hoop left",
            "centre",
            "radius",
        ],
        &rows,
    );
    Ok(())
}

/// The figures of the page, into `folder`.
fn draw(lessons: &[(&str, Lesson)], folder: &Path) -> Outcome<()> {
    for (name, lesson) in lessons {
        lesson.draw(&[], [9.0, 1.8], &folder.join(name.replace(' ', "-")))?;
    }
    let mut curves = Vec::new();
    for (k, (name, lesson)) in lessons.iter().enumerate() {
        let records = lesson.fine()?.records;
        curves.push(Curve {
            label: (*name).to_owned(),
            points: records.iter().map(|r| [100.0 * r.strain.hoop, r.stress.hoop]).collect(),
            look: Look::Line(k),
        });
    }
    curve_chart(
        &CurveChart::new(
            ["loops", "One tensile curve, four ways back", "nearest to the edge, at 0°"],
            ["Hoop strain (%)", "Hoop stress (MPa)"],
            &curves,
        ),
        lessons[0].1.context(),
        folder,
    )?;
    Ok(())
}

fn last(records: &[TraceRecord], phase: Phase) -> Outcome<&TraceRecord> {
    Ok(records.iter().rev().find(|record| record.phase == phase).ok_or("a phase is missing")?)
}

/// Von Mises stress beyond the backstress.
fn beyond(record: &TraceRecord) -> f64 {
    let (s, a) = (record.stress, record.backstress);
    let rest = Polar {
        radial: s.radial - a.radial,
        hoop: s.hoop - a.hoop,
        axial: s.axial - a.axial,
        shear: s.shear - a.shear,
    };
    rest.cartesian(0.0).von_mises()
}

/// Drop of pressure after which the watched point yields in reverse, MPa: its stress goes back along
/// Lamé's field, `σ − d·(e, f)` with `e`, `f` the radial and hoop stress of a unit pressure at its
/// radius, until `σr² − σrσθ + σθ² = σy²` holds for the second time.
fn drop_by_hand(full: &TraceRecord, yield_stress: f64) -> Outcome<f64> {
    let elasticity = Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 };
    let unit = Ring::new(3.0, 30.0, elasticity, Idealisation::PlaneStress)?.at_pressure(1.0)?;
    let [x, y] = full.position;
    let unit = unit.stress(x.hypot(y))?;
    let (e, f) = (unit.radial, unit.hoop);
    let (r, t) = (full.stress.radial, full.stress.hoop);
    let a = e * e - e * f + f * f;
    let b = -(2.0 * r * e - r * f - t * e + 2.0 * t * f);
    let c = r * r - r * t + t * t - yield_stress * yield_stress;
    Ok((-b + (b * b - 4.0 * a * c).max(0.0).sqrt()) / (2.0 * a))
}
