//! Thick cylinder in plane strain: example 7.5.1 of E. A. de Souza Neto, D. Perić and
//! D. R. J. Owen, Computational Methods for Plasticity (2008), p. 244. Inputs as transcribed
//! in a public repository; expected values evaluated from Hill's solution, printed to the
//! digits below. Lengths in mm, stresses in GPa.

use approx::assert_abs_diff_eq;
use hoopset::material::elasticity::Elasticity;
use hoopset::numeric::root::bracketed_newton;
use hoopset::theory::field::RotationalField;
use hoopset::theory::plastic_cylinder::PlasticCylinder;
use hoopset::theory::ream::Reamed;

const STEEL: Elasticity = Elasticity { youngs_modulus: 210.0, poissons_ratio: 0.3 };

fn example() -> PlasticCylinder {
    PlasticCylinder::mises(100.0, 200.0, 0.24, STEEL).unwrap()
}

/// Half a unit of the seventh decimal, the last digit of the tables.
const SEVENTH: f64 = 0.51e-7;
/// Half a unit of the sixth decimal.
const SIXTH: f64 = 0.51e-6;

#[test]
fn first_yield_and_limit_pressure_of_the_example() {
    assert_abs_diff_eq!(example().yield_difference(), 0.277_128_1, epsilon = SEVENTH);
    assert_abs_diff_eq!(example().first_yield_pressure(), 0.103_923_0, epsilon = SEVENTH);
    assert_abs_diff_eq!(example().limit_pressure(), 0.192_090_6, epsilon = SEVENTH);
}

#[test]
fn the_example_at_its_five_pressures() {
    // p, c, u_b, u_a, σθ(a), σθ(150), σr(150), σθ(b)
    let table = [
        [0.10, f64::NAN, 0.057_777_8, 0.090_793_7, 0.166_667, 0.092_593, -0.025_926, 0.066_667],
        [0.14, 120.5388, 0.087_242_2, 0.139_817_7, 0.137_128, 0.139_811, -0.039_147, 0.100_664],
        [0.18, 159.7853, 0.153_301_5, 0.262_031_5, 0.097_128, 0.209_494, -0.067_634, 0.176_886],
        [0.19, 182.8879, 0.200_836_6, 0.354_625_6, 0.087_128, 0.199_494, -0.077_634, 0.231_735],
        [0.192, 196.3951, 0.231_597_6, 0.415_652_4, 0.085_128, 0.197_494, -0.079_634, 0.267_228],
    ];
    for [p, front, outer_move, bore_move, bore, hoop, radial, outer] in table {
        let loaded = example().at_pressure(p).unwrap();
        match loaded.front() {
            None => assert!(front.is_nan(), "a front at p = {p}"),
            Some(c) => assert_abs_diff_eq!(c, front, epsilon = 0.51e-4),
        }
        assert_abs_diff_eq!(loaded.displacement(200.0).unwrap(), outer_move, epsilon = SEVENTH);
        assert_abs_diff_eq!(loaded.displacement(100.0).unwrap(), bore_move, epsilon = SEVENTH);
        assert_abs_diff_eq!(loaded.hoop(100.0).unwrap(), bore, epsilon = SIXTH);
        assert_abs_diff_eq!(loaded.hoop(150.0).unwrap(), hoop, epsilon = SIXTH);
        assert_abs_diff_eq!(loaded.radial(150.0).unwrap(), radial, epsilon = SIXTH);
        assert_abs_diff_eq!(loaded.hoop(200.0).unwrap(), outer, epsilon = SIXTH);
        assert_abs_diff_eq!(loaded.radial(100.0).unwrap(), -p, epsilon = 1e-14);
    }
}

