//! Closed forms laid on meshes made here, and every figure of them.

use std::f64::consts::{FRAC_PI_2, TAU};
use std::path::Path;

use hoopset::geometry::hole::Hole;
use hoopset::mesh::topology::{HoleMesh, Mesh, NamedEdge, Symmetry};
use hoopset::numeric::profile::Profile;
use hoopset::plot::{
    Band, Figure, FigureContext, MeshLines, Overlay, PathChart, contact_pressure_round_hole,
    convergence_history, deformed_outline, hoop_closeup, hoop_contour, hoop_paths, mesh_picture,
    plastic_zones, pressure_history,
};
use hoopset::process::history::{HistoryRecord, Phase};
use hoopset::process::measured::Measured;
use hoopset::result::path::{PathPoint, StressPath};
use hoopset::result::stage::{NodalFields, StageResult};
use hoopset::tensor::{Polar, Stress};
use hoopset::units::Units;

pub(crate) const HOLE_RADIUS: f64 = 3.0;
pub(crate) const OUTER_RADIUS: f64 = 15.0;
pub(crate) const YIELD: f64 = 350.0;
/// Elastic-plastic border while the pressure acts.
pub(crate) const BORDER: f64 = 6.0;

/// Residual hoop stress of a pressurised cylinder, elastic unloading.
///
/// Plane strain, perfectly plastic, Tresca. Source: R. Hill, The Mathematical Theory of
/// Plasticity (1950), chapter V (from memory).
pub(crate) fn residual_hoop(r: f64) -> f64 {
    let (a, b, c) = (HOLE_RADIUS, OUTER_RADIUS, BORDER);
    let radial = |r: f64| YIELD * ((r / c).ln() - 0.5 * (1.0 - c * c / (b * b)));
    let pressure = -radial(a);
    let loaded = if r <= c {
        radial(r) + YIELD
    } else {
        0.5 * YIELD * c * c / (b * b) * (1.0 + b * b / (r * r))
    };
    loaded - pressure * a * a / (b * b - a * a) * (1.0 + b * b / (r * r))
}

/// Rings of quadrilaterals, the outer third split into triangles. `outer(angle)` is the
/// distance of the outline; `turn` the angle covered, a full circle closes.
pub(crate) fn ringed(sectors: usize, layers: usize, turn: f64, outer: impl Fn(f64) -> f64) -> Mesh {
    let closed = (turn - TAU).abs() < 1e-12;
    let columns = if closed { 2 * sectors } else { 2 * sectors + 1 };
    let rows = 2 * layers + 1;
    let mut mesh = Mesh::default();
    for row in 0..rows {
        for column in 0..columns {
            let angle = turn * column as f64 / (2 * sectors) as f64;
            let share = (row as f64 / (rows - 1) as f64).powf(1.6);
            let r = HOLE_RADIUS + share * (outer(angle) - HOLE_RADIUS);
            mesh.nodes.push([r * angle.cos(), r * angle.sin()]);
        }
    }
    let at = |row: usize, column: usize| row * columns + column % columns;
    let from_triangles = layers - layers / 3;
    for layer in 0..layers {
        for sector in 0..sectors {
            let (i, j) = (2 * layer, 2 * sector);
            let (p0, p1, p2, p3) = (at(i, j), at(i + 2, j), at(i + 2, j + 2), at(i, j + 2));
            let (m0, m1) = (at(i + 1, j), at(i + 2, j + 1));
            let (m2, m3, middle) = (at(i + 1, j + 2), at(i, j + 1), at(i + 1, j + 1));
            if layer < from_triangles {
                mesh.quads.push([p0, p1, p2, p3, m0, m1, m2, m3]);
            } else {
                mesh.triangles.push([p0, p1, p2, m0, m1, middle]);
                mesh.triangles.push([p0, p2, p3, middle, m2, m3]);
            }
        }
    }
    let rim = |row: usize| {
        (0..sectors)
            .map(|k| [at(row, 2 * k), at(row, 2 * k + 1), at(row, 2 * k + 2)])
            .collect::<Vec<_>>()
    };
    mesh.holes.push(HoleMesh {
        edge: (0..columns).collect(),
        closed,
        first_quad: 0,
        sectors,
        layers: from_triangles,
        ream_layers: None,
    });
    mesh.edges.push(NamedEdge { name: "rim".to_owned(), sides: rim(rows - 1) });
    if !closed {
        mesh.symmetry = Symmetry { x: Some(0.0), y: Some(0.0) };
    }
    mesh
}

