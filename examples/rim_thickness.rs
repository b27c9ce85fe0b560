//! Lesson: what the rim of a hole does at 2, 4, 6 and 8 % expansion, and what small strains miss.
//!
//! ```text
//! cargo run --release --example rim_thickness
//! ```
//!
//! The page to read beside it is `examples/rim_thickness.md`.
#![allow(clippy::print_stdout)]

#[path = "common/lesson.rs"]
mod lesson;
#[path = "common/page.rs"]
mod page;

use hoopset::material::hardening::{Hardening, Material};
use lesson::{Lesson, Outcome, near};
use page::{Page, fixed};

const CASE: &str = include_str!("rim_thickness.toml");

const EXPANSIONS: [f64; 4] = [0.02, 0.04, 0.06, 0.08];

fn main() -> Outcome<()> {
    let mut rows = Vec::new();
    for expansion in EXPANSIONS {
        let text = CASE.replace("0.04", &format!("{expansion}"));
        let finite = Lesson::run(&text, "rim_thickness.toml")?;
        let small = Lesson::run(&text.replace("\"finite\"", "\"small\""), "rim_thickness.toml")?;
        let thickness = |lesson: &Lesson, label: &str| {
            lesson.stage(label).1.holes[0].edge_thickness_change.unwrap_or(f64::NAN)
        };
        let pressure = |lesson: &Lesson| lesson.stage("1-expand-A-full").1.holes[0].mean_pressure;
        let edge = |lesson: &Lesson| lesson.path("1-expand-A", "A", 0.0).1.edge_hoop;

        // By hand: the flow rule at the rim, along the pressures that the run found.
        let path: Vec<[f64; 2]> = finite
            .trace
            .history
            .iter()
            .filter(|record| record.phase.name() == "expand")
            .map(|record| [record.expansion, record.mean_pressure])
            .collect();
        let by_hand = grown_thickness(&finite.case.job.material, &path);
        let found = thickness(&finite, "1-expand-A-full");
        near("the thickness of the rim", 1.0 + found, 1.0 + by_hand, 0.002);
        // A sheet that grows thicker under its tool needs less pressure: finite strain knows.
        assert!(pressure(&finite) < pressure(&small));
        rows.push(vec![
            fixed(100.0 * expansion, 0),
            fixed(pressure(&finite), 1),
            fixed(pressure(&small), 1),
            fixed(100.0 * found, 2),
            fixed(100.0 * by_hand, 2),
            fixed(100.0 * thickness(&small, "1-expand-A-full"), 2),
            fixed(edge(&finite), 1),
            fixed(edge(&small), 1),
        ]);
    }
    let mut page = Page::open("examples/rim_thickness.md")?;
    page.table(
        "comparison",
        &[
            "expansion, %",
            "pressure, MPa",
            "small strains",
            "rim thicker by, %",
            "by hand",
            "small strains",
            "edge hoop after, MPa",
            "small strains",
        ],
        &rows,
    );
    Ok(page.close()?)
}

/// Change of thickness of the rim of a hole that was opened along `path`, its expansion and the
/// pressure then (MPa), by Hooke's law and the flow rule alone:
///
/// ```text
/// σr = −p,  σθ = −p/2 + √(σy² − ¾p²),  ε_θ = ln(1 + expansion) = (σθ − νσr)/E + plastic part
/// dε_z/dε_θ = −(σr + σθ)/(2σθ − σr),  dε̄/dε_θ = 2σy/(2σθ − σr)     of the plastic parts
/// ```
fn grown_thickness(metal: &Material, path: &[[f64; 2]]) -> f64 {
    let (young, nu) = (metal.elasticity.youngs_modulus, metal.elasticity.poissons_ratio);
    // Hoop stress of a rim that yields; before that an elastic one has σθ = p.
    let hoop = |pressure: f64, equivalent: f64| {
        let yield_stress = metal.yield_stress(equivalent);
        if equivalent <= 0.0 && 3.0_f64.sqrt() * pressure <= yield_stress {
            return pressure;
        }
        -0.5 * pressure + (yield_stress.powi(2) - 0.75 * pressure * pressure).max(0.0).sqrt()
    };
    let elastic = |pressure: f64, hoop: f64| (hoop + nu * pressure) / young;
    let (mut thicker, mut equivalent) = (0.0, 0.0);
    for pair in path.windows(2) {
        let [[before, p], [after, q]] = [pair[0], pair[1]];
        let step = after.ln_1p() - before.ln_1p();
        // The rule of the middle; the plastic strain half-way and at the end by repetition.
        let start = elastic(p, hoop(p, equivalent));
        let mut grown = 0.0;
        for _ in 0..20 {
            let pressure = 0.5 * (p + q);
            let middle = hoop(pressure, equivalent + 0.5 * grown);
            let across = 2.0 * middle + pressure;
            let plastic = step - (elastic(q, hoop(q, equivalent + grown)) - start);
            grown =
                (2.0 * metal.yield_stress(equivalent + 0.5 * grown) / across * plastic).max(0.0);
        }
        if 3.0_f64.sqrt() * q > metal.yield_stress {
            let (pressure, middle) = (0.5 * (p + q), hoop(0.5 * (p + q), equivalent + 0.5 * grown));
            let plastic = step - (elastic(q, hoop(q, equivalent + grown)) - start);
            thicker += (pressure - middle) / (2.0 * middle + pressure) * plastic;
            equivalent += grown;
        }
    }
    let last = path.last().map_or(0.0, |[_, pressure]| *pressure);
    f64::exp_m1(thicker + nu / young * (last - hoop(last, equivalent)))
}
