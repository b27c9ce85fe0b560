//! Uniform stress on a patch of distorted elements of both kinds.

use nalgebra::Matrix4;

use crate::element::edge;
use crate::element::kernel::{Measure, PointGeometry, block_count, stiffness};
use crate::element::point_field::QUAD_POINTS;
use crate::element::shape::{quad8_gradients, quad8_values};
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material};
use crate::material::idealisation::Idealisation;
use crate::mesh::topology::Mesh;
use crate::numeric::gauss::SQUARE_2X2;
use crate::solver::prescribed::Drive;
use crate::solver::tables::positions_of;
use crate::verify::bench::{Bench, number, rows, whole};
use crate::verify::findings::Findings;
use crate::verify::grid::{job, straight_sided};
use crate::verify::trouble::Trouble;
use crate::verify::wall::Wall;

const ALL: [(Idealisation, &str); 3] = [
    (Idealisation::PlaneStress, "plane stress"),
    (Idealisation::PlaneStrain, "plane strain"),
    (Idealisation::GeneralisedPlaneStrain, "generalised plane strain"),
];

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let table = bench.table()?;
    let elasticity = Elasticity {
        youngs_modulus: number(&table, "youngs_modulus")?,
        poissons_ratio: number(&table, "poissons_ratio")?,
    };
    let corners = rows::<2>(&table, "corners")?;
    let quads: Vec<[usize; 4]> = indices(&table, "quadrilaterals")?;
    let triangles: Vec<[usize; 3]> = indices(&table, "triangles")?;
    let mut findings = Findings::default();
    let mesh = straight_sided(&corners, &quads, &triangles);
    findings.put("symmetric half", unsymmetric_part(&mesh)?);
    for (idealisation, name) in ALL {
        let (mut worst_stress, mut worst_motion): (f64, f64) = (0.0, 0.0);
        for stress in rows::<3>(&table, "stresses")? {
            let mesh = straight_sided(&corners, &quads, &triangles);
            let (off, moved) = errors(bench, mesh, idealisation, elasticity, stress)?;
            worst_stress = worst_stress.max(off);
            worst_motion = worst_motion.max(moved);
        }
        findings.put(format!("stress, {name}"), worst_stress);
        findings.put(format!("displacement, {name}"), worst_motion);
    }
    Ok(findings)
}

/// How far the stiffness that an element makes of an unsymmetric tangent lies from that of the
/// tangent's symmetric half, over its largest entry.
fn unsymmetric_part(mesh: &Mesh) -> Result<f64, Trouble> {
    let nodes = positions_of(mesh, &mesh.quads[0]);
    let mut points = Vec::with_capacity(QUAD_POINTS);
    for (xi, weight) in SQUARE_2X2 {
        let (values, gradients) = (quad8_values(xi), quad8_gradients(xi));
        let plate = Measure::Plate { thickness: 1.0 };
        let point = PointGeometry::new(&nodes, &values, &gradients, weight, plate)
            .map_err(|_| Trouble::missing("element that is not folded"))?;
        points.push(point);
    }
    let points: [PointGeometry<8>; QUAD_POINTS] =
        points.try_into().map_err(|_| Trouble::missing("integration points"))?;
    // Any unsymmetric matrix will do.
    let tangent = Matrix4::from_fn(|i, j| 1.0 + i as f64 + 0.3 * (i * j) as f64 - 0.5 * j as f64);
    let half = 0.5 * (tangent + tangent.transpose());
    let blocks = |tangent: Matrix4<f64>| {
        let mut blocks = [[0.0; 4]; block_count(8)];
        stiffness(&points, &[tangent; QUAD_POINTS], &mut blocks);
        blocks
    };
    let (whole, half) = (blocks(tangent), blocks(half));
    let (mut off, mut largest): (f64, f64) = (0.0, 0.0);
    let entries = whole.iter().flatten().zip(half.iter().flatten());
    for (w, h) in entries {
        off = off.max((w - h).abs());
        largest = largest.max(h.abs());
    }
    Ok(off / largest)
}

/// Rows of node numbers.
fn indices<const N: usize>(table: &toml::Table, key: &str) -> Result<Vec<[usize; N]>, Trouble> {
    // `whole` begins at 1, nodes at 0.
    Ok(rows::<N>(table, key)?.into_iter().map(|row| row.map(|k| whole(k + 1.0) - 1)).collect())
}

/// Largest relative error of stresses and of displacements.
fn errors(
    bench: &Bench<'_>,
    mesh: Mesh,
    idealisation: Idealisation,
    elasticity: Elasticity,
    [xx, yy, xy]: [f64; 3],
) -> Result<(f64, f64), Trouble> {
    let Elasticity { youngs_modulus: young, poissons_ratio: nu } = elasticity;
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    for side in mesh.edges.iter().flat_map(|edge| &edge.sides) {
        let normals = edge::normal_forces(&side.map(|node| mesh.nodes[node]));
        for (&node, [nx, ny]) in side.iter().zip(normals) {
            forces[node][0] += xx * nx + xy * ny;
            forces[node][1] += xy * nx + yy * ny;
        }
    }
    let metal = Material {
        elasticity,
        yield_stress: 0.01 * young,
        isotropic: Isotropic::None,
        kinematic: vec![],
    };
    let mut wall = Wall::on_mesh(job([3.0, 2.0], metal, idealisation), mesh)?;
    let drive = Drive { external: Some(forces), step: 1.0, ..Drive::default() };
    wall.drive(bench, &drive)??;

    let size = xx.abs().max(yy.abs()).max(xy.abs());
    let zz = if idealisation == Idealisation::PlaneStrain { nu * (xx + yy) } else { 0.0 };
    let off = wall
        .state
        .stress
        .iter()
        .flat_map(|stress| {
            stress.iter().zip([xx, yy, zz, xy]).map(|(s, e)| (s - e).abs()).collect::<Vec<_>>()
        })
        .fold(0.0, f64::max);
    // Two nodes give the rigid motion; all the others are then foretold.
    let strain =
        [(xx - nu * (yy + zz)) / young, (yy - nu * (xx + zz)) / young, xy * (1.0 + nu) / young];
    let at = |node: usize| (wall.system.mesh.nodes[node], wall.state.displacement[node]);
    let ((p, u), (q, v)) = (at(0), at(3));
    let turn = (v[1] - u[1]) / (q[0] - p[0]) - strain[2];
    let (mut moved, mut largest): (f64, f64) = (0.0, 0.0);
    for node in 0..wall.system.mesh.nodes.len() {
        let (r, w) = at(node);
        let (x, y) = (r[0] - p[0], r[1] - p[1]);
        let expected = [
            u[0] + strain[0] * x + (strain[2] - turn) * y,
            u[1] + (strain[2] + turn) * x + strain[1] * y,
        ];
        for axis in 0..2 {
            moved = moved.max((w[axis] - expected[axis]).abs());
            largest = largest.max((expected[axis] - u[axis]).abs());
        }
    }
    Ok((off / size, moved / largest))
}
