//! A ring expanded by a rigid mandrel and released, through the stages of an ordinary case.

use crate::process::stage::Stage;
use crate::theory::field::RotationalField;
use crate::theory::plastic_cylinder::PlasticCylinder;
use crate::verify::bench::{Bench, reading};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::curve;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let job = bench.job()?;
    let inner = job.plate.holes[0].radius();
    let outer = 0.5 * job.plate.outline.extent();
    let snapshots = bench.run(&job)?;
    let mut readings = snapshots.into_iter().map(|snapshot| reading(snapshot, &job, &[]));
    let (full, left) = match (readings.next(), readings.next()) {
        (Some(full), Some(left)) => (full?, left?),
        _ => return Err(Trouble::missing("expansion")),
    };
    findings.put("mean pressure", full.summary.holes[0].mean_pressure);
    findings.put("pressure spread", {
        let hole = &full.summary.holes[0];
        hole.peak_pressure / hole.mean_pressure - 1.0
    });
    findings.put("penetration", full.summary.largest_penetration);
    findings.put("edge hoop at full size", full.edge_hoop("A", 0.0)?);
    findings.put("residual edge hoop", left.edge_hoop("A", 0.0)?);
    findings.put("residual edge hoop at 90°", left.edge_hoop("A", 90.0)?);
    findings
        .put("retained expansion", left.summary.holes[0].retained_expansion.unwrap_or(f64::NAN));
    let history = &left.snapshot.history;
    let iterations: usize = history.iter().map(|record| record.iterations).sum();
    findings.put("iterations an increment", iterations as f64 / history.len().max(1) as f64);
    findings.put("pressure left", left.summary.holes[0].mean_pressure.abs());
    findings.put("energy imbalance", left.summary.energy_imbalance);
    let net = left.summary.sections.iter().map(|section| section.net_over_compressive.abs());
    findings.put("net force on a section", net.fold(0.0, f64::max));

    let Stage::Expand { tool, .. } = &job.stages[0] else { return Err(Trouble::missing("tool")) };
    let opening = 0.5 * tool.acting_diameter() - inner;
    let metal = &job.material;
    let exact = PlasticCylinder::mises(inner, outer, metal.yield_stress, metal.elasticity)?;
    // The pressure that opens the bore as far, by halving: the opening grows with it.
    let (mut low, mut high) = (0.0, exact.limit_pressure());
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if exact.at_pressure(middle)?.displacement(inner)? < opening {
            low = middle;
        } else {
            high = middle;
        }
    }
    let residual = exact.at_pressure(low)?.released(1.0)?;
    let path = left.path("A", 0.0)?.hoop();
    let mut picture = chart("Residual hoop stress", "Radius (mm)", "Hoop stress (MPa)");
    picture.curves = vec![
        theory("Hill less Lamé", curve(inner, outer, |r| residual.hoop(r))?),
        computed(
            "expanded and released",
            path.distances().iter().zip(path.values()).map(|(d, s)| [inner + d, *s]).collect(),
        ),
    ];
    findings.chart("residual", picture);
    Ok(findings)
}
