//! A bar pulled, pushed and pulled again: isotropic against kinematic hardening.

use std::ops::ControlFlow;

use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::plot::{Compared, Style};
use crate::solver::increment::PhaseEnd;
use crate::solver::prescribed::Drive;
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
    let levels = bench.levels()?;
    for (name, metal) in metals.ok_or_else(|| Trouble::missing("table `metal`"))? {
        let metal: Material = metal.clone().try_into().map_err(|error: toml::de::Error| {
            Trouble::missing(format!("metal `{name}`: {error}"))
        })?;
        let runs = levels
            .iter()
            .map(|&steps| pulled(bench, &metal, &stresses, steps))
            .collect::<Result<Vec<_>, _>>()?;
        let [.., before, last] = &runs[..] else { return Err(Trouble::missing("two levels")) };
        findings.put(format!("{name}, spread"), last.spread);
        for (k, (&coarse, &fine)) in before.plastic.iter().zip(&last.plastic).enumerate() {
            findings.put(format!("{name}, plastic strain {}", k + 1), fine);
            // First order in the steps: what is left is what the last halving changed.
            findings.put(format!("{name}, plastic strain {}, limit", k + 1), 2.0 * fine - coarse);
        }
        if metal.kinematic.iter().any(|term| term.recall > 0.0) {
            let end = |run: &Pulled| run.plastic.last().copied().unwrap_or(f64::NAN);
            let changes = runs.windows(2).map(|pair| (end(&pair[1]) - end(&pair[0])).abs());
            let errors: Vec<f64> = changes.collect();
            let kept = &levels[..errors.len()];
            // The change that a halving makes falls with the order of the error itself.
            findings.converge_by("steps", "plastic strain after the last stress", kept, errors);
        }
        picture.curves.push(Compared {
            label: name.clone(),
            points: last.points.clone(),
            look: Style::Line,
        });
    }
    findings.chart("loop", picture);
    Ok(findings)
}

/// A bar after its stresses.
struct Pulled {
    /// Plastic strain after each stress.
    plastic: Vec<f64>,
    /// Largest difference between its points.
    spread: f64,
    /// Strain (%) and stress (MPa) on the way.
    points: Vec<[f64; 2]>,
}

fn pulled(
    bench: &Bench<'_>,
    metal: &Material,
    stresses: &[f64],
    steps: f64,
) -> Result<Pulled, Trouble> {
    let young = metal.elasticity.youngs_modulus;
    // A slanted middle line: the answer may not depend on the shape of the elements.
    let mesh = mapped(2, 1, |s, t| [s + 0.2 * (t - 0.5) * (2.0 - s) * s, t]);
    let plate = job([2.0, 1.0], metal.clone(), Idealisation::PlaneStress);
    let mut wall = Wall::on_mesh(plate, mesh)?;
    let mut bar = Pulled { plastic: Vec::new(), spread: 0.0, points: vec![[0.0, 0.0]] };
    for &stress in stresses {
        bench.go_on()?;
        let mesh = &wall.system.mesh;
        let both = pull(mesh, "right", stress).into_iter().zip(pull(mesh, "left", stress));
        let forces = both.map(|(r, l)| [r[0] + l[0], r[1] + l[1]]).collect();
        let drive = Drive { external: Some(forces), step: 1.0 / steps, ..Drive::default() };
        let end = wall.system.run_phase(&mut wall.state, &drive, |_, state, _| {
            let stress = state.stress[0][0];
            let strain = state.points[0].plastic_strain[0] + stress / young;
            bar.points.push([100.0 * strain, stress]);
            ControlFlow::Continue(())
        });
        if let PhaseEnd::Failed(error) = end {
            return Err(error.into());
        }
        let plastic = wall.state.points[0].plastic_strain[0];
        let points = wall.state.points.iter();
        let spread = points.map(|p| (p.plastic_strain[0] - plastic).abs()).fold(0.0, f64::max);
        bar.spread = bar.spread.max(spread);
        bar.plastic.push(plastic);
    }
    Ok(bar)
}
