//! The load of a bar with two deep slits, plane strain.

use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::idealisation::Idealisation;
use crate::plot::{Compared, Style};
use crate::solver::prescribed::Drive;
use crate::verify::bench::{Bench, number, whole};
use crate::verify::cases::elliptic_membrane::pull;
use crate::verify::findings::{Findings, chart};
use crate::verify::grid::{between, graded, job, mapped};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case on a quarter: `x = 0` is the middle, `y = 0` the section of the slits.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    let half = |key: &str| Ok::<f64, Trouble>(0.5 * number(&table, key)?);
    let (width, ligament, length) = (half("width")?, half("ligament")?, half("length")?);
    let metal = Material {
        elasticity: Elasticity {
            youngs_modulus: number(&table, "youngs_modulus")?,
            poissons_ratio: number(&table, "poissons_ratio")?,
        },
        yield_stress: number(&table, "yield_stress")?,
        isotropic: Isotropic::None,
        kinematic: vec![],
    };
    let mut carried = Vec::new();
    let levels = bench.levels()?;
    for &level in &levels {
        // Elements shrink towards the tip of the slit from three sides.
        let count = whole(level);
        let growth = 1.0 + bench.number("growth")? / level;
        let mut across: Vec<f64> =
            graded(ligament, count, growth).iter().rev().map(|x| ligament - x).collect();
        let beyond = graded(width - ligament, 2 * count, growth * growth);
        across.extend(beyond.iter().skip(1).map(|x| ligament + x));
        let up = graded(length, 3 * count, growth * growth);
        let mesh =
            mapped(across.len() - 1, up.len() - 1, |s, t| [between(&across, s), between(&up, t)]);
        let limit = bench.number("asked_over_yield")? * metal.yield_stress * ligament / width;
        let forces = pull(&mesh, "top", limit);
        let mut wall = Wall::on_mesh(
            job([2.0 * width, 2.0 * length], metal.clone(), Idealisation::PlaneStrain),
            mesh,
        )?;
        for (held, node) in wall.system.supports.held.iter_mut().zip(&wall.system.mesh.nodes) {
            *held = [node[0].abs() < 1e-9, node[1].abs() < 1e-9 && node[0] < ligament + 1e-9];
        }
        let drive =
            Drive { external: Some(forces), step: bench.number("step")?, ..Drive::default() };
        let done = match wall.drive(bench, &drive)? {
            Ok(()) => f64::INFINITY,
            Err(error) => error.done,
        };
        carried.push(done * bench.number("asked_over_yield")?);
    }
    if let Some(last) = carried.last() {
        findings.put("limit load", *last);
    }
    let mut picture = chart(
        "Net stress at the limit load over the yield stress",
        "Elements across half the ligament",
        "Net stress over yield stress",
    );
    let exact = (2.0 + std::f64::consts::PI) / 3.0_f64.sqrt();
    let ends = [levels[0], levels[levels.len() - 1]];
    picture.curves = vec![
        Compared {
            label: "(2 + π)/√3".to_owned(),
            points: ends.map(|x| [x, exact]).to_vec(),
            look: Style::Line,
        },
        Compared {
            label: "computed".to_owned(),
            points: levels.iter().zip(&carried).map(|(x, y)| [*x, *y]).collect(),
            look: Style::Joined,
        },
    ];
    findings.chart("limit", picture);
    Ok(findings)
}
