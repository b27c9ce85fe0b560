//! An independent solution for K: the crack as a row of dislocations, nothing of the weight
//! function in it.
//!
//! The stress on the crack line of a dislocation near a hole (R = 1) or a straight edge is known
//! exactly; opening densities are sought that cancel the stress of the uncracked part.
//! With `t = 1 + a(1−u²)` the density is `g(u)/u`, `g` even and smooth, and the singular
//! integral is done in closed form. K goes with `g(0)`.

use std::f64::consts::PI;

use hoopset::fatigue::crack::CrackSides;
use hoopset::fatigue::weight_function::{Beyond, infinite_plate};
use hoopset::fatigue::width::strip_factor;
use hoopset::numeric::profile::Profile;
use nalgebra::{DMatrix, DVector};

use crate::profiles::{hole, sampled};

/// Unknown coefficients; K changes by less than 1e-5 from 20 to 24.
const TERMS: usize = 24;

/// What the hole adds to the stress at `z` of a dislocation at `t`, net dislocation in the
/// hole included.
fn image(t: f64, z: f64) -> f64 {
    let top =
        t.powi(3) * z.powi(4) - 2.0 * t * t * z.powi(3) - 2.0 * t * t * z + 4.0 * t * z * z + t
            - z.powi(3)
            - z;
    -2.0 * top / (t * z.powi(3) * (t * z - 1.0).powi(3))
}

/// The regular part of the kernel between points of the crack, from the centre.
fn regular(sides: CrackSides, t: f64, z: f64) -> f64 {
    image(t, z)
        + match sides {
            CrackSides::One => -2.0 * (1.0 / z + z.powi(-3)),
            CrackSides::Two => 2.0 / (-z - t) + image(t, -z),
        }
}

/// Points and weights on (0, 1): three-point rules on panels that halve towards 1, the mouth,
/// where the kernel is nearly singular.
fn panels() -> Vec<(f64, f64)> {
    let mut edges: Vec<f64> = (0..24).map(|k| 1.0 - 0.5_f64.powi(k)).collect();
    edges.push(1.0);
    let mut points = Vec::new();
    for pair in edges.windows(2) {
        for part in 0..24 {
            let width = (pair[1] - pair[0]) / 24.0;
            let middle = pair[0] + width * (f64::from(part) + 0.5);
            for (x, w) in hoopset::numeric::gauss::LINE_3 {
                points.push((middle + 0.5 * width * x, 0.5 * width * w));
            }
        }
    }
    points
}

fn even(k: usize, u: f64) -> f64 {
    (2.0 * k as f64 * u.min(1.0).acos()).cos()
}

/// `K/√(πa)` at a hole of radius 1 for the stress `hoop(y)` on the crack line.
fn factor(sides: CrackSides, a: f64, hoop: impl Fn(f64) -> f64) -> f64 {
    let points = panels();
    let basis: Vec<[f64; TERMS]> =
        points.iter().map(|&(u, _)| std::array::from_fn(|k| even(k, u))).collect();
    let mut matrix = DMatrix::<f64>::zeros(TERMS, TERMS);
    let mut right = DVector::<f64>::zeros(TERMS);
    for i in 0..TERMS {
        let v = ((2.0 * i as f64 + 1.0) * PI / (4.0 * TERMS as f64)).cos();
        let y = a * (1.0 - v * v);
        let principal = ((1.0 - v) / (1.0 + v)).ln() / (2.0 * v);
        right[i] = hoop(y);
        let here: [f64; TERMS] = std::array::from_fn(|k| even(k, v));
        for k in 0..TERMS {
            matrix[(i, k)] = 4.0 * here[k] * principal;
        }
        for (&(u, w), basis) in points.iter().zip(&basis) {
            let kernel = 2.0 * a * regular(sides, 1.0 + a * (1.0 - u * u), 1.0 + y);
            let difference = u * u - v * v;
            for k in 0..TERMS {
                let regular = kernel * basis[k];
                matrix[(i, k)] += w * (4.0 * (basis[k] - here[k]) / difference + regular);
            }
        }
    }
    let solution = matrix.lu().solve(&right).unwrap();
    let at_tip: f64 = (0..TERMS).map(|k| solution[k] * even(k, 0.0)).sum();
    // With the sign of the kernel an opening density is negative.
    -2.0 * PI * 2.0_f64.sqrt() * at_tip
}

