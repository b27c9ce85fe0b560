//! One point of the metal on a square path of strain, plane strain.

use nalgebra::Vector4;

use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material, VoceTerm};
use crate::material::return_map::respond;
use crate::material::state::{PointState, Response, ReturnMapError};
use crate::material::{plane_stress, return_map};
use crate::tensor::Stress;
use crate::verify::bench::{Bench, number, numbers, rows};
use crate::verify::findings::{Findings, chart, computed};
use crate::verify::trouble::Trouble;

/// Computes the case: each stage in one step, and in many.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    let path = rows::<2>(&table, "path")?;
    let scale = number(&table, "strain_scale")?;
    let mut picture = chart("Stress on the path", "Stage", "Stress (MPa)");
    for slope in numbers(&table, "hardening_slopes")? {
        let metal = Material {
            elasticity: Elasticity {
                youngs_modulus: number(&table, "youngs_modulus")?,
                poissons_ratio: number(&table, "poissons_ratio")?,
            },
            yield_stress: number(&table, "yield_stress")?,
            isotropic: Isotropic::Linear { slope },
            kinematic: vec![],
        };
        for (steps, name) in [(1.0, "one step"), (bench.number("steps")?, "many steps")] {
            let mut state = PointState::default();
            let mut from = [0.0; 2];
            let mut q = vec![[0.0, 0.0]];
            for (stage, target) in path.iter().enumerate() {
                let mut stress = Vector4::zeros();
                let mut done = 0.0;
                while done < steps {
                    done += 1.0;
                    let at =
                        [0, 1].map(|k| scale * (from[k] + done / steps * (target[k] - from[k])));
                    let answer = respond(&metal, &Vector4::new(at[0], at[1], 0.0, 0.0), &state)
                        .map_err(|error| Trouble::Refused(Box::new(error)))?;
                    state = answer.state;
                    stress = answer.stress;
                }
                from = *target;
                let now = Stress::from(stress);
                let key = |what: &str| format!("H {slope}, {name}, stage {}, {what}", stage + 1);
                findings.put(key("x"), now.xx);
                findings.put(key("y"), now.yy);
                findings.put(key("z"), now.zz);
                findings.put(key("q"), now.von_mises());
                q.push([stage as f64 + 1.0, now.xx]);
            }
            picture.curves.push(crate::plot::Compared {
                look: crate::plot::Style::Joined,
                ..computed(&format!("σx, hardening {slope} MPa, {name}"), q)
            });
        }
    }
    findings.chart("path", picture);
    for (respond, name) in [
        (return_map::respond as Respond, "thickness strain given"),
        (plane_stress::respond, "plane stress"),
    ] {
        findings.put(format!("tangent, {name}"), tangent_error(&table, respond)?);
    }
    Ok(findings)
}

type Respond = fn(&Material, &Vector4<f64>, &PointState) -> Result<Response, ReturnMapError>;

/// Largest distance of a tangent from central differences of the stress, over Young's modulus, of a
/// metal with saturating hardening and fading backstress that is bent to and fro.
///
/// Equilibrium does not depend on the tangent, so no stress tells when it is wrong: only the number
/// of iterations does, which may be endless.
fn tangent_error(table: &toml::Table, respond: Respond) -> Result<f64, Trouble> {
    /// Strain step of the differences: they err by its square and by rounding over it.
    const STEP: f64 = 1e-8;
    let [modulus, recall, saturation, rate, slope] = rows::<5>(table, "tangent_hardening")?[0];
    let young = number(table, "youngs_modulus")?;
    let metal = Material {
        elasticity: Elasticity {
            youngs_modulus: young,
            poissons_ratio: number(table, "poissons_ratio")?,
        },
        yield_stress: number(table, "tangent_yield_stress")?,
        isotropic: Isotropic::Voce { terms: vec![VoceTerm { saturation, rate }], slope },
        kinematic: vec![Backstress { modulus, recall }],
    };
    let answer = |strain: &Vector4<f64>, state: &PointState| {
        respond(&metal, strain, state).map_err(|error| Trouble::Refused(Box::new(error)))
    };
    let mut state = PointState::default();
    let mut off: f64 = 0.0;
    for strain in rows::<4>(table, "tangent_path")? {
        let strain = Vector4::from(strain);
        let here = answer(&strain, &state)?;
        for column in 0..4 {
            let step = Vector4::ith(column, STEP);
            let ahead = answer(&(strain + step), &state)?.stress;
            let back = answer(&(strain - step), &state)?.stress;
            let differences = (ahead - back) / (2.0 * STEP);
            off = off.max((here.tangent.column(column) - differences).amax());
        }
        state = here.state;
    }
    Ok(off / young)
}
