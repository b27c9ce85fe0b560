//! How far the defaults are from the program's own limit: the table of `verification/accuracy`.
//!
//! Each case is solved as a user would solve it and held against a stored solution on a fine mesh
//! with many increments: every hoop stress of every path and stage, and the numbers read from them.
//! The reference solutions take minutes each and are kept as data, as lines that lie within
//! [`THINNED`] of the computed ones.

mod cases;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;
use hoopset::result::path::StressPath;
use hoopset::result::summary::PathSummary;
use serde::{Deserialize, Serialize};

use crate::limits::cases::{CASES, text};

/// Where the reference solutions are kept.
const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../verification/accuracy/reference");

/// Fineness and increments of the reference unless something else is asked for.
const REFERENCE: Settings = Settings { fineness: 4.0, increments: 256, strain_parts: None };

/// How far a stored line may lie from the computed one, over the yield stress: a twentieth of what
/// the table looks for.
const THINNED: f64 = 2e-4;

#[derive(Clone, Copy, Debug, Deserialize, Serialize)]
struct Settings {
    fineness: f64,
    increments: usize,
    /// Parts of every increment; as many as the path tolerance asks for, and the end of contact followed, without.
    strain_parts: Option<usize>,
}

/// One path of one stage.
#[derive(Debug, Deserialize, Serialize)]
struct Line {
    /// Distance from the edge, mm, and hoop stress, MPa.
    points: Vec<[f64; 2]>,
    highest_tension: Option<f64>,
    plastic_extent: f64,
    reverse_yield_extent: f64,
}

#[derive(Debug, Deserialize, Serialize)]
struct Solution {
    settings: Option<Settings>,
    /// Further keys of `[numerics]`.
    further: String,
    yield_stress: f64,
    unknowns: usize,
    increments: usize,
    seconds: f64,
    /// By stage, hole and angle.
    lines: BTreeMap<String, Line>,
}

/// Options of the command line.
pub struct Options {
    /// Part of the names of the cases to be done.
    pub only: String,
    /// Further keys of `[numerics]`.
    pub further: String,
    /// `fineness,increments` or `fineness,increments,parts` of the reference.
    pub settings: Option<String>,
}

/// Computes the reference solutions that are not there yet.
pub fn references(options: &Options) -> Result<(), String> {
    let settings = options.settings.as_deref().map_or(Ok(REFERENCE), read_settings)?;
    std::fs::create_dir_all(FOLDER).map_err(|error| error.to_string())?;
    let pool = crate::pool(1)?;
    for name in chosen(options) {
        let file = file(name);
        if file.exists() {
            continue;
        }
        let mut solution = pool.install(|| solve(name, Some(settings), &options.further))?;
        let within = THINNED * solution.yield_stress;
        for line in solution.lines.values_mut() {
            line.points = thinned(&line.points, within);
        }
        let json = serde_json::to_string(&solution).map_err(|error| error.to_string())?;
        std::fs::write(&file, json).map_err(|error| error.to_string())?;
        println!("{name}: {} unknowns, {:.0} s", solution.unknowns, solution.seconds);
    }
    Ok(())
}

/// Prints the table: the defaults against the references that are there.
pub fn table(options: &Options) -> Result<(), String> {
    let settings = options.settings.as_deref().map(read_settings).transpose()?;
    let pool = crate::pool(1)?;
    println!(
        "| case | unknowns | increments | s | hoop % of yield | where | edge % of yield | \
         highest tension % | plastic to % | reverse to % |\n|---|---|---|---|---|---|---|---|---|---|"
    );
    for name in chosen(options) {
        let Ok(json) = std::fs::read_to_string(file(name)) else { continue };
        let reference: Solution = serde_json::from_str(&json).map_err(|error| error.to_string())?;
        let found = pool.install(|| solve(name, settings, &options.further))?;
        println!("{}", row(name, &found, &reference));
    }
    Ok(())
}

fn chosen(options: &Options) -> impl Iterator<Item = &'static str> {
    let only = options.only.clone();
    CASES.iter().map(|case| case.name).filter(move |name| name.contains(&only))
}

fn file(name: &str) -> PathBuf {
    Path::new(FOLDER).join(format!("{name}.json"))
}

fn read_settings(text: &str) -> Result<Settings, String> {
    let wrong = || format!("`{text}` is not fineness,increments or fineness,increments,parts");
    let words: Vec<&str> = text.split(',').collect();
    let (fineness, increments, parts) = match words.as_slice() {
        [fineness, increments] => (fineness, increments, None),
        [fineness, increments, parts] => (fineness, increments, Some(parts)),
        _ => return Err(wrong()),
    };
    let whole = |word: &str| word.parse().map_err(|_| wrong());
    Ok(Settings {
        fineness: fineness.parse().map_err(|_| wrong())?,
        increments: whole(increments)?,
        strain_parts: parts.map(|parts| whole(parts)).transpose()?,
    })
}

