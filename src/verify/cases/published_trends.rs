//! Trends of published measurements and analyses of expanded holes, in words, beside our figures.

use crate::geometry::hole::Hole;
use crate::material::bracket::{purely_isotropic, purely_kinematic};
use crate::plot::{Compared, Style};
use crate::process::job::Job;
use crate::process::stage::{Load, Stage};
use crate::verify::bench::{Bench, Reading, reading};
use crate::verify::cases::plastic_sheet::rigid;
use crate::verify::findings::{Findings, chart};
use crate::verify::trouble::Trouble;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    edges(bench, &mut findings)?;
    laws(bench, &mut findings)?;
    ream(bench, &mut findings)?;
    neighbours(bench, &mut findings)?;
    overload(bench, &mut findings)?;
    Ok(findings)
}

/// The plate of the input with the hole at `margin` diameters from the edge, expanded.
fn plate(bench: &Bench<'_>, margin: f64, expansion: f64) -> Result<Job, Trouble> {
    let mut job = bench.job()?;
    let diameter = job.plate.holes[0].starting_diameter;
    job.plate.holes[0].centre[0] = margin * diameter;
    job.stages = vec![expand(0, diameter, expansion)];
    Ok(job)
}

fn expand(hole: usize, diameter: f64, expansion: f64) -> Stage {
    Stage::Expand { hole, tool: rigid(diameter * (1.0 + expansion)) }
}

/// The last state of a job.
fn end(bench: &Bench<'_>, job: &Job) -> Result<Reading, Trouble> {
    bench.finished(job)
}

/// Force of the hoop compression next to the hole, per mm of thickness, on a path, N/mm.
fn compression(state: &Reading, angle: f64) -> Result<f64, Trouble> {
    let hoop = state.path("A", angle)?.hoop();
    let depth = state.numbers("A", angle)?.compression_depth;
    Ok(-depth.map_or(hoop.negative_integral(), |depth| hoop.up_to(depth).integral()))
}

/// Expansion levels at several edge distances.
fn edges(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let (margins, levels) = (bench.numbers("margins")?, bench.numbers("expansions")?);
    let mut force = chart(
        "Compression on the side of the edge",
        "Applied expansion (%)",
        "Force of the compression (N/mm)",
    );
    let mut hoop = chart(
        "Hoop stress at the hole, towards the edge",
        "Applied expansion (%)",
        "Hoop stress (MPa)",
    );
    let mut lost = Vec::new();
    let mut reference: Vec<f64> = Vec::new();
    for &margin in &margins {
        let (mut forces, mut stresses) = (Vec::new(), Vec::new());
        for &level in &levels {
            let state = end(bench, &plate(bench, margin, level)?)?;
            forces.push(compression(&state, 180.0)?);
            stresses.push(state.edge_hoop("A", 180.0)?);
        }
        let rises = forces.windows(2).map(|pair| pair[1] / pair[0] - 1.0);
        findings.put(
            format!("least rise with expansion, e/D {margin}"),
            rises.fold(f64::INFINITY, f64::min),
        );
        if reference.is_empty() {
            reference.clone_from(&forces);
        }
        let loss: Vec<f64> = forces.iter().zip(&reference).map(|(f, r)| 1.0 - f / r).collect();
        findings.put(format!("loss at the lowest expansion, e/D {margin}"), loss[0]);
        findings.put(format!("loss at the highest expansion, e/D {margin}"), loss[loss.len() - 1]);
        lost.push(loss);
        let against =
            |list: &[f64]| levels.iter().zip(list).map(|(x, y)| [100.0 * x, *y]).collect();
        for (picture, list) in [(&mut force, &forces), (&mut hoop, &stresses)] {
            picture.curves.push(Compared {
                label: format!("e/D {margin}"),
                points: against(list),
                look: Style::Joined,
            });
        }
    }
    if let Some(last) = lost.last() {
        findings.put("growth of the loss at the shortest edge", last[last.len() - 1] - last[0]);
    }
    findings.chart("compression-by-edge-and-expansion", force);
    findings.chart("hoop-by-edge-and-expansion", hoop);
    Ok(())
}

