//! Elements and a patch of them in large deformation.

use std::f64::consts::TAU;
use std::ops::ControlFlow;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hoopset::element::kernel::{Measure, PointGeometry, block, block_count};
use hoopset::element::nominal;
use hoopset::element::shape::{quad8_gradients, quad8_values, tri6_gradients, tri6_values};
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::logarithmic::Deformation;
use hoopset::material::state::PointState;
use hoopset::material::strains::Strains;
use hoopset::numeric::gauss::{SQUARE_2X2, TRIANGLE_3};
use hoopset::solver::increment::PhaseEnd;
use hoopset::solver::newton::Scheme;
use hoopset::solver::prescribed::Drive;
use hoopset::solver::state::State;
use hoopset::solver::system::System;
use nalgebra::Matrix2;

use crate::common::meshes::{patch, tractions};

use super::laws::{YOUNG, answer, elastic, metal, metals};

const QUAD: [[f64; 2]; 8] = [
    [4.1, -0.1],
    [6.0, 0.2],
    [6.2, 1.4],
    [3.9, 1.1],
    [5.05, 0.0],
    [6.15, 0.8],
    [5.0, 1.3],
    [3.95, 0.5],
];
const TRIANGLE: [[f64; 2]; 6] =
    [[4.0, 0.0], [6.0, 0.3], [4.5, 1.5], [5.0, 0.1], [5.3, 0.9], [4.2, 0.8]];

/// Holds the stiffness of an element against central differences of its forces.
fn stiffness_is_the_derivative<const N: usize, const P: usize>(
    nodes: &[[f64; 2]; N],
    points: &[PointGeometry<N>; P],
    idealisation: Idealisation,
    metal: &Material,
) {
    let old = PointState::default();
    let forces = |moved: &[[f64; 2]; N]| {
        let stresses = points.each_ref().map(|point| {
            answer(metal, idealisation, nominal::gradient(point, moved), &old).nominal
        });
        nominal::forces(points, &stresses, |_| 0.0).force
    };
    let moved = nodes.map(|[x, y]| {
        [0.04 * (x - 4.0) + 0.02 * x * y - 0.05 * y, 0.03 * (x - 4.0) - 0.06 * y + 0.01 * y * y]
    });
    let moduli = points
        .each_ref()
        .map(|point| answer(metal, idealisation, nominal::gradient(point, &moved), &old).moduli);
    let mut blocks = vec![[0.0; 4]; block_count(N)];
    nominal::stiffness(points, &moduli, &mut blocks);
    let largest = blocks.iter().flatten().fold(0.0, |most: f64, value| most.max(value.abs()));
    let h = 1e-6;
    // Forces by displacements, of node and axis, by differences of second order with h = 1e-6.
    let slopes: Vec<[[f64; 2]; N]> = (0..2 * N)
        .map(|dof| {
            let [ahead, behind] = [h, -h].map(|by| {
                let mut shifted = moved;
                shifted[dof / 2][dof % 2] += by;
                forces(&shifted)
            });
            std::array::from_fn(|a| [0, 1].map(|i| (ahead[a][i] - behind[a][i]) / (2.0 * h)))
        })
        .collect();
    for (b, j) in (0..2 * N).map(|dof| (dof / 2, dof % 2)) {
        for (a, i) in (0..2 * N).map(|dof| (dof / 2, dof % 2)) {
            // The symmetric half is used; only fading backstress makes another.
            let slope = 0.5 * (slopes[2 * b + j][a][i] + slopes[2 * a + i][b][j]);
            let entry = if a >= b {
                blocks[block(a, b)][2 * i + j]
            } else {
                blocks[block(b, a)][2 * j + i]
            };
            assert!(
                (entry - slope).abs() <= 1e-6 * largest,
                "{idealisation:?} {a}{i} {b}{j}: {entry} is not {slope}"
            );
        }
    }
}

