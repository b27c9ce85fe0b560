//! A very large perfectly plastic sheet: how far its hole opens, and when it yields in reverse.

use crate::theory::plastic_sheet::PlasticSheet;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let step = bench.number("step")?;
    let mut wall = Wall::new(bench.job()?)?;
    let metal = wall.job.material.clone();
    let inner = wall.job.plate.holes[0].radius();
    let (young, yield_stress) = (metal.elasticity.youngs_modulus, metal.yield_stress);
    let mut found = vec![[0.0, 0.0]];
    for ratio in bench.numbers("pressures_over_yield")? {
        wall.press(bench, ratio * yield_stress, step)?;
        let opening = young * wall.displacement(inner)? / (yield_stress * inner);
        findings.put(format!("opening at {ratio}"), opening);
        found.push([opening, ratio]);
        if (ratio - 1.0).abs() < 1e-12 {
            // Elastic wall outside: σr = −K/r² there, K from equilibrium at a large radius.
            let (hoop, radial) = wall.hoop_and_radial()?;
            let (r, drop) = (3.0 * inner, |r: f64| Some(hoop.at(r)? - radial.at(r)?));
            let strength = drop(r).map_or(f64::NAN, |d| 0.5 * d * r * r);
            // At the front of an infinite sheet σθ = −σr = σy/√3.
            findings.put("front at 1", (strength * 3.0_f64.sqrt() / yield_stress).sqrt() / inner);
        }
    }
    for ratio in bench.numbers("released_from")? {
        let mut wall = Wall::new(bench.job()?)?;
        wall.press(bench, ratio * yield_stress, step)?;
        wall.mark();
        wall.press(bench, 0.0, 0.1)?;
        findings.put(format!("reverse strain from {ratio}"), wall.largest_reverse_strain());
    }
    let sheet = PlasticSheet::new(inner, f64::INFINITY, yield_stress, metal.elasticity)?;
    let mut line = vec![[0.0, 0.0]];
    for k in 0..=56 {
        let pressure = yield_stress * (0.58 + 0.01 * f64::from(k));
        let moved = sheet.at_pressure(pressure)?.displacement(inner)?;
        line.push([young * moved / (yield_stress * inner), pressure / yield_stress]);
    }
    let mut picture =
        chart("Pressure against opening of the hole", "E u / (σy a)", "Pressure over yield stress");
    picture.curves =
        vec![theory("flow rule of Prandtl and Reuss", line), computed("computed", found)];
    findings.chart("opening", picture);
    Ok(findings)
}
