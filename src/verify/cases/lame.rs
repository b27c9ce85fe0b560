//! Elastic ring under pressure.

use crate::theory::field::RotationalField;
use crate::theory::lame::Ring;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, curve, points};

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let job = bench.job()?;
    let pressure = bench.number("pressure")?;
    let (inner, outer) = (job.plate.holes[0].radius(), 0.5 * job.plate.outline.extent());
    let ring = Ring::new(inner, outer, job.material.elasticity, job.idealisation)?;
    let exact = ring.at_pressure(pressure)?;
    let levels = bench.levels()?;
    let (mut stress, mut moved) = (Vec::new(), Vec::new());
    for (k, &fineness) in levels.iter().enumerate() {
        let mut wall = Wall::new(bench.job_at(fineness)?)?;
        wall.press(bench, pressure, 1.0)?;
        let (hoop, radial) = wall.hoop_and_radial()?;
        let bore = wall.displacement(inner)?;
        stress.push((hoop.values()[0] / exact.hoop(inner)? - 1.0).abs());
        moved.push((bore / exact.displacement(inner)? - 1.0).abs());
        if k + 1 == levels.len() {
            findings.put("bore hoop", hoop.values()[0]);
            findings.put("bore radial", radial.values()[0]);
            findings.put("rim hoop", *hoop.values().last().unwrap_or(&f64::NAN));
            findings.put("bore displacement", bore);
            findings.put("rim displacement", wall.displacement(outer)?);
            let mut picture = chart("Stress through the wall", "Radius (mm)", "Stress (MPa)");
            picture.curves = vec![
                theory("hoop, Lamé", curve(inner, outer, |r| exact.hoop(r))?),
                theory("radial, Lamé", curve(inner, outer, |r| exact.radial(r))?),
                computed("hoop, computed", points(&hoop)),
                computed("radial, computed", points(&radial)),
            ];
            findings.chart("stress", picture);
        }
    }
    findings.converge("hoop stress at the bore", &levels, stress);
    findings.converge("displacement of the bore", &levels, moved);
    Ok(findings)
}
