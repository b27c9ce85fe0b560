//! A large sheet that hardens, opened by a rigid tool.

use crate::material::hardening::Isotropic;
use crate::solver::prescribed::Drive;
use crate::theory::hardening_sheet::{HardeningSheet, RambergOsgood};
use crate::verify::bench::Bench;
use crate::verify::cases::plastic_sheet::rigid;
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Stops on the way to each opening, so that the curves are those of the run.
const STOPS: u32 = 4;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut wall = Wall::new(bench.job()?)?;
    let metal = wall.job.material.clone();
    let inner = wall.job.plate.holes[0].radius();
    let openings = bench.levels()?;
    let largest = openings.iter().copied().fold(0.0, f64::max);
    let mut from = wall.insert(&rigid(2.0 * inner * (1.0 + largest)));
    let (mut pressures, mut hoops, mut found) = (Vec::new(), Vec::new(), Vec::new());
    let step = f64::from(STOPS) / bench.number("increments")?;
    for &opening in &openings {
        let (first, last) = (from, inner * (1.0 + opening));
        let mut hoop = f64::NAN;
        for stop in 1..=STOPS {
            let radius = first + (last - first) * f64::from(stop) / f64::from(STOPS);
            let drive = Drive { tool: Some((0, [from, radius])), step, ..Drive::default() };
            wall.drive(bench, &drive)??;
            from = radius;
            hoop = wall.reading(&[])?.edge_hoop("A", 0.0)?;
            let percent = 100.0 * (radius / inner - 1.0);
            pressures.push([percent, wall.tool_pressure()]);
            hoops.push([percent, hoop]);
        }
        findings.put(format!("pressure at {opening}"), wall.tool_pressure());
        findings.put(format!("bore hoop at {opening}"), hoop);
        found.push(wall.tool_pressure());
    }
    let Isotropic::RambergOsgood { exponent } = metal.isotropic else {
        return Err(Trouble::missing("Ramberg–Osgood metal"));
    };
    let curve = RambergOsgood { offset_stress: metal.yield_stress, exponent };
    let sheet = HardeningSheet::new(inner, metal.elasticity, curve)?;
    let mut total = Vec::new();
    for k in 1..=80 {
        let strain = largest * f64::from(k) / 80.0;
        total.push([100.0 * strain, sheet.at_bore_strain(strain)?.pressure()]);
    }
    let worst = openings.iter().zip(&found).map(|(&opening, found)| {
        Ok((found / sheet.at_bore_strain(opening)?.pressure() - 1.0).abs())
    });
    let worst = worst.collect::<Result<Vec<f64>, Trouble>>()?.into_iter().fold(0.0, f64::max);
    findings.put("largest distance from total-strain theory", worst);
    let flow = crate::verify::bench::rows::<3>(bench.settings, "flow")?;
    let mut picture =
        chart("Bore of a sheet that hardens", "Opening of the hole (%)", "Stress (MPa)");
    let rows = |column: usize| flow.iter().map(|row| [100.0 * row[0], row[column]]).collect();
    picture.curves = vec![
        theory("pressure, total-strain theory", total),
        theory("pressure of the tool, computed", pressures),
        theory("hoop at the bore, computed", hoops),
        computed("pressure, radial integration", rows(1)),
        computed("hoop, radial integration", rows(2)),
    ];
    findings.chart("bore", picture);
    Ok(findings)
}