#[test]
fn the_weight_function_agrees_between_its_rows() {
    // A load, a field that decays in a fifth of the radius, and compression at the edge with
    // tension behind it, at lengths that no row of the table has. Smooth fields: at the kink of
    // a plastic front it is this solution that converges slowly. 5e-5 of K, or of a tenth of
    // the edge stress where the field cancels: measured 1e-5, the fit of the rows and the curve
    // between rows.
    let fields: [fn(f64) -> f64; 3] =
        [|_| 1.0, |y| (-y / 0.2).exp(), |y| (3.0 * y - 1.0) * (-2.5 * y).exp()];
    for sides in [CrackSides::One, CrackSides::Two] {
        for a in [0.013, 0.12, 0.44, 1.35, 3.4] {
            let plate = hole(1.0, sides);
            for (k, field) in fields.iter().enumerate() {
                let profile = sampled(1.0, |r| field(r - 1.0));
                let ours =
                    infinite_plate(&plate, &profile, a, Beyond::Refuse).unwrap() / (PI * a).sqrt();
                let theirs = factor(sides, a, field);
                // Where a residual field cancels, against the stress it is made of.
                let scale = theirs.abs().max(0.1);
                let error = (ours - theirs).abs() / scale;
                println!("{sides:?} a/R {a} field {k}: {error:.1e}");
                assert!(error < 5e-5, "{sides:?} a {a} field {k}: {ours} for {theirs}");
            }
        }
    }
}

#[test]
fn the_longest_cracks_agree_too() {
    for (sides, a) in [(CrackSides::One, 14.0), (CrackSides::Two, 14.0), (CrackSides::One, 19.9)] {
        let profile = Profile::new(vec![0.0, 30.0], vec![1.0, 1.0]);
        let ours = infinite_plate(&hole(1.0, sides), &profile, a, Beyond::Refuse).unwrap()
            / (PI * a).sqrt();
        let theirs = factor(sides, a, |_| 1.0);
        assert!((ours / theirs - 1.0).abs() < 2e-4, "{sides:?} {a}: {ours} for {theirs}");
    }
}

/// `P₂ⱼ` of Legendre at `v`.
fn legendre(j: usize, v: f64) -> f64 {
    let (mut before, mut now) = (1.0, v);
    if j == 0 {
        return 1.0;
    }
    for k in 1..2 * j {
        let k = k as f64;
        (before, now) = (now, ((2.0 * k + 1.0) * v * now - k * before) / (k + 1.0));
    }
    now
}

/// Coefficients of `1 + M₁q + … + M₆q⁶` that fit the exact weight function best in the mean square,
/// by its projections on Legendre's polynomials of `√q`, which are stress intensities.
fn fitted(sides: CrackSides, a: f64) -> [f64; 6] {
    const MOMENTS: usize = 14;
    let points = panels();
    let mut matrix = DMatrix::<f64>::zeros(MOMENTS, 6);
    let mut right = DVector::<f64>::zeros(MOMENTS);
    for j in 0..MOMENTS {
        // Parseval: what is left in the mean square is the sum of squares so weighted.
        let weight = (4.0 * j as f64 + 1.0).sqrt();
        let exact = factor(sides, a, |y| legendre(j, (1.0 - y / a).max(0.0).sqrt()));
        let one = if j == 0 { 1.0 } else { 0.0 };
        right[j] = weight * (exact * PI * 2.0_f64.sqrt() / 4.0 - one);
        for k in 0..6 {
            let power = |v: f64| (v * v).powf(k as f64 + 1.0);
            matrix[(j, k)] =
                weight * points.iter().map(|&(v, w)| w * legendre(j, v) * power(v)).sum::<f64>();
        }
    }
    let solution = matrix.svd(true, true).solve(&right, 1e-14).unwrap();
    std::array::from_fn(|k| solution[k])
}

