//! A hole nearer to one side of a strip than to the other.

use crate::geometry::plate::Outline;
use crate::verify::bench::{Bench, Effort, rows};
use crate::verify::findings::Findings;
use crate::verify::trouble::Trouble;

/// Computes the case: each row of `strips` is near distance over far distance, and radius
/// over near distance.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut strips = rows::<2>(bench.settings, "strips")?;
    if bench.effort == Effort::Quick {
        strips.truncate(1);
    }
    for [eccentricity, size] in strips {
        let mut job = bench.job()?;
        let near = job.plate.holes[0].radius() / size;
        let width = near + near / eccentricity;
        let height = bench.number("length_over_width")? * width;
        job.plate.outline = Outline::Rectangle { width, height };
        job.plate.holes[0].centre = [near, 0.5 * height];
        let reading = bench.loaded(job, &[])?;
        findings.put(
            format!("near edge, c/e {eccentricity}, a/c {size}"),
            reading.edge_hoop("A", 180.0)?,
        );
        findings
            .put(format!("far edge, c/e {eccentricity}, a/c {size}"), reading.edge_hoop("A", 0.0)?);
    }
    Ok(findings)
}
