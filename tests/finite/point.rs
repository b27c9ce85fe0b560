//! One point of the metal: rotation, closed forms, tangents.

use std::f64::consts::TAU;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use hoopset::material::hardening::{Hardening, Isotropic, Material};
use hoopset::material::idealisation::Idealisation;
use hoopset::material::logarithmic::{Deformation, Gradient, Nominal};
use hoopset::material::state::PointState;
use nalgebra::{Matrix2, Vector4};

use super::laws::{Answer, NU, YOUNG, answer, elastic, metal, metals};

const PLANES: [Idealisation; 2] = [Idealisation::PlaneStress, Idealisation::PlaneStrain];

fn gradient_of(f: &Matrix2<f64>) -> Gradient {
    [f[(0, 0)] - 1.0, f[(0, 1)], f[(1, 0)], f[(1, 1)] - 1.0, 0.0]
}

fn stress_of(s: &Vector4<f64>) -> Matrix2<f64> {
    Matrix2::new(s[0], s[3], s[3], s[1])
}

fn turn(angle: f64) -> Matrix2<f64> {
    let (sin, cos) = angle.sin_cos();
    Matrix2::new(cos, -sin, sin, cos)
}

/// A stressed, yielded point is turned through 360°: its stress turns with it.
///
/// Frame indifference: `σ(Q F) = Q σ(F) Qᵀ`, to 1e-12; measured: 8e-14. The rounding of `Q F`, a few 1e-16,
/// is that much strain: times Young's modulus over the stress, about 200.
#[test]
fn stress_turns_with_the_metal() {
    let stretched = Matrix2::new(1.08, 0.03, -0.02, 0.96);
    for idealisation in PLANES {
        for metal in metals() {
            let start =
                answer(&metal, idealisation, gradient_of(&stretched), &PointState::default());
            for k in 1..=24 {
                let q = turn(TAU * f64::from(k) / 24.0);
                // The history is that of the stretch: a rotation makes nothing flow.
                let turned =
                    answer(&metal, idealisation, gradient_of(&(q * stretched)), &start.state);
                let expected = q * stress_of(&start.cauchy) * q.transpose();
                let off = (stress_of(&turned.cauchy) - expected).abs().max();
                let size = stress_of(&start.cauchy).abs().max();
                assert!(off <= 1e-12 * size, "{off:.1e} of {size} MPa at {k}");
                assert_abs_diff_eq!(
                    turned.state.equivalent,
                    start.state.equivalent,
                    epsilon = 1e-14
                );
            }
        }
    }
}

/// The logarithmic strain of a pure rotation is nothing at all.
#[test]
fn a_rotation_is_no_strain() {
    for k in 0..=36 {
        let q = turn(TAU * f64::from(k) / 36.0);
        let (_, [strain]) = Deformation::of(&[gradient_of(&q)], 0.0);
        assert!(strain.amax() < 4e-16, "{strain:?}");
    }
}

/// Simple shear `F = 1 + γ e₁⊗e₂` of an elastic body with logarithmic strain.
///
/// With `tan 2θ = 2/γ` for the principal direction and `λ = γ/2 + √(1 + γ²/4)` the stretch, the
/// rotated stress is `τ₁₂ = 2G ln λ sin 2θ` and `τ₁₁ = 2G ln λ cos 2θ`. Source: derived here; any
/// text on nonlinear elasticity has the stretches. The Kirchhoff stress has no pressure: `J = 1`.
#[test]
fn simple_shear_is_that_of_the_closed_form() {
    let metal = elastic();
    let shear = metal.elasticity.shear_modulus();
    for (gamma, rows) in [
        (0.02, [0.009_999_3, 0.000_1]),
        (0.1, [0.049_916_8, 0.002_495_8]),
        (0.5, [0.240_077_7, 0.060_019_4]),
        (1.0, [0.430_408_9, 0.215_204_5]),
        (2.0, [0.623_225_2, 0.623_225_2]),
    ] {
        let gradient = [0.0, gamma, 0.0, 0.0, 0.0];
        let found = answer(&metal, Idealisation::PlaneStrain, gradient, &PointState::default());
        let log = (0.5 * gamma + (1.0 + 0.25 * gamma * gamma).sqrt()).ln();
        let double = (2.0_f64).atan2(gamma);
        for (found, (trig, printed)) in [found.cauchy[3], found.cauchy[0]]
            .into_iter()
            .zip([double.sin(), double.cos()].into_iter().zip(rows))
        {
            assert_relative_eq!(found / (2.0 * shear), log * trig, max_relative = 1e-13);
            // A table computed apart from this program, to its last digit.
            assert_abs_diff_eq!(found / (2.0 * shear), printed, epsilon = 6e-8);
        }
        assert_abs_diff_eq!(found.cauchy[0] + found.cauchy[1], 0.0, epsilon = 1e-9);
    }
}

