//! Galin's hole with pressure and two remote stresses, plane strain.

use approx::assert_abs_diff_eq;
use hoopset::theory::galin::EllipticFront;

const SIXTH: f64 = 0.51e-6;

/// The public parameter set: a = 1, k = 1, p = 1.5, mean remote stress 0.3, half difference −0.2.
fn public_set() -> EllipticFront {
    EllipticFront::new(1.0, 1.0, 1.5, [0.5, 0.1]).unwrap()
}

#[test]
fn the_public_set_of_galins_hole() {
    // Evaluated from the transcribed formulae; checked there for traction at the front
    // (1e-6), equilibrium (1e-9) and far field.
    let [on_x, on_y] = public_set().semi_axes();
    assert_abs_diff_eq!(on_x, 1.193_460, epsilon = SIXTH);
    assert_abs_diff_eq!(on_y, 1.790_190, epsilon = SIXTH);
    let table = [
        ([1.1, 0.0], [-1.309_380, 0.690_620, 0.0]),
        ([1.5, 0.0], [-0.722_849, 0.697_577, 0.0]),
        ([2.0, 0.0], [-0.297_860, 0.512_754, 0.0]),
        ([4.0, 0.0], [0.261_554, 0.231_545, 0.0]),
        ([0.0, 1.5], [-0.689_070, 1.310_930, 0.0]),
        ([0.0, 2.0], [-0.175_021, 1.320_796, 0.0]),
        ([1.5, 1.5], [-0.250_073, 0.794_459, -0.243_391]),
    ];
    for (at, [radial, hoop, shear]) in table {
        let stress = public_set().stress(at).unwrap();
        assert_abs_diff_eq!(stress.radial, radial, epsilon = SIXTH);
        assert_abs_diff_eq!(stress.hoop, hoop, epsilon = SIXTH);
        assert_abs_diff_eq!(stress.shear, shear, epsilon = SIXTH);
    }
}

#[test]
fn all_three_stresses_pass_through_the_elliptic_front_unbroken() {
    let field = public_set();
    let [on_x, on_y] = field.semi_axes();
    for k in 0..24 {
        let (sin, cos) = (0.3 * f64::from(k)).sin_cos();
        let beside = |share: f64| field.stress([share * on_x * cos, share * on_y * sin]).unwrap();
        let (inside, outside) = (beside(1.0 - 1e-9), beside(1.0 + 1e-9));
        // 1e-8: the points lie 2e-9 apart in a field that changes by a few k per radius.
        assert_abs_diff_eq!(inside.radial, outside.radial, epsilon = 1e-8);
        assert_abs_diff_eq!(inside.hoop, outside.hoop, epsilon = 1e-8);
        assert_abs_diff_eq!(inside.shear, outside.shear, epsilon = 1e-8);
    }
}

#[test]
fn far_away_only_the_remote_stress_is_left() {
    for angle in [0.0_f64, 0.4, 1.3, 2.9] {
        let (sin, cos) = angle.sin_cos();
        let stress = public_set().stress([1e6 * cos, 1e6 * sin]).unwrap().cartesian(angle);
        // 1e-9: what the hole adds falls with the square of the distance.
        assert_abs_diff_eq!(stress.xx, 0.5, epsilon = 1e-9);
        assert_abs_diff_eq!(stress.yy, 0.1, epsilon = 1e-9);
        assert_abs_diff_eq!(stress.xy, 0.0, epsilon = 1e-9);
    }
}

#[test]
fn galins_field_is_in_equilibrium_and_nowhere_above_yield() {
    let h = 1e-5;
    let field = public_set();
    let plane = |x: f64, y: f64| field.stress([x, y]).unwrap().cartesian(y.atan2(x));
    for (x, y) in [(1.4, 0.3), (1.5, 1.5), (-0.4, 2.2), (-2.0, -1.0), (0.9, 0.8)] {
        let (left, right, below, above) =
            (plane(x - h, y), plane(x + h, y), plane(x, y - h), plane(x, y + h));
        let along = (right.xx - left.xx + above.xy - below.xy) / (2.0 * h);
        let across = (right.xy - left.xy + above.yy - below.yy) / (2.0 * h);
        // 1e-8: central differences, h² times a third derivative, and rounding over h.
        assert_abs_diff_eq!(along, 0.0, epsilon = 1e-8);
        assert_abs_diff_eq!(across, 0.0, epsilon = 1e-8);
        let here = field.stress([x, y]).unwrap();
        let shear = (0.5 * (here.hoop - here.radial)).hypot(here.shear);
        assert!(shear <= 1.0 + 1e-12, "{shear} at {x}, {y}");
    }
}

#[test]
fn equal_remote_stresses_make_the_front_a_circle() {
    // Then it is Hill's infinite body: p = 2k(ln(c/a) + ½).
    let field = EllipticFront::new(2.0, 100.0, 180.0, [0.0, 0.0]).unwrap();
    let [on_x, on_y] = field.semi_axes();
    assert_abs_diff_eq!(on_x, on_y, epsilon = 1e-14);
    assert_abs_diff_eq!(200.0 * ((on_x / 2.0).ln() + 0.5), 180.0, epsilon = 1e-11);
}

#[test]
fn a_front_that_would_cut_the_hole_is_refused() {
    assert!(EllipticFront::new(1.0, 1.0, 0.9, [0.0, 0.0]).is_err());
    assert!(EllipticFront::new(1.0, 1.0, 1.5, [1.5, -0.5]).is_err());
    assert!(public_set().stress([0.5, 0.0]).is_err());
}
