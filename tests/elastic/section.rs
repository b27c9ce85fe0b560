//! The section of a body of revolution: patch tests, Lamé's ring, metal without hoop stress.
//!
//! x is the radius, y the depth; components are `(rr, zz, θθ, rz)`.

use std::ops::ControlFlow;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hoopset::element::edge;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::idealisation::Idealisation;
use hoopset::material::strains::Strains;
use hoopset::mesh::topology::Mesh;
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::{Region, System};
use hoopset::theory::field::RotationalField;
use hoopset::theory::lame::Ring;
use hoopset::verify::grid::straight_sided;

use crate::common::meshes::patch;
use crate::common::metals::{elastic, perfect};

const YOUNG: f64 = 72_000.0;
const NU: f64 = 0.33;
const ELASTICITY: Elasticity = Elasticity { youngs_modulus: YOUNG, poissons_ratio: NU };

/// Nodal forces of the tractions that the stress `(rr, zz, rz)` at every place has on the outline.
fn tractions(mesh: &Mesh, stress: impl Fn([f64; 2]) -> [f64; 3]) -> Vec<[f64; 2]> {
    let mut forces = vec![[0.0; 2]; mesh.nodes.len()];
    for side in &mesh.edges[0].sides {
        let places = side.map(|node| mesh.nodes[node]);
        let [rr, zz, rz] = stress(places[1]);
        for (&node, [nr, nz]) in side.iter().zip(edge::ring_normal_forces(&places)) {
            forces[node][0] += rr * nr + rz * nz;
            forces[node][1] += rz * nr + zz * nz;
        }
    }
    forces
}

