//! Quarter of an elliptic ring pulled at its outer edge.

use std::f64::consts::FRAC_PI_2;

use crate::element::edge;
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::idealisation::Idealisation;
use crate::mesh::topology::Mesh;
use crate::solver::prescribed::Drive;
use crate::verify::bench::{Bench, number, numbers, whole};
use crate::verify::findings::Findings;
use crate::verify::grid::{job, mapped, nearest_node};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    let (inner, outer) = (numbers(&table, "inner")?, numbers(&table, "outer")?);
    let traction = number(&table, "traction")?;
    let metal = elastic(number(&table, "youngs_modulus")?, number(&table, "poissons_ratio")?);
    let (levels, crowding) = (bench.levels()?, bench.number("crowding")?);
    let mut found = Vec::new();
    for &level in &levels {
        let layers = whole(level);
        let mesh = mapped(layers, 2 * layers, |s, t| {
            // Layers are thin at the inner edge, alike on every mesh.
            let along = (crowding * s / level).exp_m1() / crowding.exp_m1();
            let angle = FRAC_PI_2 * t / (2.0 * level);
            let axis = |k: usize| inner[k] + along * (outer[k] - inner[k]);
            // Exactly zero on the mirror lines, so that they are found.
            let (sin, cos) = (angle.sin(), if t >= 2.0 * level { 0.0 } else { angle.cos() });
            [axis(0) * cos, axis(1) * sin]
        });
        let forces = pull(&mesh, "right", traction);
        let extent = [outer[0], outer[1]];
        let mut wall = Wall::on_mesh(job(extent, metal.clone(), Idealisation::PlaneStress), mesh)?;
        hold_mirror_lines(&mut wall);
        let drive = Drive { external: Some(forces), step: 1.0, ..Drive::default() };
        wall.drive(bench, &drive)??;
        let reading = wall.reading(&[])?;
        let node = nearest_node(&wall.system.mesh, [inner[0], 0.0]);
        found.push(reading.result.nodal.stress[node].yy);
    }
    if let Some(last) = found.last() {
        findings.put("stress at (2, 0)", *last);
    }
    // The number of the benchmark has three digits; against it errors would stop at its last.
    if let [.., coarse, middle, fine] = found[..] {
        findings.put("observed order", ((coarse - middle) / (middle - fine)).abs().log2());
    }
    let mut picture = crate::verify::findings::chart(
        "Stress at the hole against the mesh",
        "Layers of elements through the ring",
        "Stress along y (MPa)",
    );
    picture.curves = vec![crate::plot::Compared {
        label: "computed".to_owned(),
        points: levels.iter().zip(&found).map(|(x, y)| [*x, *y]).collect(),
        look: crate::plot::Style::Joined,
    }];
    findings.chart("stress", picture);
    Ok(findings)
}

/// A metal that stays elastic.
pub(super) fn elastic(youngs_modulus: f64, poissons_ratio: f64) -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus, poissons_ratio },
        yield_stress: 10.0 * youngs_modulus,
        isotropic: Isotropic::None,
        kinematic: vec![],
    }
}

/// Nodal forces of an outward traction on a named edge, MPa.
pub(super) fn pull(mesh: &Mesh, name: &str, traction: f64) -> Vec<[f64; 2]> {
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    for side in mesh.edge(name).into_iter().flat_map(|edge| &edge.sides) {
        let shares = edge::normal_forces(&side.map(|node| mesh.nodes[node]));
        for (&node, share) in side.iter().zip(shares) {
            forces[node][0] += traction * share[0];
            forces[node][1] += traction * share[1];
        }
    }
    forces
}

/// No displacement across `x = 0` and `y = 0`.
fn hold_mirror_lines(wall: &mut Wall) {
    for (held, node) in wall.system.supports.held.iter_mut().zip(&wall.system.mesh.nodes) {
        *held = [node[0].abs() < 1e-9, node[1].abs() < 1e-9];
    }
}
