//! The pressure at which a thick cylinder flows through.

use crate::process::stage::Load;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case: pressure grows until there is no equilibrium.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut wall = Wall::new(bench.job()?)?;
    let (inner, outer) = (wall.job.plate.holes[0].radius(), 0.5 * wall.job.plate.outline.extent());
    let metal = wall.job.material.clone();
    let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
    let mut found = vec![[0.0, 0.0]];
    for pressure in bench.numbers("pressures")? {
        wall.press(bench, pressure, bench.number("step")?)?;
        found.push([wall.displacement(outer)?, pressure]);
    }
    let from = found.last().map_or(0.0, |last| last[1]);
    let asked = bench.number("beyond")?;
    let load = Load { pressure: Some((0, asked)), ..Load::default() };
    let carried = match wall.try_load(bench, &load, bench.number("step")?)? {
        Ok(()) => asked,
        Err(error) => from + error.done * (asked - from),
    };
    findings.put("limit pressure", carried);
    let mut picture = chart(
        "Pressure against the displacement of the rim",
        "Displacement (mm)",
        "Pressure (MPa)",
    );
    let limit = exact.limit_pressure();
    let mut line = vec![[0.0, 0.0]];
    for k in 1..200 {
        let pressure = limit * (1.0 - 0.5_f64.powf(0.05 * f64::from(k)));
        line.push([exact.at_pressure(pressure)?.displacement(outer)?, pressure]);
    }
    let reach = 1.15 * found.last().map_or(1.0, |last| last[0]);
    line.retain(|point| point[0] <= reach);
    picture.curves = vec![
        theory("Hill", line),
        theory("limit Y ln(b/a)", vec![[0.0, limit], [reach, limit]]),
        computed("computed", found),
    ];
    findings.chart("pressure", picture);
    Ok(findings)
}