pub(crate) fn quarter() -> Mesh {
    ringed(10, 12, FRAC_PI_2, |_| OUTER_RADIUS)
}

/// A square plate of 40 mm: the outline is farther in the corners.
pub(crate) fn square() -> Mesh {
    ringed(32, 15, TAU, |angle| 20.0 / angle.cos().abs().max(angle.sin().abs()))
}

pub(crate) fn stage(mesh: Mesh, label: &str, heading: &str, strength: f64) -> StageResult {
    let radius = |p: &[f64; 2]| p[0].hypot(p[1]);
    let field =
        |f: &dyn Fn(f64) -> f64| -> Vec<f64> { mesh.nodes.iter().map(|p| f(radius(p))).collect() };
    let nodal = NodalFields {
        displacement: mesh
            .nodes
            .iter()
            .map(|p| p.map(|c| 0.08 * strength * HOLE_RADIUS * c / radius(p).powi(2)))
            .collect(),
        stress: vec![Stress::default(); mesh.nodes.len()],
        hoop: field(&|r| strength * residual_hoop(r)),
        hoop_jump: vec![0.0; mesh.nodes.len()],
        equivalent_plastic_strain: field(&|r| (0.03 * (BORDER / r - 1.0)).max(0.0)),
        reverse_plastic_strain: field(&|r| (0.01 * (4.0 / r - 1.0)).max(0.0)),
        thickness_change: field(&|r| 0.06 * (HOLE_RADIUS / r).powi(4)),
    };
    let paths = [0.0, 45.0, 90.0].map(|angle_deg| StressPath {
        hole: "A".to_owned(),
        angle_deg,
        points: (0..=120).map(|k| point(k, angle_deg, strength)).collect(),
    });
    let turn = if mesh.holes[0].closed { TAU } else { FRAC_PI_2 };
    let steps = 2 * mesh.holes[0].sectors;
    let pressures = (0..=steps).map(|k| {
        let angle = turn * k as f64 / steps as f64;
        [angle, 300.0 + 25.0 * (2.0 * angle).cos()]
    });
    StageResult {
        label: label.to_owned(),
        heading: heading.to_owned(),
        loaded: label.ends_with("-full"),
        nodal,
        points: Vec::new(),
        contact: Some((0, pressures.collect())),
        paths: paths.to_vec(),
        mesh,
    }
}

pub(crate) fn point(k: i32, angle_deg: f64, strength: f64) -> PathPoint {
    let distance = 0.1 * f64::from(k);
    let hoop = strength * residual_hoop(HOLE_RADIUS + distance) * (1.0 - angle_deg / 400.0);
    PathPoint {
        distance,
        position: [HOLE_RADIUS + distance, 0.0],
        drawn: [HOLE_RADIUS + distance, 0.0],
        stress: Polar { hoop, ..Polar::default() },
        von_mises: hoop.abs(),
        equivalent_plastic_strain: 0.0,
        reverse_plastic_strain: 0.0,
        hoop_point: hoop,
        hoop_jump: 0.0,
        thickness_change: 0.0,
    }
}

