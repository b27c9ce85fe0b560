//! A thick cylinder loaded until it yields in part.

use crate::theory::field::RotationalField;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, at, curve, mean_error, points};

/// Computes the case: the example with its own Poisson's ratio, and convergence near ½.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let step = bench.number("step")?;
    let mut wall = Wall::new(bench.job()?)?;
    let (inner, outer) = (wall.job.plate.holes[0].radius(), 0.5 * wall.job.plate.outline.extent());
    let metal = wall.job.material.clone();
    let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
    let mut picture = chart("Hoop stress through the wall", "Radius (mm)", "Hoop stress (MPa)");
    for pressure in bench.numbers("pressures")? {
        wall.press(bench, pressure, step)?;
        let (hoop, radial) = wall.hoop_and_radial()?;
        let rim = *hoop.values().last().unwrap_or(&f64::NAN);
        let key = |what: &str| format!("{what} at {pressure}");
        findings.put(key("bore displacement"), wall.displacement(inner)?);
        findings.put(key("rim displacement"), wall.displacement(outer)?);
        findings.put(key("bore hoop"), hoop.values()[0]);
        findings.put(key("hoop at 150"), at(&hoop, 150.0)?);
        findings.put(key("radial at 150"), at(&radial, 150.0)?);
        findings.put(key("rim hoop"), rim);
        // The elastic part tells where it begins: σθ(b) = Y c²/b².
        findings.put(key("front"), outer * (rim / exact.yield_difference()).sqrt());
        let loaded = exact.at_pressure(pressure)?;
        picture.curves.push(theory(
            &format!("Hill, {pressure} MPa"),
            curve(inner, outer, |r| loaded.hoop(r))?,
        ));
        picture.curves.push(computed(&format!("computed, {pressure} MPa"), points(&hoop)));
    }
    findings.put("iterations an increment", wall.iterations());
    findings.chart("hoop", picture);

    let pressure = bench.number("convergence_pressure")?;
    let levels = bench.levels()?;
    let mut errors = Vec::new();
    for &fineness in &levels {
        let mut job = bench.job_at(fineness)?;
        job.material.elasticity.poissons_ratio = bench.number("nearly_half")?;
        let metal = job.material.clone();
        let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
        let mut wall = Wall::new(job)?;
        wall.press(bench, pressure, step)?;
        let (hoop, _) = wall.hoop_and_radial()?;
        errors.push(mean_error(&hoop, &exact.at_pressure(pressure)?, exact.yield_difference())?);
    }
    if let Some(last) = errors.last() {
        findings.put("mean hoop error, ν near ½", *last);
    }
    if let [first, .., last] = errors[..] {
        let rise: f64 = levels[levels.len() - 1] / levels[0];
        findings.put("mean order, ν near ½", (first / last).ln() / rise.ln());
    }
    findings.converge("hoop stress in the mean over the wall / Y", &levels, errors);
    Ok(findings)
}