#[test]
fn the_stiffness_of_every_element_is_the_derivative_of_its_forces() {
    let plate = Measure::Plate { thickness: 2.0 };
    for (idealisation, measure) in [
        (Idealisation::PlaneStress, plate),
        (Idealisation::PlaneStrain, plate),
        (Idealisation::Axisymmetric, Measure::Section),
    ] {
        let quad = SQUARE_2X2.map(|(xi, weight)| {
            PointGeometry::new(&QUAD, &quad8_values(xi), &quad8_gradients(xi), weight, measure)
                .unwrap()
        });
        let triangle = TRIANGLE_3.map(|(xi, weight)| {
            PointGeometry::new(&TRIANGLE, &tri6_values(xi), &tri6_gradients(xi), weight, measure)
                .unwrap()
        });
        for metal in metals().into_iter().chain([elastic()]) {
            stiffness_is_the_derivative(&QUAD, &quad, idealisation, &metal);
            stiffness_is_the_derivative(&TRIANGLE, &triangle, idealisation, &metal);
        }
    }
}

/// The uniform strain through the thickness: its column of the stiffness against differences.
#[test]
fn the_axial_column_is_the_derivative_by_the_uniform_strain() {
    let metal = metal(Isotropic::Linear { slope: 1000.0 }, vec![]);
    let gradient = [0.05, 0.02, -0.03, -0.02, 0.0];
    let at = |axial: f64| {
        let (deformation, [strain]) = Deformation::of(&[gradient], axial);
        let response =
            hoopset::material::return_map::respond(&metal, &strain, &PointState::default())
                .unwrap();
        let [nominal] = deformation.nominal(&[response.stress]);
        let (_, column) = deformation.moduli(0, &response.stress, &response.tangent);
        (nominal, response.stress[2], column)
    };
    let (h, (_, _, column)) = (1e-7, at(-0.01));
    let (ahead, behind) = (at(-0.01 + h), at(-0.01 - h));
    for (i, entry) in column.iter().enumerate().take(4) {
        let slope = (ahead.0[i] - behind.0[i]) / (2.0 * h);
        assert_abs_diff_eq!(*entry, slope, epsilon = 1e-6 * YOUNG);
    }
    assert_abs_diff_eq!(column[4], (ahead.1 - behind.1) / (2.0 * h), epsilon = 1e-6 * YOUNG);
}

/// The patch under the nominal tractions of a nominal stress `(xX, xY, yX, yY)`.
fn loaded(metal: Material, idealisation: Idealisation, nominal: [f64; 4]) -> (System, State) {
    let mesh = patch();
    let sides = mesh.edges[0].sides.iter().map(|side| (side, 1.0));
    let forces = tractions(&mesh, sides, nominal);
    let mut system = System::new(mesh, metal, idealisation, 1.0, 1.0).unwrap();
    system.method.scheme = Scheme::Newton;
    system.method.strains = Strains::Finite;
    system.supports.held.fill([false; 2]);
    system.supports.held[0] = [true, true];
    system.supports.held[3] = [false, true];
    let mut state = system.virgin_state();
    let drive = Drive { external: Some(forces), step: 0.1, ..Drive::default() };
    let end = system.run_phase(&mut state, &drive, |_, _, _| ControlFlow::Continue(()));
    assert_eq!(end, PhaseEnd::Done);
    (system, state)
}