pub(crate) fn record(stage: &str, phase: Phase, increment: usize, share: f64) -> HistoryRecord {
    let growing = phase == Phase::Expand;
    let expansion = if growing { 0.04 * share } else { 0.04 * (1.0 - 0.3 * share) };
    let pressure =
        if growing { 320.0 * (1.0 - (-6.0 * share).exp()) } else { 320.0 * (1.0 - share) };
    let residuals: Vec<f64> = (0..4 + i32::from(increment.is_multiple_of(5)))
        .map(|k| 0.1 * 10f64.powf(-f64::from(k * k) * 0.65))
        .collect();
    HistoryRecord {
        stage: stage.to_owned(),
        phase,
        increment,
        share,
        expansion,
        mean_pressure: pressure,
        peak_pressure: 1.15 * pressure,
        closed_nodes: 40,
        mandrel_shift: [0.0; 2],
        load_factor: 0.0,
        iterations: residuals.len(),
        contact_changes: 0,
        halvings: usize::from(increment == 7),
        residual: residuals[residuals.len() - 1],
        residuals,
        external_work: 0.0,
        elastic_energy: 0.0,
        plastic_work: 0.0,
        largest_plastic_strain: 0.0,
    }
}

pub(crate) fn history() -> Vec<HistoryRecord> {
    let up = (1..=20).map(|k| record("1-expand-A", Phase::Expand, k, k as f64 / 20.0));
    let back = (1..=10).map(|k| record("1-expand-A", Phase::Release, 20 + k, k as f64 / 10.0));
    let cut = (1..=3).map(|k| record("2-ream-A", Phase::Ream, 30 + k, k as f64 / 3.0));
    up.chain(back).chain(cut).collect()
}

pub(crate) fn holes() -> Vec<Hole> {
    vec![Hole::round("A", [0.0; 2], 2.0 * HOLE_RADIUS)]
}

pub(crate) fn context(units: Units) -> FigureContext<'static> {
    FigureContext { case_title: "Hinge plate & lug <draft>", units }
}

/// Every figure there is, of both meshes.
pub(crate) fn draw_all(folder: &Path, units: Units) -> Vec<Figure> {
    let context = context(units);
    let (holes, records) = (holes(), history());
    let whole = stage(square(), "1-expand-A", "A expanded, tool out", 1.0);
    let part = stage(quarter(), "2-ream-A", "A reamed", 0.8);
    let full = stage(square(), "1-expand-A-full", "A expanded, tool at full size", -0.9);
    let overlays =
        [Overlay { label: "closed form, Hill 1950".to_owned(), profile: profile(1.0, 60) }];
    let measured = Measured::from_csv(
        "measured points",
        "distance,hoop,plus_minus\n0.2,-30,4\n0.3,-5,\n",
        units,
    );
    let measured = [measured.unwrap()];
    let band = Band {
        label: "isotropic to kinematic".to_owned(),
        ends: [profile(0.9, 40), profile(1.2, 60)],
    };
    let beside = PathChart {
        overlays: &overlays,
        measured: &measured,
        bands: &[band],
        ..PathChart::default()
    };
    let mut figures = Vec::new();
    for (stage, lines) in [(&whole, MeshLines::Hidden), (&part, MeshLines::Shown)] {
        figures.push(hoop_contour(stage, &holes, lines, context, folder).unwrap());
        figures.push(hoop_closeup(stage, &holes, 0, lines, context, folder).unwrap());
        figures.push(plastic_zones(stage, &holes, 0, context, folder).unwrap());
        figures.push(deformed_outline(stage, &holes, context, folder).unwrap());
        figures.push(contact_pressure_round_hole(stage, &holes, context, folder).unwrap());
    }
    let stages = [full, whole, part];
    figures.push(hoop_paths(&stages, &holes[0], &beside, context, folder).unwrap());
    figures.push(pressure_history(&records, "1-expand-A", context, folder).unwrap());
    figures.push(convergence_history(&records, 1e-8, context, folder).unwrap());
    figures.extend(mesh_picture(&stages[1].mesh, &holes, &[], context, folder).unwrap());
    figures
}

pub(crate) fn profile(factor: f64, steps: i32) -> Profile {
    let distance: Vec<f64> = (0..=steps).map(|k| 12.0 * f64::from(k) / f64::from(steps)).collect();
    let value = distance.iter().map(|d| factor * residual_hoop(HOLE_RADIUS + d)).collect();
    Profile::new(distance, value)
}
