//! A residual ring cut to a larger bore.

use crate::numeric::profile::Profile;
use crate::theory::field::RotationalField;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::theory::ream::Reamed;
use crate::verify::bench::{Bench, reading};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{curve, mean_error};

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let pressure = bench.number("pressure")?;
    let levels = bench.levels()?;
    let (mut at_edge, mut mean) = (Vec::new(), Vec::new());
    for (k, &fineness) in levels.iter().enumerate() {
        let job = bench.job_at(fineness)?;
        let inner = job.plate.holes[0].radius();
        let outer = 0.5 * job.plate.outline.extent();
        let metal = &job.material;
        let cylinder = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
        let residual = cylinder.at_pressure(pressure)?.released(1.0)?;
        let snapshots = bench.run(&job)?;
        let [.., last] = &snapshots[..] else { return Err(Trouble::missing("ream")) };
        // The cutter works in the deformed part; the closed form wants the drawn radius.
        let node = last.mesh.nodes[last.mesh.holes[0].edge[0]];
        let edge = node[0].hypot(node[1]);
        let exact = Reamed::new(residual, edge, 0.5)?;
        let reading = reading(last.clone(), &job, &[])?;
        let hoop = reading.path("A", 0.0)?.hoop();
        let scale = exact.hoop(edge)?.abs();
        at_edge.push((hoop.values()[0] / exact.hoop(edge)? - 1.0).abs());
        let against_radius = Profile::new(
            hoop.distances().iter().map(|d| edge + d).collect(),
            hoop.values().to_vec(),
        );
        mean.push(mean_error(&against_radius, &exact, scale)?);
        if k + 1 == levels.len() {
            findings.put("edge hoop", hoop.values()[0]);
            findings.put("edge hoop over theory", hoop.values()[0] / exact.hoop(edge)?);
            findings.put("hoop at 150", hoop.at(150.0 - edge).unwrap_or(f64::NAN));
            let radial = reading.path("A", 0.0)?.profile(|point| point.stress.radial);
            findings.put("edge radial", radial.values()[0].abs());
            findings.put(
                "removed volume",
                last.cut.map_or(f64::NAN, |cut| {
                    cut.removed_volume / (std::f64::consts::PI * (edge * edge - inner * inner))
                }),
            );
            let mut picture =
                chart("Hoop stress after the ream", "Radius (mm)", "Hoop stress (MPa)");
            picture.curves = vec![
                theory("before the ream", curve(inner, outer, |r| residual.hoop(r))?),
                theory("layer removal", curve(edge, outer, |r| exact.hoop(r))?),
                computed(
                    "computed",
                    against_radius
                        .distances()
                        .iter()
                        .zip(against_radius.values())
                        .map(|(r, s)| [*r, *s])
                        .collect(),
                ),
            ];
            findings.chart("hoop", picture);
        }
    }
    findings.converge("hoop stress at the new edge", &levels, at_edge);
    findings.converge("hoop stress in the mean over the wall", &levels, mean);
    Ok(findings)
}