/// A uniform deformation at 30 % stretch, on any mesh, is that deformation everywhere: patch test.
///
/// Source of the test: B. M. Irons, as for small strains (from memory).
#[test]
fn a_patch_takes_a_stretch_of_thirty_percent() {
    // The corners at the foot stay level, so this is the deformation that the supports leave.
    let gradient = [0.3, 0.12, 0.0, -0.1, 0.0];
    for idealisation in [Idealisation::PlaneStress, Idealisation::PlaneStrain] {
        let expected = answer(&elastic(), idealisation, gradient, &PointState::default());
        let [a, b, c, d, _] = expected.nominal;
        let (system, state) = loaded(elastic(), idealisation, [a, b, c, d]);
        for stress in &state.stress {
            for (found, expected) in stress.iter().zip(expected.cauchy.iter()) {
                assert_abs_diff_eq!(*found, *expected, epsilon = 1e-8 * YOUNG);
            }
        }
        for ([x, y], [u, v]) in system.mesh.nodes.iter().zip(&state.displacement) {
            assert_abs_diff_eq!(*u, 0.3 * x + 0.12 * y, epsilon = 1e-8);
            assert_abs_diff_eq!(*v, -0.1 * y, epsilon = 1e-8);
        }
    }
}

/// The stress of generalised plane strain has no resultant through the thickness.
#[test]
fn a_patch_that_is_free_through_its_thickness_is_one_without_stress_there() {
    // Loads of a uniform deformation that the supports leave alone.
    let gradient = [0.15, 0.06, 0.0, -0.08, 0.0];
    let uniform = answer(&elastic(), Idealisation::PlaneStress, gradient, &PointState::default());
    let [a, b, c, d, _] = uniform.nominal;
    let (_, free) = loaded(elastic(), Idealisation::GeneralisedPlaneStrain, [a, b, c, d]);
    let (_, sheet) = loaded(elastic(), Idealisation::PlaneStress, [a, b, c, d]);
    for (a, b) in free.stress.iter().zip(&sheet.stress) {
        for i in 0..4 {
            assert_abs_diff_eq!(a[i], b[i], epsilon = 1e-8 * YOUNG);
        }
    }
    assert!(free.axial_strain.abs() > 0.01);
}

/// A stressed and yielded patch is turned through 360°, 15° at a time: stress and forces turn with
/// it.
#[test]
fn a_stressed_patch_may_turn() {
    let hardening = metal(Isotropic::Linear { slope: 40_000.0 }, vec![]);
    let (mut system, state) =
        loaded(hardening, Idealisation::PlaneStress, [6000.0, 400.0, 400.0, -1500.0]);
    assert!(state.largest_plastic_strain() > 0.05);
    // The forces that hold it, those of the supports included.
    let mut still = state.clone();
    system.settle(&mut still).unwrap();
    // 1e-12 of the largest; rounding was measured to leave 6e-14 of the stress and 8e-14 of the force.
    let size = still.stress.iter().map(nalgebra::Vector4::amax).fold(0.0, f64::max);
    let force = still.external.iter().flatten().fold(0.0, |most: f64, f| most.max(f.abs()));
    for k in 1..=24 {
        let (sin, cos) = (TAU * f64::from(k) / 24.0).sin_cos();
        let q = Matrix2::new(cos, -sin, sin, cos);
        let mut turned = state.clone();
        for ([x, y], u) in system.mesh.nodes.iter().zip(&mut turned.displacement) {
            let (px, py) = (x + u[0], y + u[1]);
            *u = [cos * px - sin * py - x, sin * px + cos * py - y];
        }
        system.settle(&mut turned).unwrap();
        for (now, before) in turned.stress.iter().zip(&still.stress) {
            let before = Matrix2::new(before[0], before[3], before[3], before[1]);
            let expected = q * before * q.transpose();
            let found = Matrix2::new(now[0], now[3], now[3], now[1]);
            let off = (found - expected).abs().max();
            assert!(off <= 1e-12 * size, "{off:.1e} of {size} MPa at {k}");
        }
        for (now, before) in turned.external.iter().zip(&still.external) {
            let expected = q * nalgebra::Vector2::new(before[0], before[1]);
            assert_abs_diff_eq!(now[0], expected[0], epsilon = 1e-12 * force);
            assert_abs_diff_eq!(now[1], expected[1], epsilon = 1e-12 * force);
        }
        assert_relative_eq!(turned.energy.elastic, still.energy.elastic, max_relative = 1e-12);
    }
}