/// The answer to forces, with one node held in depth: the radius needs no support.
fn answer(mut system: System, forces: Vec<[f64; 2]>) -> (System, State) {
    system.method.scheme = Scheme::Newton;
    system.supports.held.fill([false; 2]);
    system.supports.held[0] = [false, true];
    let mut state = system.virgin_state();
    let step = if system.method.strains == Strains::Finite { 0.1 } else { 1.0 };
    let drive = Drive { external: Some(forces), step, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
    (system, state)
}

fn section(mesh: Mesh) -> System {
    let metal = elastic(YOUNG, NU);
    let mut system = System::new(mesh, metal, Idealisation::Axisymmetric, 1.0, 1.0).unwrap();
    system.method.strains = Strains::Small;
    system
}

/// The patch of both elements, from radius 4 to 7 mm.
fn ring_patch() -> Mesh {
    let mut mesh = patch();
    for node in &mut mesh.nodes {
        node[0] += 4.0;
    }
    mesh
}

/// `(rr, zz, θθ)` that are uniform and in balance: `rr = θθ`.
const STRESSES: [[f64; 3]; 3] = [[0.0, 100.0, 0.0], [80.0, 80.0, 80.0], [50.0, -30.0, 50.0]];

#[test]
fn a_patch_of_both_elements_carries_any_uniform_stress() {
    for [rr, zz, hoop] in STRESSES {
        let mesh = ring_patch();
        let forces = tractions(&mesh, |_| [rr, zz, 0.0]);
        let (system, state) = answer(section(mesh), forces);
        for point in &state.stress {
            for (found, expected) in point.iter().zip([rr, zz, hoop, 0.0]) {
                // 1e-10 of the stress: rounding of a solve of a hundred unknowns.
                assert_abs_diff_eq!(*found, expected, epsilon = 1e-8);
            }
        }
        let strain = (rr - NU * (zz + hoop)) / YOUNG;
        for (place, moved) in system.mesh.nodes.iter().zip(&state.displacement) {
            assert_relative_eq!(moved[0], strain * place[0], max_relative = 1e-9);
        }
    }
}

/// A uniform stretch of 30 % in the radius and of −15 % in depth, in logarithmic strain: the stress
/// that does work on it is Hooke's, the forces are that over the stretch, by drawn area, and the
/// Cauchy stress is that over the change of volume. Derived.
#[test]
fn a_section_takes_a_stretch_of_thirty_percent() {
    let stretch = [1.3_f64, 0.85, 1.3];
    let strain = stretch.map(f64::ln);
    let [shear, lame] = [YOUNG / (2.0 * (1.0 + NU)), YOUNG * NU / ((1.0 + NU) * (1.0 - 2.0 * NU))];
    let sum: f64 = strain.iter().sum();
    let [rr, zz, hoop] = strain.map(|strain| lame * sum + 2.0 * shear * strain);
    let volume: f64 = stretch.iter().product();
    let mesh = ring_patch();
    let forces = tractions(&mesh, |_| [rr / stretch[0], zz / stretch[1], 0.0]);
    // The metal of the other tests would yield.
    let metal = perfect(YOUNG, NU, 1e3 * YOUNG);
    let mut system = System::new(mesh, metal, Idealisation::Axisymmetric, 1.0, 1.0).unwrap();
    system.method.strains = Strains::Finite;
    let (system, state) = answer(system, forces);
    for point in &state.stress {
        for (found, expected) in point.iter().zip([rr, zz, hoop, 0.0]) {
            assert_abs_diff_eq!(*found, expected / volume, epsilon = 1e-8 * YOUNG);
        }
    }
    for (place, moved) in system.mesh.nodes.iter().zip(&state.displacement) {
        assert_relative_eq!(moved[0], (stretch[0] - 1.0) * place[0], max_relative = 1e-8);
    }
}

/// A wall of `layers` elements from radius 100 to 200 mm, 40 mm high.
fn wall(layers: usize) -> Mesh {
    let place = |k: usize| 100.0 * 2.0_f64.powf(k as f64 / layers as f64);
    let corners: Vec<[f64; 2]> =
        (0..=layers).flat_map(|k| [[place(k), 0.0], [place(k), 40.0]]).collect();
    let quads: Vec<[usize; 4]> =
        (0..layers).map(|k| [2 * k, 2 * k + 2, 2 * k + 3, 2 * k + 1]).collect();
    straight_sided(&corners, &quads, &[])
}

#[test]
fn a_ring_under_pressure_is_lames() {
    let ring = Ring::new(100.0, 200.0, ELASTICITY, Idealisation::Axisymmetric).unwrap();
    let expected = ring.at_pressure(50.0).unwrap().displacement(100.0).unwrap();
    let pressed = ring.at_pressure(50.0).unwrap();
    let errors = [4, 8].map(|layers| {
        let mesh = wall(layers);
        let forces = tractions(&mesh, |[r, _]| [if r < 100.001 { -50.0 } else { 0.0 }, 0.0, 0.0]);
        let (system, state) = answer(section(mesh), forces);
        // The element with the reduced rule is exact at its corners here (measured).
        assert_relative_eq!(state.displacement[0][0], expected, max_relative = 1e-11);
        let points = state.stress.iter().zip(&system.tables.positions);
        points
            .map(|(stress, place)| (stress[2] - pressed.stress(place[0]).unwrap().hoop).abs())
            .fold(0.0, f64::max)
    });
    println!("hoop stress against Lamé: {errors:.4?} MPa");
    assert!(errors[1] < 0.01 * 50.0, "{errors:?}");
    // Stresses at the points of the reduced rule: second order at least.
    assert!((errors[0] / errors[1]).log2() > 1.8, "{errors:?}");
}

/// Metal that carries no hoop stress hands pressure on in proportion to `1/r`: `rr · r` is constant.
#[test]
fn a_split_ring_carries_no_hoop_stress() {
    let mesh = wall(8);
    let forces = tractions(&mesh, |[r, _]| {
        [if r < 100.001 { -60.0 } else { [0.0, -30.0][usize::from(r > 199.999)] }, 0.0, 0.0]
    });
    let mut system = section(mesh);
    let split = Region { material: elastic(YOUNG, NU), idealisation: Idealisation::PlaneStress };
    system.set_regions(vec![split], vec![1; 8], Vec::new());
    // Without hoop stress nothing holds the radius, and nothing keeps it from turning.
    system.method.scheme = Scheme::Newton;
    system.supports.held.fill([false; 2]);
    system.supports.held[0] = [true, true];
    system.supports.held[16] = [false, true];
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(forces), step: 1.0, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
    for (stress, place) in state.stress.iter().zip(&system.tables.positions) {
        assert_eq!(stress[2], 0.0);
        assert_relative_eq!(stress[0] * place[0], -6000.0, max_relative = 1e-2);
    }
}
