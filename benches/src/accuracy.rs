//! What an answer costs: errors of the headline numbers against the time of the job.

use std::time::Instant;

use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;

use crate::job;

/// Fineness, increments, parts of an increment: about the default first, then one apart.
const SETTINGS: [(f64, usize, usize); 14] = [
    (1.0, 8, 4),
    (0.5, 8, 4),
    (2.0, 8, 4),
    (1.0, 4, 4),
    (1.0, 6, 4),
    (1.0, 12, 4),
    (1.0, 16, 4),
    (1.0, 8, 1),
    (1.0, 8, 2),
    (1.0, 8, 8),
    (1.0, 24, 1),
    (1.0, 48, 1),
    (2.0, 16, 8),
    (4.0, 8, 4),
];

/// What the others are held against.
const REFERENCE: (f64, usize, usize) = (4.0, 32, 8);

/// Towards the near edge after the ream: edge hoop, highest tension (MPa), depth (mm).
type Headline = [f64; 3];

pub fn table() -> Result<(), String> {
    let pool = crate::pool(1)?;
    let (reference, unknowns, seconds) = pool.install(|| solve(REFERENCE))?;
    println!(
        "reference: fineness {}, {} increments of {} parts, {unknowns} unknowns, {seconds:.1} s: {reference:?}\n",
        REFERENCE.0, REFERENCE.1, REFERENCE.2
    );
    let columns = [
        "fineness",
        "increments",
        "parts",
        "unknowns",
        "s",
        "edge hoop %",
        "highest tension %",
        "depth %",
    ];
    println!("| {} |\n|{}", columns.join(" | "), "---|".repeat(columns.len()));
    for setting in SETTINGS {
        let (found, unknowns, seconds) = pool.install(|| solve(setting))?;
        let (fineness, increments, parts) = setting;
        let [edge, tension, depth] =
            std::array::from_fn(|k| 100.0 * (found[k] / reference[k] - 1.0));
        println!(
            "| {fineness} | {increments} | {parts} | {unknowns} | {seconds:.2} | {edge:.2} | {tension:.2} | {depth:.2} |"
        );
    }
    Ok(())
}

fn solve(
    (fineness, increments, parts): (f64, usize, usize),
) -> Result<(Headline, usize, f64), String> {
    let mut job = job::demonstration()?;
    job.numerics.fineness = fineness;
    job.numerics.increments = increments;
    job.numerics.strain_parts = Some(parts);
    let clock = Instant::now();
    let mut sequence = Sequence::new(job.clone()).map_err(|error| error.to_string())?;
    let unknowns = 2 * sequence.mesh().nodes.len();
    let mut snapshots: Vec<Snapshot> = Vec::new();
    sequence.run(&mut snapshots).map_err(|failure| failure.error.to_string())?;
    let seconds = clock.elapsed().as_secs_f64();
    let last = snapshots.last().ok_or("no snapshot")?;
    let (_, summary) = hoopset::read(last, &job, &[]).map_err(|error| error.to_string())?;
    let path = summary.paths.iter().find(|path| (path.angle_deg - 180.0).abs() < 1e-6);
    let path = path.ok_or("no path towards the near edge")?;
    let tension = path.peak_tension.map_or(f64::NAN, |[hoop, _]| hoop);
    Ok(([path.edge_hoop, tension, path.compression_depth.unwrap_or(f64::NAN)], unknowns, seconds))
}
