//! Two equal holes in a wide plate.

use crate::process::stage::{Load, Stage};
use crate::verify::bench::Bench;
use crate::verify::findings::Findings;
use crate::verify::trouble::Trouble;

/// Computes the case: tension across and along the centres, and pressure in one hole.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    for half_distance in bench.levels()? {
        let pull = |edges: [&str; 2]| Load {
            tractions: edges.map(|edge| (edge.to_owned(), 1.0)).to_vec(),
            ..Load::default()
        };
        let answer = |load: Load| {
            let mut job = bench.job()?;
            let [x, y] = job.plate.holes[0].centre;
            let middle = 0.5 * (x + job.plate.holes[1].centre[0]);
            job.plate.holes[0].centre = [middle - half_distance, y];
            job.plate.holes[1].centre = [middle + half_distance, y];
            job.stages = vec![Stage::Load { load, cycles: 1 }];
            bench.loaded(job, &[])
        };
        // Of hole A, on the left, 0° is towards the neighbour.
        let reading = answer(pull(["top", "bottom"]))?;
        findings.put(format!("across, inner, L {half_distance}"), reading.edge_hoop("A", 0.0)?);
        findings.put(format!("across, outer, L {half_distance}"), reading.edge_hoop("A", 180.0)?);
        let reading = answer(pull(["left", "right"]))?;
        findings.put(format!("along, at 90°, L {half_distance}"), reading.edge_hoop("A", 90.0)?);
        findings.put(format!("along, inner, L {half_distance}"), reading.edge_hoop("A", 0.0)?);
        let reading = answer(Load { pressure: Some((0, 1.0)), ..Load::default() })?;
        let neighbour = reading.edge_hoop("B", 180.0)?;
        findings.put(format!("pressed, neighbour, L {half_distance}"), neighbour);
    }
    Ok(findings)
}
