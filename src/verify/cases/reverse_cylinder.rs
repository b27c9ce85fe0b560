//! A cylinder worked so hard that it yields in reverse when the pressure goes.

use crate::theory::field::RotationalField;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, at, curve, points};

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let fineness = bench.levels()?.last().copied().unwrap_or(1.0);
    let mut wall = Wall::new(bench.job_at(fineness)?)?;
    let metal = wall.job.material.clone();
    let (inner, outer) = (wall.job.plate.holes[0].radius(), 0.5 * wall.job.plate.outline.extent());
    let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
    let scale = exact.yield_difference();
    let pressure = bench.number("pressure_over_y")? * scale;
    wall.press(bench, pressure, bench.number("step")?)?;
    wall.mark();
    wall.press(bench, 0.0, bench.number("step")?)?;
    let (hoop, radial) = wall.hoop_and_radial()?;
    for ratio in bench.numbers("ratios")? {
        findings.put(format!("hoop at {ratio}"), at(&hoop, ratio * inner)? / scale);
        findings.put(format!("radial at {ratio}"), at(&radial, ratio * inner)? / scale);
    }
    // Where the metal yielded in reverse σθ − σr = −Y, and beyond it rises at once.
    let drop = |k: usize| (hoop.values()[k] - radial.values()[k]) / scale;
    let mut front = inner;
    for k in 1..hoop.values().len() {
        if drop(k) > -0.98 {
            let (r0, r1) = (hoop.distances()[k - 1], hoop.distances()[k]);
            front =
                r0 + (r1 - r0) * ((-1.0 - drop(k - 1)) / (drop(k) - drop(k - 1))).clamp(0.0, 1.0);
            break;
        }
    }
    findings.put("reverse front", front / inner);
    let left = exact.at_pressure(pressure)?.released(1.0)?;
    let mut picture =
        chart("Residual stress after reverse yielding", "Radius over bore radius", "Stress over Y");
    let shown =
        |list: Vec<[f64; 2]>| list.into_iter().map(|[r, s]| [r / inner, s / scale]).collect();
    picture.curves = vec![
        theory("hoop, Hill", shown(curve(inner, outer, |r| left.hoop(r))?)),
        theory("radial, Hill", shown(curve(inner, outer, |r| left.radial(r))?)),
        computed("hoop, computed", shown(points(&hoop))),
        computed("radial, computed", shown(points(&radial))),
    ];
    findings.chart("residual", picture);
    Ok(findings)
}