/// Uniaxial stress in plane stress: finds the transverse stretch that leaves no stress across.
fn pulled(metal: &Material, stretch: f64, across: &mut f64, old: &PointState) -> Answer {
    for _ in 0..60 {
        let found = answer(
            metal,
            Idealisation::PlaneStress,
            [stretch - 1.0, 0.0, 0.0, *across - 1.0, 0.0],
            old,
        );
        if found.nominal[3].abs() < 1e-10 {
            return found;
        }
        *across -= found.nominal[3] / found.moduli[(3, 3)];
    }
    panic!("no transverse stretch at {stretch}");
}

/// Pull to 50 % logarithmic strain, push back to −50 %, and to nothing again, in 40 steps each,
/// against the same law integrated in one dimension.
///
/// The closed form: `T = E (e − eᵖ)` along the bar and the law in `eᵖ` alone, Kirchhoff stress T,
/// transverse strain `−ν T/E − eᵖ/2`.
#[test]
fn a_bar_follows_its_law_to_half_its_logarithmic_length_and_back() {
    for metal in metals() {
        let (mut across, mut state) = (1.0, PointState::default());
        let (mut plastic, mut equivalent) = (0.0, 0.0);
        let mut backs = vec![0.0; metal.kinematic.len()];
        let way = (1..=40).map(|k| 0.0125 * f64::from(k));
        let back = (1..=80).map(|k| 0.5 - 0.0125 * f64::from(k));
        for log in way.chain(back) {
            let found = pulled(&metal, log.exp(), &mut across, &state);
            let stress = bar(&metal, log, (&mut plastic, &mut equivalent), &mut backs);
            assert_abs_diff_eq!(found.conjugate[0], stress, epsilon = 1e-9 * YOUNG);
            assert_relative_eq!(found.conjugate[0], stress, epsilon = 1e-9, max_relative = 1e-9);
            let expected = -NU * stress / YOUNG - 0.5 * plastic;
            assert_abs_diff_eq!(across.ln(), expected, epsilon = 1e-11);
            assert_abs_diff_eq!(found.third, expected, epsilon = 1e-11);
            assert_relative_eq!(
                found.state.equivalent,
                equivalent,
                epsilon = 1e-12,
                max_relative = 1e-9
            );
            // Kirchhoff over Cauchy is the change of volume; nominal is force per drawn area.
            let volume = ((1.0 - 2.0 * NU) * stress / YOUNG).exp();
            let kirchhoff = found.cauchy[0] * volume;
            assert_relative_eq!(kirchhoff, stress, epsilon = 1e-9, max_relative = 1e-9);
            let along = found.nominal[0] * log.exp();
            assert_relative_eq!(along, stress, epsilon = 1e-9, max_relative = 1e-9);
            state = found.state;
        }
    }
}

/// One step of backward Euler in one dimension; returns the stress, MPa.
fn bar(
    metal: &Material,
    strain: f64,
    (plastic, equivalent): (&mut f64, &mut f64),
    backs: &mut [f64],
) -> f64 {
    let trial = YOUNG * (strain - *plastic);
    let relative = trial - backs.iter().sum::<f64>();
    let law = |p: f64| metal.yield_stress(p);
    if relative.abs() <= law(*equivalent) {
        return trial;
    }
    let sign = relative.signum();
    let excess = |dp: f64| {
        let back: f64 = metal
            .kinematic
            .iter()
            .zip(&*backs)
            .map(|(term, back)| (back + term.modulus * sign * dp) / (1.0 + term.recall * dp))
            .sum();
        sign * (trial - YOUNG * sign * dp - back) - law(*equivalent + dp)
    };
    let (mut low, mut high) = (0.0, relative.abs() / YOUNG);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if excess(middle) > 0.0 { low = middle } else { high = middle }
    }
    let dp = 0.5 * (low + high);
    for (term, back) in metal.kinematic.iter().zip(backs) {
        *back = (*back + term.modulus * sign * dp) / (1.0 + term.recall * dp);
    }
    *plastic += sign * dp;
    *equivalent += dp;
    YOUNG * (strain - *plastic)
}