#[test]
fn the_scanned_figures_of_the_book_lie_on_the_closed_form() {
    // (u_b, p) and hoop at p = 0.18, read off the book's figures 7.16 and 7.17 by a public
    // repository. 4 %: scanning, and the book's own coarse mesh.
    let first = example().at_pressure(0.100_23).unwrap();
    assert_abs_diff_eq!(first.displacement(200.0).unwrap(), 0.057_45, epsilon = 0.04 * 0.057_45);
    // Beyond first yield pressures are compared at one displacement, u_b = (1−ν²) Y c²/(E b):
    // near the limit a displacement at one pressure means little (the point at 0.18976
    // is 0.5 % off in pressure, which is 5 % in displacement).
    for (outer_move, p) in [(0.087_51, 0.139_82), (0.154_47, 0.179_64), (0.208_52, 0.189_76)] {
        let front = (outer_move * 210.0 * 200.0 / (0.91 * example().yield_difference())).sqrt();
        let pressure = example().pressure_for_front(front).unwrap();
        // 1 %: reading a plotted point, and the book's coarse mesh, too stiff at the limit.
        assert_abs_diff_eq!(pressure, p, epsilon = 0.01 * p);
    }
    let loaded = example().at_pressure(0.18).unwrap();
    for (r, hoop) in [(103.40, 0.105_65), (130.72, 0.172_14), (158.04, 0.220_36), (192.51, 0.184)] {
        assert_abs_diff_eq!(loaded.hoop(r).unwrap(), hoop, epsilon = 0.04 * hoop);
    }
    // Last point of the load curve, u_b = 0.5865: the plateau, 0.19216 against 0.19209.
    assert_abs_diff_eq!(example().limit_pressure(), 0.192_16, epsilon = 0.001 * 0.192_16);
}

#[test]
fn residual_stresses_of_the_example_after_elastic_unloading() {
    let residual = example().at_pressure(0.18).unwrap().released(1.0).unwrap();
    assert_eq!(residual.reverse_front(), None);
    let hoop = [
        (100.0, -0.202_872),
        (110.0, -0.134_806),
        (120.0, -0.079_012),
        (130.0, -0.032_175),
        (140.0, 0.007_925),
        (150.0, 0.042_827),
        (159.79, 0.073_002),
        (175.0, 0.065_593),
        (200.0, 0.056_886),
    ];
    let radial = [
        0.0, -0.015_240, -0.022_807, -0.025_280, -0.024_305, -0.020_968, -0.016_116, -0.008_707,
        0.0,
    ];
    for ((r, hoop), radial) in hoop.into_iter().zip(radial) {
        assert_abs_diff_eq!(residual.hoop(r).unwrap(), hoop, epsilon = SIXTH);
        assert_abs_diff_eq!(residual.radial(r).unwrap(), radial, epsilon = SIXTH);
    }
}

#[test]
fn the_example_with_a_lower_reverse_strength() {
    let loaded = example().at_pressure(0.18).unwrap();
    let half = loaded.released(0.5).unwrap();
    assert_abs_diff_eq!(half.reverse_front().unwrap(), 108.2830, epsilon = 0.51e-4);
    assert_abs_diff_eq!(half.hoop(100.0).unwrap(), -0.138_564, epsilon = SIXTH);
    assert_abs_diff_eq!(half.hoop(120.0).unwrap(), -0.082_510, epsilon = SIXTH);
    let third = loaded.released(0.3).unwrap();
    assert_abs_diff_eq!(third.reverse_front().unwrap(), 119.4976, epsilon = 0.51e-4);
    assert_abs_diff_eq!(third.hoop(100.0).unwrap(), -0.083_138, epsilon = SIXTH);
}

#[test]
fn reverse_yielding_in_a_ring_three_times_as_wide() {
    // Evaluated from Hill's solution: b/a = 3, p = 1.05 Y, reverse strength 1; stresses over Y.
    let cylinder = PlasticCylinder::new(1.0, 3.0, 1.0, STEEL).unwrap();
    let loaded = cylinder.at_pressure(1.05).unwrap();
    assert_abs_diff_eq!(loaded.front().unwrap(), 2.364_730, epsilon = SIXTH);
    let residual = loaded.released(1.0).unwrap();
    assert_abs_diff_eq!(residual.reverse_front().unwrap(), 1.096_085, epsilon = SIXTH);
    let table = [
        (1.0, -1.0, 0.0),
        (1.05, -1.048_790, -0.048_790),
        (1.1, -1.081_073, -0.095_285),
        (1.2, -0.835_474, -0.166_861),
        (1.5, -0.311_980, -0.244_068),
        (1.8, 0.033_495, -0.224_899),
        (2.2, 0.356_745, -0.146_808),
        (3.0, 0.354_349, 0.0),
    ];
    for (r, hoop, radial) in table {
        assert_abs_diff_eq!(residual.hoop(r).unwrap(), hoop, epsilon = SIXTH);
        assert_abs_diff_eq!(residual.radial(r).unwrap(), radial, epsilon = SIXTH);
    }
}