#[test]
fn the_rows_of_the_weight_table_are_the_best_fit_to_the_solution() {
    // Unit stress on one tenth of the crack after the other: the weight function itself, piece by
    // piece. 5e-5 of the stress: the coefficients of the table come from the solution with 96 terms
    // in place of 24, and stand there with five decimals.
    for sides in [CrackSides::Two, CrackSides::One] {
        for a in [0.05, 1.0, 5.0] {
            let m = fitted(sides, a);
            println!("{sides:?} {a}: {m:.5?}");
            for tenth in 0..10 {
                let [near, far] = [tenth, tenth + 1].map(|k| a * f64::from(k) / 10.0);
                let stress = Profile::new(
                    vec![0.0, near, near, far, far, 30.0],
                    vec![0.0, 0.0, 1.0, 1.0, 0.0, 0.0],
                );
                let ours = infinite_plate(&hole(1.0, sides), &stress, a, Beyond::Refuse).unwrap()
                    / (PI * a).sqrt();
                let upto = |y: f64| {
                    let v = (1.0 - y / a).max(0.0).sqrt();
                    let terms = (1..).step_by(2).zip(m).map(|(k, m)| (k + 2, m));
                    v + terms.map(|(k, m)| m * v.powi(k) / f64::from(k)).sum::<f64>()
                };
                let theirs = 2.0 * 2.0_f64.sqrt() / PI * (upto(near) - upto(far));
                assert!((ours - theirs).abs() < 5e-5, "{sides:?} {a} {tenth}: {ours} {theirs}");
            }
        }
    }
}

/// K of the tip nearest to the edge over that in an infinite plate: a crack of half length 1,
/// its middle `distance` from the edge of a half plane and square to it.
fn half_plane_factor(distance: f64) -> f64 {
    const N: usize = 60;
    let node = |j: usize| ((2.0 * j as f64 + 1.0) * PI / (2.0 * N as f64)).cos();
    let mut matrix = DMatrix::<f64>::zeros(N, N);
    let second_kind = |k: usize, x: f64| {
        let angle = x.acos();
        (k as f64 * angle).sin() / angle.sin()
    };
    for i in 0..N {
        let x = node(i);
        for k in 1..=N {
            let mut sum = -2.0 * PI * second_kind(k, x);
            for j in 0..N {
                let t = node(j);
                let (depth, q) = (distance + x, 2.0 * distance + x + t);
                let kernel = 2.0 / q - 12.0 * depth / (q * q) + 8.0 * depth * depth / q.powi(3);
                sum += PI / N as f64 * kernel * (k as f64 * t.acos()).cos();
            }
            matrix[(i, k - 1)] = sum;
        }
    }
    let solution = matrix.lu().solve(&DVector::from_element(N, -2.0 * PI)).unwrap();
    let at_near: f64 = (1..=N).map(|k| if k % 2 == 0 { 1.0 } else { -1.0 } * solution[k - 1]).sum();
    at_near.abs()
}

#[test]
fn the_eccentric_edge_form_holds_near_a_half_plane() {
    // No edge in sight: 1.
    assert!((half_plane_factor(200.0) - 1.0).abs() < 1e-4);
    for share in [0.2, 0.4, 0.6, 0.7, 0.8, 0.9] {
        let exact = half_plane_factor(1.0 / share);
        let ours = strip_factor(1.0, 1.0 / share, f64::INFINITY);
        println!("h/d {share}: computed {exact:.4}, form {ours:.4}");
        // Never below the exact one; its error grows towards the edge as the module says.
        let allowed = match share {
            s if s <= 0.6 => 0.001,
            s if s <= 0.7 => 0.01,
            s if s <= 0.8 => 0.03,
            _ => 0.10,
        };
        let error = ours / exact - 1.0;
        assert!(error > -1e-3 && error < allowed, "{share}: {ours} for {exact}");
    }
}
