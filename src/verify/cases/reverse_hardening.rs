//! Reverse yielding of a cylinder that hardens, isotropically or kinematically.

use crate::material::backstress::Backstress;
use crate::material::hardening::Isotropic;
use crate::verify::bench::{Bench, rows};
use crate::verify::findings::{Findings, chart, computed, theory};
use crate::verify::trouble::Trouble;
use crate::verify::wall::{Wall, at, points};

/// Computes the case: one slope of hardening, put into the yield stress or the backstress.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let fineness = bench.levels()?.last().copied().unwrap_or(1.0);
    let (slope, recall) = (bench.number("slope")?, bench.number("recall")?);
    let mut picture = chart(
        "Residual hoop stress under three laws with reverse yielding",
        "Radius (mm)",
        "Hoop stress (MPa)",
    );
    for law in ["isotropic", "kinematic", "fading kinematic"] {
        let mut job = bench.job_at(fineness)?;
        match law {
            "isotropic" => job.material.isotropic = Isotropic::Linear { slope },
            "kinematic" => {
                job.material.kinematic = vec![Backstress { modulus: slope, recall: 0.0 }];
            }
            _ => job.material.kinematic = vec![Backstress { modulus: slope, recall }],
        }
        let inner = job.plate.holes[0].radius();
        let mut wall = Wall::new(job)?;
        let fades = wall.job.material.kinematic.iter().any(|term| term.recall > 0.0);
        let step = bench.number(if fades { "fading_step" } else { "step" })?;
        wall.press(bench, bench.number("pressure")?, step)?;
        findings.put(format!("{law}, bore displacement loaded"), wall.displacement(inner)?);
        wall.mark();
        wall.press(bench, 0.0, step)?;
        findings.put(format!("{law}, bore displacement left"), wall.displacement(inner)?);
        findings.put(format!("{law}, iterations an increment"), wall.iterations());
        let (hoop, _) = wall.hoop_and_radial()?;
        for r in bench.numbers("radii")? {
            findings.put(format!("{law}, hoop at {r}"), at(&hoop, r)?);
        }
        let key = format!("curve_{}", law.replace(' ', "_"));
        let exact = rows::<2>(bench.settings, &key)?;
        picture.curves.push(theory(&format!("radial integration, {law}"), exact));
        picture.curves.push(computed(&format!("computed, {law}"), points(&hoop)));
    }
    findings.chart("residual", picture);
    Ok(findings)
}
