//! A perfectly plastic sheet with a pressurised hole, plane stress.

use crate::process::tool::{Centre, Tool};
use crate::solver::prescribed::Drive;
use crate::theory::field::RotationalField;
use crate::theory::plastic_sheet::{LoadedSheet, PlasticSheet};
use crate::verify::bench::Bench;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, at, curve, mean_error, points};

/// Computes the case: pressed, and opened by a rigid tool.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let job = bench.job()?;
    let (inner, outer) = (job.plate.holes[0].radius(), 0.5 * job.plate.outline.extent());
    let yield_stress = job.material.yield_stress;
    let sheet = PlasticSheet::new(inner, outer, yield_stress, job.material.elasticity)?;
    let pressure = bench.number("pressure_over_yield")? * yield_stress;
    let exact = sheet.at_pressure(pressure)?;
    findings.put("front in theory", exact.front().unwrap_or(f64::NAN) / inner);
    let levels = bench.levels()?;
    let mut errors = Vec::new();
    for (k, &fineness) in levels.iter().enumerate() {
        let mut wall = Wall::new(bench.job_at(fineness)?)?;
        wall.press(bench, pressure, 1.0 / bench.number("increments")?)?;
        let (hoop, radial) = wall.hoop_and_radial()?;
        errors.push(mean_error(&hoop, &exact, yield_stress)?);
        if k + 1 == levels.len() {
            for ratio in bench.numbers("ratios")? {
                findings.put(format!("hoop at {ratio}"), at(&hoop, ratio * inner)? / yield_stress);
                findings
                    .put(format!("radial at {ratio}"), at(&radial, ratio * inner)? / yield_stress);
            }
            findings.put("iterations an increment", wall.iterations());
            let opening = wall.displacement(inner)? / exact.displacement(inner)?;
            findings.put("opening over theory", opening);
            let mut picture = chart("Stress in the sheet", "Radius (mm)", "Stress (MPa)");
            picture.curves = vec![
                theory("hoop, Nádai", curve(inner, outer, |r| exact.hoop(r))?),
                theory("radial, Nádai", curve(inner, outer, |r| exact.radial(r))?),
                computed("hoop, computed", points(&hoop)),
                computed("radial, computed", points(&radial)),
            ];
            findings.chart("stress", picture);
        }
    }
    findings.converge("hoop stress in the mean over the wall / σy", &levels, errors);
    let increments = bench.numbers("tool_increments")?;
    let mut errors = Vec::new();
    for &count in &increments {
        let found = tool_pressure(bench, &exact, count)?;
        errors.push((found / pressure - 1.0).abs());
        findings.put(format!("tool pressure, {count} increments"), found / yield_stress);
    }
    findings.converge_by("increments", "pressure of a rigid tool", &increments, errors);
    Ok(findings)
}

/// Mean pressure of a rigid tool that opens the hole by what the closed form says, MPa.
fn tool_pressure(bench: &Bench<'_>, exact: &LoadedSheet, increments: f64) -> Result<f64, Trouble> {
    let mut wall = Wall::new(bench.job_at(bench.number("tool_fineness")?)?)?;
    let inner = exact.inner();
    let radius = inner + exact.displacement(inner)?;
    let start = wall.insert(&rigid(2.0 * radius));
    let drive =
        Drive { tool: Some((0, [start, radius])), step: 1.0 / increments, ..Drive::default() };
    wall.drive(bench, &drive)??;
    Ok(wall.tool_pressure())
}

/// A rigid tool of a diameter, mm, whose centre floats.
pub(super) fn rigid(diameter: f64) -> Tool {
    Tool {
        mandrel_diameter: diameter,
        sleeve_thickness: 0.0,
        split: None,
        elastic: None,
        centre: Centre::Floating,
        offset: [0.0; 2],
    }
}
