//! Sensitivities against functions whose effects are known.

use hoopset::study::sweep::Points;
use hoopset::study::sweep::sensitivity::effects;

use crate::read;

fn grid() -> Points {
    Points::new(
        &read("[[axis]]\nname = \"a\"\nvalues = [-1, 0, 1]\n[[axis]]\nname = \"b\"\nvalues = [-1, 1]\n").unwrap(),
    )
}

fn values(points: &Points, of: impl Fn(f64, f64) -> f64) -> Vec<Option<f64>> {
    (0..points.len())
        .map(|case| {
            let numbers: Vec<f64> =
                points.levels(case).iter().map(|level| level.number().unwrap()).collect();
            Some(of(numbers[0], numbers[1]))
        })
        .collect()
}

/// Rounding of sums over a few cases.
const CLOSE: f64 = 1e-12;

#[test]
fn axes_that_add_up_have_main_effects_alone() {
    let points = grid();
    // a has variance 2/3, b variance 1: y = 3a + 2b has variances 6 and 4.
    let found = effects(&points, &values(&points, |a, b| 3.0 * a + 2.0 * b));
    for (effect, share) in found.iter().zip([0.6, 0.4]) {
        assert!((effect.main.unwrap() - share).abs() < CLOSE, "{effect:?}");
        assert!((effect.total.unwrap() - share).abs() < CLOSE, "{effect:?}");
    }
}

#[test]
fn a_product_has_total_effects_alone() {
    let points = grid();
    // E(ab|a) = E(ab|b) = 0, and every change needs both.
    for effect in effects(&points, &values(&points, |a, b| a * b)) {
        assert!(effect.main.unwrap().abs() < CLOSE && (effect.total.unwrap() - 1.0).abs() < CLOSE);
    }
}

#[test]
fn ranks_see_what_only_grows_whatever_its_shape() {
    let points = grid();
    let found = effects(&points, &values(&points, |a, _| a.exp()));
    assert!((found[0].rank.unwrap() - 1.0).abs() < CLOSE);
    assert!(found[1].rank.unwrap().abs() < CLOSE);
    let fallen = effects(&points, &values(&points, |_, b| -b));
    assert!((fallen[1].rank.unwrap() + 1.0).abs() < CLOSE);
}

#[test]
fn a_number_that_does_not_vary_has_no_effects_and_a_gap_has_no_total() {
    let points = grid();
    assert!(effects(&points, &values(&points, |_, _| 3.0)).iter().all(|e| e.main.is_none()));
    let mut gap = values(&points, |a, b| a + b);
    gap[2] = None;
    assert!(effects(&points, &gap).iter().all(|e| e.total.is_none() && e.main.is_some()));
}

#[test]
fn a_latin_hypercube_finds_the_shares_of_a_sum() {
    let study = read(
        "[design]\nmethod = \"latin hypercube\"\ncount = 2000\n\
         [[axis]]\nname = \"a\"\nfrom = 0\nto = 1\n[[axis]]\nname = \"b\"\nfrom = 0\nto = 1\n\
         [[axis]]\nname = \"c\"\nfrom = 0\nto = 1\n",
    )
    .unwrap();
    let points = Points::new(&study);
    // y = 2a + b: shares 0.8 and 0.2, c none. Groups of 100 cases: their means scatter by about a tenth
    // of the spread inside them, and 0.03 is three standard deviations of the estimate.
    let found = effects(&points, &values(&points, |a, b| 2.0 * a + b));
    for (effect, share) in found.iter().zip([0.8, 0.2, 0.0]) {
        assert!((effect.main.unwrap() - share).abs() < 0.03, "{effect:?}");
        assert_eq!(effect.total, None);
    }
}
