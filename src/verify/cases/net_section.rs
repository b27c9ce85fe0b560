//! The load a perforated sheet carries when its net section flows.

use crate::process::stage::Stage;
use crate::verify::bench::Bench;
use crate::verify::findings::Findings;
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case: the load of the input grows until there is no equilibrium.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut carried = Vec::new();
    for fineness in bench.levels()? {
        let mut wall = Wall::new(bench.job_at(fineness)?)?;
        let Some(Stage::Load { load, .. }) = wall.job.stages.first().cloned() else {
            return Err(Trouble::missing("load"));
        };
        let share = match wall.try_load(bench, &load, bench.number("step")?)? {
            Ok(()) => f64::INFINITY,
            Err(error) => error.done,
        };
        let (_, stress) = load.tractions[0];
        let crate::geometry::plate::Outline::Rectangle { width, .. } = wall.job.plate.outline
        else {
            return Err(Trouble::missing("rectangle"));
        };
        let net = width - wall.job.plate.holes[0].starting_diameter;
        carried.push(share * stress * width / (net * wall.job.material.yield_stress));
    }
    if let Some(last) = carried.last() {
        findings.put("limit load", *last);
    }
    if let [.., before, last] = carried[..] {
        findings.put("change with the last mesh", last - before);
    }
    Ok(findings)
}
