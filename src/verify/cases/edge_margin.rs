//! The default mesh against one refined twice, for a hole near and nearer to an edge.

use crate::plot::{Compared, Style};
use crate::process::job::Job;
use crate::result::summary::{HoleSummary, PathSummary, StageSummary};
use crate::verify::bench::{Bench, Reading, reading};
use crate::verify::findings::{Findings, chart, computed};
use crate::verify::trouble::Trouble;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let levels = bench.levels()?;
    let mut picture = chart(
        "Residual hoop stress towards the near edge",
        "Distance from the edge of the hole (mm)",
        "Hoop stress (MPa)",
    );
    for margin in bench.numbers("margins")? {
        let mut runs = Vec::new();
        for &fineness in &levels {
            let mut job = bench.job_at(fineness)?;
            move_hole(&mut job, margin);
            let snapshots = bench.run(&job)?;
            let read = |snapshot| reading(snapshot, &job, &[]);
            runs.push(snapshots.into_iter().map(read).collect::<Result<Vec<_>, _>>()?);
        }
        let (Some(default), Some(finest)) = (runs.first(), runs.last()) else {
            return Err(Trouble::missing("levels"));
        };
        let summaries = |run: &[Reading]| run.iter().map(|r| r.summary.clone()).collect::<Vec<_>>();
        for (name, difference) in differences(&summaries(default), &summaries(finest)) {
            findings.put(format!("e/D {margin}: {name}"), difference);
        }
        let line = |run: &[Reading]| -> Result<Vec<[f64; 2]>, Trouble> {
            let reamed = run.last().ok_or_else(|| Trouble::missing("the ream"))?;
            let hoop = reamed.path("A", 180.0)?.hoop();
            Ok(hoop.distances().iter().zip(hoop.values()).map(|(d, s)| [*d, *s]).collect())
        };
        picture.curves.push(Compared {
            label: format!("e/D {margin}, finest"),
            points: line(finest)?,
            look: Style::Smooth,
        });
        picture.curves.push(computed(&format!("e/D {margin}, default"), line(default)?));
    }
    findings.chart("towards-the-edge", picture);
    Ok(findings)
}

/// Puts the hole `margin` final diameters from the left edge.
fn move_hole(job: &mut Job, margin: f64) {
    let diameter = job.stages.iter().find_map(|stage| match stage {
        crate::process::stage::Stage::Ream { diameter, .. } => Some(*diameter),
        _ => None,
    });
    let hole = &mut job.plate.holes[0];
    hole.centre[0] = margin * diameter.unwrap_or(hole.starting_diameter);
}

/// The largest relative difference of every kind of number.
fn differences(default: &[StageSummary], finest: &[StageSummary]) -> Vec<(&'static str, f64)> {
    let last = |run: &[StageSummary]| run.last().map(|s| s.paths.clone()).unwrap_or_default();
    let paths: Vec<(PathSummary, PathSummary)> =
        last(default).into_iter().zip(last(finest)).collect();
    let worst_path = |value: fn(&PathSummary) -> Option<f64>| {
        worst(paths.iter().filter_map(|(a, b)| Some([value(a)?, value(b)?])))
    };
    let sizes = default.iter().zip(finest).flat_map(|(a, b)| {
        let hole = |value: fn(&HoleSummary) -> Option<f64>| {
            Some([value(a.holes.first()?)?, value(b.holes.first()?)?])
        };
        let bulges = a.edges.iter().zip(&b.edges).filter(|(edge, _)| edge.edge == "left");
        [
            hole(|h| h.retained_expansion),
            hole(|h| Some(h.smallest_diameter)),
            hole(|h| Some(h.largest_diameter)),
            hole(|h| (h.mean_pressure > 0.0).then_some(h.mean_pressure)),
            hole(|h| (h.mean_pressure > 0.0).then_some(h.mandrel_shift[0])),
        ]
        .into_iter()
        .flatten()
        .chain(bulges.map(|(a, b)| [a.bulge, b.bulge]))
        .collect::<Vec<_>>()
    });
    vec![
        ("edge hoop", worst_path(|path| Some(path.edge_hoop))),
        ("peak compression", worst_path(|path| path.peak_compression.map(|[value, _]| value))),
        ("depth", worst_path(|path| path.compression_depth)),
        ("peak tension", worst_path(|path| path.peak_tension.map(|[value, _]| value))),
        ("size", worst(sizes)),
    ]
}

fn worst(pairs: impl Iterator<Item = [f64; 2]>) -> f64 {
    pairs.map(|[a, b]| (a / b - 1.0).abs()).fold(0.0, f64::max)
}
