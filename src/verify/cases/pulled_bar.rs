//! A bar pulled, pushed and pulled again: isotropic against kinematic hardening.
//!
//! Floor 8, `verify`.

use std::ops::ControlFlow;

use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::plot::{Curve, Look};
use crate::solver::increment::{Drive, PhaseEnd};
use crate::verify::bench::{Bench, numbers};
use crate::verify::cases::elliptic_membrane::pull;
use crate::verify::findings::{Findings, chart};
use crate::verify::grid::{job, mapped};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case: every metal of the input through the stresses, in two curved elements.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    let stresses = numbers(&table, "stresses")?;
    let metals = table.get("metal").and_then(toml::Value::as_table);
    let mut picture = chart("Stress against strain", "Strain (%)", "Stress (MPa)");
    for (name, metal) in metals.ok_or_else(|| Trouble::missing("table `metal`"))? {
        let metal: Material = metal
            .clone()
            .try_into()
            .map_err(|error: toml::de::Error| Trouble::missing(format!("metal `{name}`: {error}")))?;
        let young = metal.elasticity.youngs_modulus;
        // A slanted middle line: the answer may not depend on the shape of the elements.
        let mesh = mapped(2, 1, |s, t| [s + 0.2 * (t - 0.5) * (2.0 - s) * s, t]);
        let mut wall = Wall::on_mesh(job([2.0, 1.0], metal, Idealisation::PlaneStress), mesh)?;
        let mut points = vec![[0.0, 0.0]];
        for (k, &stress) in stresses.iter().enumerate() {
            bench.go_on()?;
            let mesh = &wall.system.mesh;
            let right = pull(mesh, "right", stress).into_iter();
            let both = right.zip(pull(mesh, "left", stress));
            let forces = both.map(|(r, l)| [r[0] + l[0], r[1] + l[1]]).collect();
            let step = 1.0 / bench.number("steps")?;
            let drive = Drive { external: Some(forces), step, ..Drive::default() };
            let end = wall.system.run_phase(&mut wall.state, &drive, |_, state, _| {
                let stress = state.stress[0][0];
                let strain = state.points[0].plastic_strain[0] + stress / young;
                points.push([100.0 * strain, stress]);
                ControlFlow::Continue(())
            });
            if let PhaseEnd::Failed(error) = end {
                return Err(error.into());
            }
            let plastic = wall.state.points[0].plastic_strain[0];
            let spread = wall.state.points.iter().map(|p| (p.plastic_strain[0] - plastic).abs());
            findings.put(format!("{name}, plastic strain {}", k + 1), plastic);
            findings.put(format!("{name}, spread {}", k + 1), spread.fold(0.0, f64::max));
        }
        picture.curves.push(Curve { label: name.clone(), points, look: Look::Line });
    }
    findings.chart("loop", picture);
    Ok(findings)
}
