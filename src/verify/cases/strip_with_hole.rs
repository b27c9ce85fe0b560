//! A strip of finite width with a hole in its middle, under tension.

use crate::geometry::plate::Outline;
use crate::theory::strip_hole::STRIP_HOLE;
use crate::verify::bench::{Bench, Effort};
use crate::verify::findings::{Findings, chart, computed, tabulated};
use crate::verify::trouble::Trouble;

/// Computes the case: the strip of the input, and the same hole in strips of other widths.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let levels = bench.levels()?;
    let ratios = match bench.effort {
        Effort::Quick => vec![bench.number("quick_ratio")?],
        Effort::Whole => bench.numbers("ratios")?,
    };
    let mut peaks = Vec::new();
    for ratio in ratios {
        let mut errors = Vec::new();
        let mut found = Vec::new();
        for &fineness in &levels {
            let mut job = bench.job_at(fineness)?;
            let (width, height) = (2.0 / ratio, 8.0 / ratio);
            job.plate.outline = Outline::Rectangle { width, height };
            job.plate.holes[0].centre = [0.5 * width, 0.5 * height];
            let reading = bench.loaded(job, &[])?;
            found = vec![
                reading.edge_hoop("A", 0.0)?,
                reading.edge_hoop("A", 90.0)?,
                reading.far_hoop("A", 0.0)?,
            ];
            if let Some(row) = STRIP_HOLE.iter().find(|row| (row.ratio - ratio).abs() < 1e-9) {
                errors.push((found[0] / row.across - 1.0).abs());
            }
        }
        for (name, value) in ["peak", "on the axis", "straight edge"].iter().zip(&found) {
            findings.put(format!("{name} at {ratio}"), *value);
        }
        peaks.push([ratio, found[0]]);
        if errors.len() == levels.len() && levels.len() > 1 {
            findings.converge(&format!("peak at {ratio}"), &levels, errors);
        }
    }
    let mut picture = chart(
        "Peak stress over gross stress",
        "Hole diameter over width of the strip",
        "Peak stress over gross stress",
    );
    picture.curves = vec![
        tabulated(
            "spectral solution",
            STRIP_HOLE.iter().map(|row| [row.ratio, row.across]).collect(),
        ),
        tabulated(
            "table of 1930",
            STRIP_HOLE
                .iter()
                .filter_map(|row| row.table_of_1930.map(|table| [row.ratio, table[0]]))
                .collect(),
        ),
        computed("computed", peaks),
    ];
    findings.chart("factors", picture);
    Ok(findings)
}
