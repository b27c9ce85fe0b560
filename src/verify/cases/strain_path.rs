//! One point of the metal on a square path of strain, plane strain.
//!
//! Floor 8, `verify`.

use nalgebra::Vector4;

use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::return_map::respond;
use crate::material::state::PointState;
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
    Ok(findings)
}
