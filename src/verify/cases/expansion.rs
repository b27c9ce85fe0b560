//! The demonstration case on finer meshes and with more increments.

use crate::plot::{Compared, Style};
use crate::verify::bench::{Bench, reading, whole};
use crate::verify::findings::{Findings, chart};
use crate::verify::trouble::Trouble;

/// Edge hoop after the ream (MPa), its depth (mm), and the retained expansion before it.
type Numbers = [f64; 3];

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let levels = bench.levels()?;
    let by_mesh = levels
        .iter()
        .map(|&fineness| numbers(bench, fineness, bench.number("increments")?, None))
        .collect::<Result<Vec<_>, _>>()?;
    let coarse = bench.number("increment_fineness")?;
    let increments = bench.numbers("increment_levels")?;
    let by_increments = increments
        .iter()
        .map(|&count| numbers(bench, coarse, count, Some(whole(bench.number("parts")?))))
        .collect::<Result<Vec<_>, _>>()?;
    let by_default = numbers(bench, coarse, bench.number("increments")?, None)?;
    let names = ["edge hoop", "depth of compression", "retained expansion"];
    for (k, name) in names.iter().enumerate() {
        let (Some(default), Some(finest)) = (by_mesh.first(), by_mesh.last()) else { continue };
        findings.put(*name, default[k]);
        findings.put(format!("{name}, default mesh over finest"), default[k] / finest[k]);
        if let [.., first, second, third] = by_increments[..] {
            // First order in the increment: what is left is what the last halving changed.
            let order = ((first[k] - second[k]) / (second[k] - third[k])).log2();
            findings.put(format!("{name}, order in the increment"), order);
            let limit = 2.0 * third[k] - second[k];
            findings.put(format!("{name}, default increments over limit"), by_default[k] / limit);
        }
    }
    let mut picture =
        chart("Edge hoop stress against the increments", "Increments", "Edge hoop stress (MPa)");
    picture.curves = vec![Compared {
        label: format!("fineness {coarse}"),
        points: increments.iter().zip(&by_increments).map(|(x, y)| [*x, y[0]]).collect(),
        look: Style::Joined,
    }];
    findings.chart("increments", picture);
    Ok(findings)
}

/// With `parts` every increment is followed in as many; the error then falls with the increments.
fn numbers(
    bench: &Bench<'_>,
    fineness: f64,
    increments: f64,
    parts: Option<usize>,
) -> Result<Numbers, Trouble> {
    let mut job = bench.job_at(fineness)?;
    job.numerics.strain_parts = parts.or(job.numerics.strain_parts);
    job.numerics.increments = whole(increments);
    let snapshots = bench.run(&job)?;
    let read = |label: &str| {
        let snapshot = snapshots.iter().find(|snapshot| snapshot.label == label);
        let snapshot = snapshot.ok_or_else(|| Trouble::missing(format!("stage {label}")))?;
        reading(snapshot.clone(), &job, &[])
    };
    let (expanded, reamed) = (read("1-expand-A")?, read("2-ream-A")?);
    let path = reamed.numbers("A", 180.0)?;
    Ok([
        path.edge_hoop,
        path.compression_depth.unwrap_or(f64::NAN),
        expanded.summary.holes[0].retained_expansion.unwrap_or(f64::NAN),
    ])
}