/// Three hardening laws with one first pull.
fn laws(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let (margin, level) = (bench.number("margin")?, bench.number("expansion")?);
    let mut picture = chart(
        "Residual hoop stress under three hardening laws",
        "Distance from the edge of the hole (mm)",
        "Hoop stress (MPa)",
    );
    let given = plate(bench, margin, level)?;
    let (kinematic, _) = purely_kinematic(&given.material);
    let isotropic = purely_isotropic(&given.material);
    let mut stresses = Vec::new();
    let mut depths = Vec::new();
    for (name, metal) in
        [("isotropic", isotropic), ("combined", given.material.clone()), ("kinematic", kinematic)]
    {
        let state = end(bench, &Job { material: metal, ..given.clone() })?;
        let path = state.path("A", 0.0)?.hoop();
        stresses.push(state.edge_hoop("A", 0.0)?);
        depths.push(state.numbers("A", 0.0)?.compression_depth.unwrap_or(f64::NAN));
        let reach = 3.0 * given.plate.holes[0].starting_diameter;
        let points = path.distances().iter().zip(path.values()).map(|(d, s)| [*d, *s]);
        picture.curves.push(Compared {
            label: name.to_owned(),
            points: points.filter(|point| point[0] <= reach).collect(),
            look: Style::Smooth,
        });
    }
    findings.put("edge hoop, isotropic", stresses[0]);
    findings.put("edge hoop, combined", stresses[1]);
    findings.put("edge hoop, kinematic", stresses[2]);
    findings.put("combined less isotropic", stresses[1] - stresses[0]);
    findings.put("kinematic less combined", stresses[2] - stresses[1]);
    let spread = |list: &[f64]| (list[0] - list[2]).abs() / list[1].abs();
    findings.put("spread of depth over spread of edge stress", spread(&depths) / spread(&stresses));
    findings.chart("hardening-laws", picture);
    Ok(())
}

/// Before and after the ream.
fn ream(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let mut job = plate(bench, bench.number("margin")?, bench.number("expansion")?)?;
    let diameter = bench.number("reamed_diameter")?;
    job.stages.push(Stage::Ream { hole: 0, diameter, offset: [0.0; 2] });
    let snapshots = bench.run(&job)?;
    let mut picture = chart(
        "Residual hoop stress before and after the ream",
        "Distance from the drilled centre (mm)",
        "Hoop stress (MPa)",
    );
    let mut peaks = Vec::new();
    let mut edges = Vec::new();
    for (label, name) in [("1-expand-A", "before"), ("2-ream-A", "after")] {
        let snapshot = snapshots.iter().find(|snapshot| snapshot.label == label);
        let snapshot = snapshot.ok_or_else(|| Trouble::missing(format!("stage {label}")))?;
        let state = reading(snapshot.clone(), &job, &[])?;
        let path = state.path("A", 0.0)?;
        let centre = job.plate.holes[0].centre[0];
        edges.push(path.points[0].stress.hoop);
        peaks.push(state.numbers("A", 0.0)?.peak_compression.map_or(f64::NAN, |peak| peak[0]));
        let points = path.points.iter().map(|p| [p.position[0] - centre, p.stress.hoop]);
        picture.curves.push(Compared {
            label: format!("{name} the ream"),
            points: points.filter(|point| point[0] <= 4.0 * diameter).collect(),
            look: Style::Smooth,
        });
    }
    findings.put("edge hoop before the ream", edges[0]);
    findings.put("edge hoop after the ream", edges[1]);
    findings.put("peak after the ream over before", peaks[1] / peaks[0]);
    findings.chart("ream", picture);
    Ok(())
}

