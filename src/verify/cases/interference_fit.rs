//! A solid pin pressed into a ring, in inches and ksi.

use crate::theory::field::RotationalField;
use crate::theory::lame::{Ring, SolidTool};
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::curve;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let case = bench.case()?;
    let (length, stress) = (case.units.length_scale(), case.units.stress_scale());
    let reading = bench.finished(&case.job)?;
    let summary = &reading.summary.holes[0];
    findings.put("contact pressure", summary.mean_pressure / stress);
    // As the program has it inside: a wrong factor at the border cancels from all the others.
    findings.put("contact pressure inside", summary.mean_pressure);
    findings.put("edge hoop", reading.edge_hoop("A", 0.0)? / stress);
    findings.put("hole diameter", summary.largest_diameter / length);

    let job = &case.job;
    let inner = job.plate.holes[0].radius();
    let ring = Ring::new(
        inner,
        0.5 * job.plate.outline.extent(),
        job.material.elasticity,
        job.idealisation,
    )?;
    let crate::process::stage::Stage::Fasten {
        diameter: Some(pin), elastic: Some((e, nu)), ..
    } = job.stages[0]
    else {
        return Err(Trouble::missing("elastic pin"));
    };
    let elasticity =
        crate::material::elasticity::Elasticity { youngs_modulus: e, poissons_ratio: nu };
    let exact = ring.with_tool(&SolidTool { radius: inner, elasticity }, 0.5 * pin - inner)?;
    let path = reading.path("A", 0.0)?.hoop();
    let found = path.distances().iter().zip(path.values());
    let mut picture = chart("Hoop stress through the ring", "Radius (in)", "Hoop stress (ksi)");
    picture.curves = vec![
        theory(
            "Lamé, pin and ring",
            curve(inner, ring_outer(job), |r| exact.hoop(r))?
                .into_iter()
                .map(|[r, s]| [r / length, s / stress])
                .collect(),
        ),
        computed("computed", found.map(|(d, s)| [(inner + d) / length, s / stress]).collect()),
    ];
    findings.chart("hoop", picture);
    Ok(findings)
}

fn ring_outer(job: &crate::process::job::Job) -> f64 {
    0.5 * job.plate.outline.extent()
}