#[test]
fn the_reverse_front_never_passes_the_first() {
    for p in [0.105, 0.15, 0.192] {
        let loaded = example().at_pressure(p).unwrap();
        for strength in [1e-9, 0.1, 0.5, 1.0] {
            let reverse = loaded.released(strength).unwrap().reverse_front().unwrap_or(100.0);
            assert!(reverse >= 100.0 && reverse < loaded.front().unwrap());
        }
    }
}

#[test]
fn a_wall_below_2_2185_never_yields_in_reverse() {
    // Root of ln k = 1 − 1/k²: the limit pressure equals the reverse-yield pressure.
    let excess = |k: f64| {
        let cylinder = PlasticCylinder::new(1.0, k, 1.0, STEEL).unwrap();
        cylinder.limit_pressure() - cylinder.reverse_yield_pressure(1.0)
    };
    let root = bracketed_newton(2.0, 3.0, 1e-14, |k| (excess(k), 1.0 / k - 2.0 / k.powi(3)));
    assert_abs_diff_eq!(root.unwrap(), 2.2185, epsilon = 0.51e-4);
}

#[test]
fn in_an_infinite_body_reverse_yielding_starts_at_a_front_of_1_6487_radii() {
    let body = PlasticCylinder::new(2.0, f64::INFINITY, 300.0, STEEL).unwrap();
    assert_abs_diff_eq!(body.reverse_yield_pressure(1.0), 300.0, epsilon = 1e-10);
    let front = body.at_pressure(300.0).unwrap().front().unwrap();
    assert_abs_diff_eq!(front / 2.0, 1.6487, epsilon = 0.51e-4);
}

#[test]
fn the_axial_stress_lies_between_the_others_up_to_its_limit() {
    // At ν = 0.3 the limit is Y(0.7/0.4): reached at full flow when b/a = e^1.75 = 5.755.
    // Hill's book is remembered to give 5.43 (from memory, and for which end condition is
    // not remembered), so only the derived inequality is held here.
    let body = PlasticCylinder::new(1.0, f64::INFINITY, 1.0, STEEL).unwrap();
    assert_abs_diff_eq!(body.axial_limit_pressure(), 1.75, epsilon = 1e-12);
    for (share, between) in [(0.999, true), (1.001, false)] {
        let bore = body.at_pressure(1.75 * share).unwrap().stress(1.0).unwrap();
        assert_eq!(bore.radial < bore.axial && bore.axial < bore.hoop, between);
    }
}

#[test]
fn reaming_the_example() {
    // Derived: elastic re-equilibration. Values evaluated from it.
    let residual = example().at_pressure(0.18).unwrap().released(1.0).unwrap();
    for (radius, edge, middle) in [(105.0, -0.182_520, 0.033_535), (120.0, -0.127_477, 0.007_191)] {
        let reamed = Reamed::new(residual, radius, STEEL.poissons_ratio).unwrap();
        assert_abs_diff_eq!(reamed.hoop(radius).unwrap(), edge, epsilon = SIXTH);
        assert_abs_diff_eq!(reamed.hoop(150.0).unwrap(), middle, epsilon = SIXTH);
        assert_abs_diff_eq!(reamed.radial(radius).unwrap(), 0.0, epsilon = 1e-15);
    }
}

#[test]
fn reaming_without_an_outer_edge_adds_the_radial_stress_to_the_hoop() {
    let body = PlasticCylinder::new(1.0, f64::INFINITY, 1.0, STEEL).unwrap();
    let residual = body.at_pressure(0.9).unwrap().released(1.0).unwrap();
    let before = residual.stress(1.1).unwrap();
    let reamed = Reamed::new(residual, 1.1, 0.3).unwrap();
    assert_abs_diff_eq!(reamed.hoop(1.1).unwrap(), before.hoop + before.radial, epsilon = 1e-14);
}

#[test]
fn questions_outside_the_limits_are_refused() {
    let example = example();
    let refused = example.at_pressure(0.193).unwrap_err();
    assert_eq!(refused.quantity, "pressure");
    assert!(example.at_pressure(-0.01).is_err());
    let loaded = example.at_pressure(0.18).unwrap();
    assert!(loaded.hoop(99.0).is_err() && loaded.displacement(201.0).is_err());
    assert!(loaded.released(1.1).is_err() && loaded.released(0.0).is_err());
    assert!(Reamed::new(loaded.released(1.0).unwrap(), 90.0, 0.3).is_err());
    assert!(Reamed::new(loaded.released(1.0).unwrap(), 200.0, 0.3).is_err());
    assert!(PlasticCylinder::new(100.0, 90.0, 0.24, STEEL).is_err());
}
