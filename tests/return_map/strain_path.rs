//! A published path of strains, point by point.

use approx::assert_relative_eq;
use hoopset::material::elasticity::Elasticity;
use hoopset::material::hardening::{Isotropic, Material};
use hoopset::material::return_map;
use hoopset::material::state::PointState;
use nalgebra::Vector4;

/// Strain path of a published non-linear benchmark set (1989): unit square, plane strain, E = 250 GPa,
/// ν = 0.25, σy = 5 MPa, linear hardening h; inputs as transcribed in an open benchmark
/// collection, its last two steps closed by symmetry. The values are an independent evaluation
/// (20 000 sub-steps, and one backward-Euler step a stage), not the printed targets.
const STRAIN_PATH: [[f64; 2]; 8] = [
    [0.25, 0.0],
    [0.5, 0.0],
    [0.5, 0.25],
    [0.5, 0.5],
    [0.25, 0.5],
    [0.0, 0.5],
    [0.0, 0.25],
    [0.0, 0.0],
];

/// Runs the path with `steps` a stage; σx, σy, σz after each stage, MPa.
fn strain_path(slope: f64, steps: usize) -> Vec<[f64; 3]> {
    let metal = Material {
        elasticity: Elasticity { youngs_modulus: 250_000.0, poissons_ratio: 0.25 },
        yield_stress: 5.0,
        isotropic: Isotropic::Linear { slope },
        kinematic: vec![],
    };
    let mut state = PointState::default();
    let mut from = [0.0, 0.0];
    STRAIN_PATH
        .iter()
        .map(|to| {
            let mut stress = Vector4::zeros();
            for k in 1..=steps {
                let share = k as f64 / steps as f64;
                let at = |i: usize| 1e-4 * (from[i] + share * (to[i] - from[i]));
                let strain = Vector4::new(at(0), at(1), 0.0, 0.0);
                let answer = return_map::respond(&metal, &strain, &state).expect("mild");
                (stress, state) = (answer.stress, answer.state);
            }
            from = *to;
            [stress[0], stress[1], stress[2]]
        })
        .collect()
}

#[test]
fn the_published_strain_path_is_followed() {
    let rows = [0, 1, 2, 3, 4, 5, 7];
    let one_step_perfect = [
        [7.5, 2.5, 2.5],
        [11.66667, 6.66667, 6.66667],
        [14.16667, 14.16667, 9.16667],
        [16.66667, 19.55342, 13.77992],
        [10.14298, 15.71975, 11.63727],
        [5.25373, 10.97784, 8.76842],
        [0.18774, -2.97604, 2.78830],
    ];
    let one_step_hardening = [
        [7.5, 2.5, 2.5],
        [12.24138, 6.37931, 6.37931],
        [14.74138, 13.87931, 8.87931],
        [17.08612, 20.10617, 12.80771],
        [10.00436, 16.87326, 10.62238],
        [4.24092, 12.57386, 8.18523],
        [-0.75908, -2.42614, 3.18523],
    ];
    let converged_perfect = [
        [7.5, 2.5, 2.5],
        [11.66667, 6.66667, 6.66667],
        [14.16667, 14.16667, 9.16667],
        [16.31724, 19.71223, 13.97053],
        [9.82547, 15.56020, 12.11433],
        [5.09749, 10.64432, 9.25819],
        [0.23509, -2.99711, 2.76202],
    ];
    let converged_hardening = [
        [7.5, 2.5, 2.5],
        [12.24138, 6.37931, 6.37931],
        [14.74138, 13.87931, 8.87931],
        [16.86040, 20.23872, 12.90087],
        [9.74468, 16.87460, 10.88072],
        [3.96725, 12.39527, 8.63748],
        [-1.03275, -2.60473, 3.63748],
    ];
    // 1e-5 is the printing of the one-step table; 2000 first-order sub-steps leave about 1e-3.
    for (slope, steps, expected, tolerance) in [
        (0.0, 1, one_step_perfect, 1e-5),
        (62_500.0, 1, one_step_hardening, 1e-5),
        (0.0, 2000, converged_perfect, 1e-3),
        (62_500.0, 2000, converged_hardening, 1e-3),
    ] {
        let found = strain_path(slope, steps);
        for (row, expected) in rows.into_iter().zip(expected) {
            for i in 0..3 {
                assert_relative_eq!(found[row][i], expected[i], epsilon = tolerance);
            }
        }
    }
}
