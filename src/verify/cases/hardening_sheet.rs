//! A large sheet that hardens, opened by a rigid tool.

use crate::material::hardening::Isotropic;
use crate::solver::increment::Drive;
use crate::theory::hardening_sheet::{HardeningSheet, RambergOsgood};
use crate::verify::bench::Bench;
use crate::verify::cases::plastic_sheet::rigid;
use crate::verify::findings::{Findings, chart, computed, tabulated, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let mut wall = Wall::new(bench.job()?)?;
    let metal = wall.job.material.clone();
    let inner = wall.job.plate.holes[0].radius();
    let openings = bench.levels()?;
    let largest = openings.iter().copied().fold(0.0, f64::max);
    let mut from = wall.insert(&rigid(2.0 * inner * (1.0 + largest)));
    let (mut pressures, mut hoops) = (Vec::new(), Vec::new());
    for &opening in &openings {
        let radius = inner * (1.0 + opening);
        let step = 1.0 / bench.number("increments")?;
        let drive = Drive { tool: Some((0, [from, radius])), step, ..Drive::default() };
        wall.drive(bench, &drive)??;
        from = radius;
        let hoop = wall.reading(&[])?.edge_hoop("A", 0.0)?;
        findings.put(format!("pressure at {opening}"), wall.tool_pressure());
        findings.put(format!("bore hoop at {opening}"), hoop);
        pressures.push([100.0 * opening, wall.tool_pressure()]);
        hoops.push([100.0 * opening, hoop]);
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
    let worst = openings.iter().zip(&pressures).map(|(&opening, found)| {
        Ok((found[1] / sheet.at_bore_strain(opening)?.pressure() - 1.0).abs())
    });
    let worst = worst.collect::<Result<Vec<f64>, Trouble>>()?.into_iter().fold(0.0, f64::max);
    findings.put("largest distance from total-strain theory", worst);
    let flow = crate::verify::bench::rows::<3>(bench.settings, "flow")?;
    let mut picture =
        chart("Bore of a sheet that hardens", "Opening of the hole (%)", "Stress (MPa)");
    picture.curves = vec![
        theory("pressure, total-strain theory", total),
        tabulated(
            "pressure, radial integration",
            flow.iter().map(|f| [100.0 * f[0], f[1]]).collect(),
        ),
        tabulated(
            "hoop, radial integration, smoothed",
            flow.iter().map(|f| [100.0 * f[0], f[2]]).collect(),
        ),
        computed("pressure of the tool, computed", pressures),
        computed("hoop at the bore, computed", hoops),
    ];
    findings.chart("bore", picture);
    Ok(findings)
}