fn solve(name: &str, settings: Option<Settings>, further: &str) -> Result<Solution, String> {
    let case = hoopset::parse(&text(name, further), name).map_err(|error| error.to_string())?;
    let mut job = case.job;
    if let Some(Settings { fineness, increments, strain_parts }) = settings {
        job.numerics.fineness = fineness;
        job.numerics.increments = increments;
        job.numerics.strain_parts = strain_parts.or(job.numerics.strain_parts);
    }
    let clock = Instant::now();
    let mut sequence = Sequence::new(job.clone()).map_err(|error| format!("{name}: {error}"))?;
    let unknowns = 2 * sequence.mesh().nodes.len();
    let mut snapshots: Vec<Snapshot> = Vec::new();
    sequence.run(&mut snapshots).map_err(|failure| format!("{name}: {}", failure.error))?;
    let seconds = clock.elapsed().as_secs_f64();
    let mut lines = BTreeMap::new();
    for snapshot in &snapshots {
        let (result, summary) =
            hoopset::read(snapshot, &job, &[]).map_err(|error| error.to_string())?;
        for (path, numbers) in result.paths.iter().zip(&summary.paths) {
            let key = format!("{} {} {}", snapshot.label, path.hole, path.angle_deg);
            lines.insert(key, line(path, numbers));
        }
    }
    let increments = snapshots.last().map_or(0, |last| last.history.len());
    Ok(Solution {
        settings,
        further: further.to_owned(),
        yield_stress: job.material.yield_stress,
        unknowns,
        increments,
        seconds,
        lines,
    })
}

fn line(path: &StressPath, numbers: &PathSummary) -> Line {
    let round = |value: f64, digits: f64| (value * digits).round() / digits;
    Line {
        points: path
            .points
            .iter()
            .map(|point| [round(point.distance, 1e5), round(point.stress.hoop, 1e3)])
            .collect(),
        highest_tension: numbers.peak_tension.map(|[hoop, _]| hoop),
        plastic_extent: numbers.plastic_extent,
        reverse_yield_extent: numbers.reverse_yield_extent,
    }
}

/// As few of `points` as leave no other farther than `within` from the line, in the second
/// component.
fn thinned(points: &[[f64; 2]], within: f64) -> Vec<[f64; 2]> {
    let Some((first, last)) = points.first().zip(points.last()) else { return Vec::new() };
    let off = |[x, y]: [f64; 2]| {
        let share = if last[0] > first[0] { (x - first[0]) / (last[0] - first[0]) } else { 0.0 };
        (y - first[1] - share * (last[1] - first[1])).abs()
    };
    let worst = (1..points.len().saturating_sub(1))
        .map(|k| (k, off(points[k])))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    match worst {
        Some((k, error)) if error > within => {
            let mut kept = thinned(&points[..=k], within);
            kept.pop();
            kept.extend(thinned(&points[k..], within));
            kept
        }
        _ if points.len() > 1 => vec![*first, *last],
        _ => vec![*first],
    }
}

fn at(points: &[[f64; 2]], distance: f64) -> f64 {
    let right = points.partition_point(|point| point[0] <= distance).clamp(1, points.len() - 1);
    let ([x0, y0], [x1, y1]) = (points[right - 1], points[right]);
    if x1 > x0 { y0 + (y1 - y0) * (distance - x0) / (x1 - x0) } else { y0 }
}

fn row(name: &str, found: &Solution, reference: &Solution) -> String {
    let percent = 100.0 / reference.yield_stress;
    let (mut worst, mut place, mut edge) = (0.0, String::new(), 0.0_f64);
    let mut relative = [0.0_f64; 3];
    for (key, line) in &found.lines {
        let Some(other) = reference.lines.get(key).filter(|other| other.points.len() > 1) else {
            continue;
        };
        for &[distance, hoop] in &line.points {
            let error = percent * (hoop - at(&other.points, distance)).abs();
            if error > worst {
                worst = error;
                place = format!("{key}° at {distance:.2}");
            }
            if distance == 0.0 {
                edge = edge.max(error);
            }
        }
        if key.contains("-full") {
            continue;
        }
        let off = |new: f64, old: f64| if old > 0.0 { 100.0 * (new / old - 1.0) } else { 0.0 };
        let pairs = [
            (line.highest_tension.unwrap_or(0.0), other.highest_tension.unwrap_or(0.0)),
            (line.plastic_extent, other.plastic_extent),
            (line.reverse_yield_extent, other.reverse_yield_extent),
        ];
        for (largest, (new, old)) in relative.iter_mut().zip(pairs) {
            let error = off(new, old);
            if error.abs() > largest.abs() {
                *largest = error;
            }
        }
    }
    let [tension, plastic, reverse] = relative;
    format!(
        "| {name} | {} | {} | {:.1} | {worst:.2} | {place} | {edge:.2} | {tension:.1} | {plastic:.1} | {reverse:.1} |",
        found.unknowns, found.increments, found.seconds
    )
}