/// Values computed apart from this program: `E = 72000`, `ν = 0.33`, Kirchhoff yield stress
/// `350 + 1000 p`; stretch, p, Kirchhoff, Cauchy and nominal stress, transverse stretch.
#[test]
fn a_pulled_bar_has_the_tabulated_stresses() {
    let metal = metal(Isotropic::Linear { slope: 1000.0 }, vec![]);
    for [stretch, p, kirchhoff, cauchy, nominal, transverse] in [
        [1.005, 0.000_124_7, 350.124_7, 349.546_3, 348.382_8, 0.998_334_3],
        [1.02, 0.014_736_8, 364.736_8, 364.109_2, 357.585_1, 0.991_000_6],
        [1.04, 0.033_888_9, 383.888_9, 383.193_6, 369.124_0, 0.981_469_9],
        [1.10, 0.089_210_0, 439.210_0, 438.300_0, 399.281_9, 0.954_451_9],
        [1.20, 0.175_029_5, 525.029_5, 523.729_4, 437.524_6, 0.914_003_3],
    ] {
        let mut across = 1.0;
        let found = pulled(&metal, stretch, &mut across, &PointState::default());
        // Half of the last digit printed, and a little.
        assert_abs_diff_eq!(found.state.equivalent, p, epsilon = 6e-8);
        assert_abs_diff_eq!(found.conjugate[0], kirchhoff, epsilon = 6e-5);
        assert_abs_diff_eq!(found.cauchy[0], cauchy, epsilon = 6e-5);
        assert_abs_diff_eq!(found.nominal[0], nominal, epsilon = 6e-5);
        assert_abs_diff_eq!(across, transverse, epsilon = 6e-8);
        assert_abs_diff_eq!(found.third.exp(), transverse, epsilon = 6e-8);
    }
}

/// Deformations for tangents: general, with equal stretches, nearly equal ones, and none.
const GRADIENTS: [Gradient; 6] = [
    [0.08, 0.03, -0.02, -0.05, 0.03],
    [0.05, 0.0, 0.0, 0.05, -0.02],
    [0.05, 1e-9, 0.0, 0.05, -0.02],
    [-0.04, -0.29, 0.29, -0.04, 0.06],
    [0.0, 0.0, 0.0, 0.0, 0.0],
    [0.35, 0.4, -0.2, -0.15, 0.1],
];

/// The symmetric half of the derivative, which is the tangent that is used, for every law to 1e-6 of Young's modulus. Without
/// fading backstress the derivative is symmetric; with it there is a skew part, which is not added.
#[test]
fn every_tangent_is_the_derivative_of_the_nominal_stress() {
    for idealisation in [Idealisation::PlaneStress, Idealisation::Axisymmetric] {
        for metal in metals().iter().chain([&elastic()]) {
            for gradient in GRADIENTS {
                let state = PointState::default();
                let respond = |gradient| answer(metal, idealisation, gradient, &state);
                let found = respond(gradient);
                let size = if idealisation == Idealisation::PlaneStress { 4 } else { 5 };
                let h = 1e-7;
                // Fourth order, so that no step is at the mercy of the curvature.
                let columns: Vec<Nominal> = (0..size)
                    .map(|column| {
                        let [near, back, far, farther] = [h, -h, 2.0 * h, -2.0 * h].map(|by| {
                            let mut moved = gradient;
                            moved[column] += by;
                            respond(moved).nominal
                        });
                        std::array::from_fn(|row| {
                            (8.0 * (near[row] - back[row]) - (far[row] - farther[row])) / (12.0 * h)
                        })
                    })
                    .collect();
                let fades = metal.kinematic.iter().any(|term| term.recall > 0.0);
                for (row, turned) in columns.iter().enumerate() {
                    for (column, straight) in columns.iter().enumerate() {
                        let (one, other) = (straight[row], turned[column]);
                        let slope = 0.5 * (one + other);
                        let used = found.moduli[(row, column)];
                        assert!(
                            (slope - used).abs() <= 1e-6 * YOUNG,
                            "{idealisation:?} {gradient:?} ({row}, {column}): {used} is not {slope}"
                        );
                        let skew = if fades { 3e-2 } else { 1e-6 };
                        assert!((one - other).abs() <= 2.0 * skew * YOUNG, "{one} {other}");
                    }
                }
            }
        }
    }
}
