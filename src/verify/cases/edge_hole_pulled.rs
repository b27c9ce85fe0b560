//! A hole near a straight edge, tension along the edge.

use crate::theory::edge_hole::PULLED_EDGE_HOLE;
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, tabulated};
use crate::verify::trouble::Trouble;

/// Computes the case at every distance of the settings.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut found = [Vec::new(), Vec::new(), Vec::new()];
    for distance in bench.levels()? {
        let mut job = bench.job()?;
        job.plate.holes[0].centre[0] = distance;
        let reading = bench.loaded(job, &[])?;
        let values = [
            reading.edge_hoop("A", 180.0)?,
            reading.edge_hoop("A", 0.0)?,
            reading.far_hoop("A", 180.0)?,
        ];
        for ((name, value), list) in
            ["near", "far", "straight edge"].iter().zip(values).zip(&mut found)
        {
            findings.put(format!("{name}, d/a {distance}"), value);
            list.push([distance, value]);
        }
    }
    let mut picture = chart(
        "Stress over remote stress",
        "Distance of the centre from the edge over the radius",
        "Stress over remote stress",
    );
    let rows = PULLED_EDGE_HOLE.iter();
    let [near, far, edge] = found;
    picture.curves = vec![
        tabulated("hole, towards the edge", rows.clone().map(|r| [r.distance, r.near]).collect()),
        tabulated("hole, away from it", rows.clone().map(|r| [r.distance, r.far]).collect()),
        tabulated("straight edge", rows.map(|r| [r.distance, r.straight_edge]).collect()),
        computed("computed: towards", near),
        computed("computed: away", far),
        computed("computed: straight edge", edge),
    ];
    findings.chart("factors", picture);
    Ok(findings)
}
