//! Residual stresses in a thick cylinder after pressure.

use crate::theory::field::RotationalField;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, at, curve, mean_error, points};

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let pressure = bench.number("pressure")?;
    let levels = bench.levels()?;
    let (mut bore, mut mean) = (Vec::new(), Vec::new());
    for (k, &fineness) in levels.iter().enumerate() {
        let mut wall = Wall::new(bench.job_at(fineness)?)?;
        let metal = wall.job.material.clone();
        let (inner, outer) =
            (wall.job.plate.holes[0].radius(), 0.5 * wall.job.plate.outline.extent());
        let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
        let left = exact.at_pressure(pressure)?.released(1.0)?;
        let scale = exact.yield_difference();
        wall.press(bench, pressure, bench.number("step")?)?;
        wall.mark();
        wall.press(bench, 0.0, 0.25)?;
        let (hoop, radial) = wall.hoop_and_radial()?;
        bore.push((hoop.values()[0] - left.hoop(inner)?).abs() / scale);
        mean.push(mean_error(&hoop, &left, scale)?);
        if k + 1 == levels.len() {
            for r in bench.numbers("radii")? {
                findings.put(format!("hoop at {r}"), at(&hoop, r)?);
                findings.put(format!("radial at {r}"), at(&radial, r)?);
            }
            findings.put("reverse plastic strain", wall.largest_reverse_strain());
            let mut picture = chart("Residual stress", "Radius (mm)", "Stress (MPa)");
            picture.curves = vec![
                theory("hoop, Hill less Lamé", curve(inner, outer, |r| left.hoop(r))?),
                theory("radial, Hill less Lamé", curve(inner, outer, |r| left.radial(r))?),
                computed("hoop, computed", points(&hoop)),
                computed("radial, computed", points(&radial)),
            ];
            findings.chart("residual", picture);
        }
    }
    findings.converge("residual hoop at the bore / Y", &levels, bore);
    findings.converge("residual hoop in the mean over the wall / Y", &levels, mean);
    Ok(findings)
}
