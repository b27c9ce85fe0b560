//! A tapered panel, clamped at one end and sheared at the other.

use crate::element::edge;
use crate::material::idealisation::Idealisation;
use crate::solver::prescribed::Drive;
use crate::verify::bench::{Bench, number, rows, whole};
use crate::verify::cases::elliptic_membrane::elastic;
use crate::verify::findings::Findings;
use crate::verify::grid::{job, mapped, nearest_node};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    let corners = rows::<2>(&table, "corners")?;
    let [a, b, c, d] = corners[..] else { return Err(Trouble::missing("four corners")) };
    let load = number(&table, "shear_force")?;
    let metal = elastic(number(&table, "youngs_modulus")?, number(&table, "poissons_ratio")?);
    let levels = bench.levels()?;
    let mut found = Vec::new();
    for &level in &levels {
        let pieces = whole(level);
        let mesh = mapped(pieces, pieces, |s, t| {
            let (s, t) = (s / level, t / level);
            [0, 1].map(|k| {
                (1.0 - s) * ((1.0 - t) * a[k] + t * d[k]) + s * ((1.0 - t) * b[k] + t * c[k])
            })
        });
        let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
        let height = c[1] - b[1];
        for side in mesh.edge("right").into_iter().flat_map(|edge| &edge.sides) {
            for (&node, length) in side.iter().zip(edge::lengths(&side.map(|n| mesh.nodes[n]))) {
                forces[node][1] += load * length / height;
            }
        }
        let mut wall =
            Wall::on_mesh(job([c[0], c[1]], metal.clone(), Idealisation::PlaneStress), mesh)?;
        for (held, node) in wall.system.supports.held.iter_mut().zip(&wall.system.mesh.nodes) {
            *held = [(node[0] - a[0]).abs() < 1e-9; 2];
        }
        wall.drive(bench, &Drive { external: Some(forces), step: 1.0, ..Drive::default() })??;
        let middle = [0, 1].map(|k| 0.5 * (b[k] + c[k]));
        let node = nearest_node(&wall.system.mesh, middle);
        found.push(wall.state.displacement[node][1]);
    }
    if let Some(last) = found.last() {
        findings.put("deflection", *last);
    }
    let mut picture = crate::verify::findings::chart(
        "Deflection of the middle of the sheared side",
        "Elements along a side",
        "Deflection (mm)",
    );
    picture.curves = vec![crate::plot::Compared {
        label: "computed".to_owned(),
        points: levels.iter().zip(&found).map(|(x, y)| [*x, *y]).collect(),
        look: crate::plot::Style::Joined,
    }];
    findings.chart("deflection", picture);
    Ok(findings)
}