/// A hole expanded, then its neighbour, at two spacings.
fn neighbours(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let spacings = bench.numbers("spacings")?;
    let mut picture = chart(
        "Compression at hole A, away from and towards its neighbour",
        "Spacing over diameter",
        "Force of the compression (N/mm)",
    );
    let (mut alone_points, mut then_points) = (Vec::new(), Vec::new());
    let mut losses = Vec::new();
    for &spacing in &spacings {
        let mut job = bench.job()?;
        let diameter = job.plate.holes[0].starting_diameter;
        let (low, high) = (job.plate.outline.bounds()[0], job.plate.outline.bounds()[1]);
        let middle = [0, 1].map(|k| 0.5 * (low[k] + high[k]));
        let off = 0.5 * spacing * diameter;
        job.plate.holes = [("A", -off), ("B", off)]
            .map(|(name, x)| Hole::round(name.to_owned(), [middle[0] + x, middle[1]], diameter))
            .to_vec();
        let level = bench.number("expansion")?;
        job.stages = vec![expand(0, diameter, level), expand(1, diameter, level)];
        let snapshots = bench.run(&job)?;
        let state = |label: &str| {
            let found = snapshots.iter().find(|snapshot| snapshot.label == label);
            let found = found.ok_or_else(|| Trouble::missing(format!("stage {label}")))?;
            reading(found.clone(), &job, &[])
        };
        let (first, second) = (state("1-expand-A")?, state("2-expand-B")?);
        // The hoop stress of A towards B is what a load across the row meets.
        let (alone, then) = (first.edge_hoop("A", 0.0)?, second.edge_hoop("A", 0.0)?);
        findings.put(format!("edge hoop of A alone, spacing {spacing}"), alone);
        findings.put(format!("edge hoop of A after B, spacing {spacing}"), then);
        losses.push(1.0 - then / alone);
        alone_points.push([spacing, compression(&first, 0.0)?]);
        then_points.push([spacing, compression(&second, 0.0)?]);
        // Of the hole that came second, towards the first.
        let last = second.edge_hoop("B", 180.0)?;
        findings.put(format!("edge hoop of B, spacing {spacing}"), last);
    }
    let changes: Vec<f64> = losses.iter().map(|loss| loss.abs()).collect();
    findings.put("change at A by B, closest", losses[0]);
    findings.put("change at A by B, widest", losses[losses.len() - 1]);
    findings.put("closest over widest", changes[0] / changes[changes.len() - 1].max(1e-6));
    picture.curves = vec![
        Compared { label: "A alone".to_owned(), points: alone_points, look: Style::Joined },
        Compared { label: "after B".to_owned(), points: then_points, look: Style::Joined },
    ];
    findings.chart("neighbours", picture);
    Ok(())
}

/// A compressive load after the expansion.
fn overload(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let mut picture = chart(
        "Edge hoop stress after one compressive load",
        "Compressive remote stress (MPa)",
        "Hoop stress left at the hole (MPa)",
    );
    let mut points = Vec::new();
    for stress in bench.numbers("overloads")? {
        let mut job = plate(bench, bench.number("margin")?, bench.number("expansion")?)?;
        if stress > 0.0 {
            let tractions = ["top", "bottom"].map(|edge| (edge.to_owned(), -stress)).to_vec();
            job.stages.push(Stage::Load { load: Load { tractions, ..Load::default() }, cycles: 1 });
        }
        let left = end(bench, &job)?.edge_hoop("A", 0.0)?;
        findings.put(format!("edge hoop after {stress} MPa of compression"), left);
        points.push([stress, left]);
    }
    if let (Some(none), Some(most)) = (points.first(), points.last()) {
        findings.put("share left after the largest", most[1] / none[1]);
    }
    picture.curves = vec![Compared { label: "computed".to_owned(), points, look: Style::Joined }];
    findings.chart("overload", picture);
    Ok(())
}
