//! Growth laws and their constants.

use std::f64::consts::PI;

use hoopset::fatigue::closure::Opening;
use hoopset::fatigue::constants::{Kind, growth, strain_life};
use hoopset::fatigue::cycle::{IntensityRange, StressRatio};
use hoopset::fatigue::growth::{Growth, GrowthLaw, ROOT_METRE};
use hoopset::fatigue::intensity::{CrackState, IntensityCycle};
use hoopset::fatigue::origin::Reliability;
use hoopset::material::library::alloys;

/// A cycle at the tip with this range, MPa√m, and ratio.
fn tip(range: f64, ratio: f64) -> IntensityCycle {
    let range = range * ROOT_METRE;
    let maximum = range / (1.0 - ratio);
    let (range, ratio) = (IntensityRange(range), StressRatio(ratio));
    let minimum = maximum * ratio.0;
    IntensityCycle { maximum, minimum, range, ratio, state: CrackState::Open }
}

/// Growth, m a cycle, of a 5 mm crack.
fn metres(law: &GrowthLaw, range: f64, ratio: f64) -> f64 {
    law.growth(&tip(range, ratio), 5.0).rate() / 1000.0
}

#[test]
fn units_are_those_of_the_tables() {
    // By hand: 1e-10 · 10³ = 1e-7 m a cycle.
    let paris = GrowthLaw::Paris { coefficient: 1e-10, exponent: 3.0, threshold: None };
    assert!((metres(&paris, 10.0, 0.0) / 1e-7 - 1.0).abs() < 1e-12);
    // Walker at ratio 0.5, γ = 0.5: the range times √2, its cube times 2√2.
    let walker =
        GrowthLaw::Walker { coefficient: 1e-10, exponent: 3.0, gamma: 0.5, threshold: None };
    assert!((metres(&walker, 10.0, 0.5) / (1e-7 * 8.0_f64.sqrt()) - 1.0).abs() < 1e-12);
    // Forman by hand: 1e-8 · 10³/(0.5 · 60 − 10) = 5e-7.
    let forman = GrowthLaw::Forman {
        coefficient: 1e-8,
        exponent: 3.0,
        toughness: 60.0,
        threshold: Some(2.0),
    };
    assert!((metres(&forman, 10.0, 0.5) / 5e-7 - 1.0).abs() < 1e-12);
    assert_eq!(forman.growth(&tip(1.9, 0.5), 5.0), Growth::None);
    assert_eq!(forman.growth(&tip(30.0, 0.5), 5.0), Growth::Unstable);
}

#[test]
fn the_opening_function_has_its_values() {
    // J. C. Newman (1984), equations from memory; values computed from them elsewhere.
    let rows = [
        (1.0, 0.3, [(-1.0, 0.37349), (0.0, 0.47669), (0.1, 0.49070), (0.5, 0.62624)]),
        (2.0, 0.3, [(-1.0, 0.24376), (0.0, 0.32566), (0.1, 0.34217), (0.5, 0.54807)]),
        (3.0, 0.3, [(-1.0, 0.18478), (0.0, 0.24538), (0.1, 0.26242), (0.5, 0.50526)]),
    ];
    for (constraint, stress_share, points) in rows {
        let opening = Opening { constraint, stress_share };
        for (ratio, expected) in points {
            assert!((opening.fraction(ratio) - expected).abs() < 6e-6, "{constraint} {ratio}");
        }
        assert!((opening.fraction(1.0) - 1.0).abs() < 1e-12);
    }
    for (stress_share, expected) in [(0.1, 0.34287), (0.6, 0.26450)] {
        let opening = Opening { constraint: 2.0, stress_share };
        assert!((opening.fraction(0.0) - expected).abs() < 6e-6);
    }
}

#[test]
fn the_closure_law_runs_from_threshold_to_toughness() {
    let model = growth("7050-T7451 plate").unwrap().remove(0);
    let GrowthLaw::Closure(law) = model.law else { panic!("closure law first") };
    // Continuous at ratio 0 and where the opening function is held, rising with ratio.
    let at = |range: f64, ratio: f64| metres(&model.law, range, ratio);
    assert!((at(10.0, -1e-9) / at(10.0, 1e-9) - 1.0).abs() < 1e-6);
    assert!(at(8.0, 0.5) > at(8.0, 0.1) && at(8.0, 0.1) > at(8.0, -1.0));
    // Same maximum, minimum ever lower: nothing changes below ratio −2.
    let (held, beyond) = (at(30.0, -2.0), at(60.0, -5.0));
    assert!((held / beyond - 1.0).abs() < 1e-9, "{held} {beyond}");
    let threshold = law.threshold_range(0.1, 5e-3);
    assert_eq!(model.law.growth(&tip(0.999 * threshold, 0.1), 5.0), Growth::None);
    assert!(at(1.001 * threshold, 0.1) > 0.0);
    assert_eq!(model.law.growth(&tip(0.9 * 35.17, 0.1), 5.0), Growth::Unstable);
    // Thresholds of aluminium alloys: 1 to 4 MPa√m (common practice, no source).
    assert!((1.0..4.0).contains(&threshold), "{threshold}");
}

#[test]
fn measured_growth_is_met_within_a_factor_of_two() {
    // R = 0.1, laboratory air: S. C. Forth, C. W. Wright, W. M. Johnston, NASA/TM-2005-213907,
    // tables A1 (7075-T6) and A4 (2024-T351), read in a transcription; MPa√m, m a cycle.
    let sets: [(&str, &[(f64, f64)]); 2] = [
        (
            "7075-T651 plate",
            &[(11.52, 4.29e-7), (12.20, 4.97e-7), (12.73, 5.37e-7), (12.99, 5.56e-7)],
        ),
        ("2024-T351 plate", &[(10.20, 1.43e-7), (10.56, 1.79e-7), (10.95, 1.96e-7)]),
    ];
    for (alloy, points) in sets {
        // The law a caller gets first. Two: one lot of metal is no closer to another.
        let model = growth(alloy).unwrap().remove(0);
        for &(range, measured) in points {
            let share = metres(&model.law, range, 0.1) / measured;
            println!("{alloy} {range}: {share:.2} of the measured rate ({})", model.origin);
            assert!((0.5..=2.0).contains(&share), "{alloy} {range}: {share}");
        }
    }
}

#[test]
fn walker_constants_from_memory_fall_short_of_the_plate_they_stand_in_for() {
    // A finding: those of 2024-T3 sheet give less than half the rate measured on 2024-T351
    // plate (points as above), on the unsafe side. They are marked as a stand-in from memory.
    let plate = growth("2024-T351 plate").unwrap();
    let walker = plate.iter().find(|m| matches!(m.law, GrowthLaw::Walker { .. })).unwrap();
    for (range, measured) in [(10.20, 1.43e-7), (10.56, 1.79e-7), (10.95, 1.96e-7)] {
        let share = metres(&walker.law, range, 0.1) / measured;
        assert!((0.40..0.50).contains(&share), "{range}: {share}");
    }
    assert!(walker.origin.stand_in && walker.origin.from_memory());
}

#[test]
fn every_alloy_has_constants_or_an_error_that_says_so() {
    let without: Vec<&str> = alloys()
        .iter()
        .filter(|alloy| growth(&alloy.name).is_err())
        .map(|alloy| alloy.name.as_str())
        .collect();
    assert_eq!(without, ["Ti-6Al-4V annealed sheet", "4340 steel, 260 ksi", "S13800 H1000 bar"]);
    let error = growth("Ti-6Al-4V annealed sheet").unwrap_err();
    assert_eq!(error.kind, Kind::Growth);
    assert!(error.to_string().contains("no crack growth constants"));
    assert!(strain_life("7475-T7351 plate").is_err());
}

#[test]
fn constants_carry_where_they_come_from() {
    let plate = growth("2024-T351 plate").unwrap();
    assert!(!plate[0].origin.stand_in && !plate[0].origin.from_memory());
    let walker = plate.iter().find(|m| matches!(m.law, GrowthLaw::Walker { .. })).unwrap();
    assert!(walker.origin.from_memory() && walker.origin.stand_in);
    assert!(walker.origin.to_string().contains("from memory"));
    let thick = growth("7075-T651 plate").unwrap();
    assert!(thick.iter().all(|model| model.origin.stand_in));
    let steel = growth("4340 steel, tensile strength 1296 MPa").unwrap();
    assert_eq!(steel[0].origin.reliability, Reliability::FromMemory);
    assert!(strain_life("2024-T351 plate").unwrap().iter().all(|m| m.origin.from_memory()));
}

type Bar = (f64, [f64; 2], [f64; 2], f64, [f64; 2]);

/// Four-point bend bars of 2024-T351, 10 by 10 mm: ratio, first and last crack mm, least and greatest load
/// kN, cycles, listed ranges at the start and at the end MPa√m. Read in a table, doi 10.2478/fas-2022-0004.
#[allow(clippy::approx_constant, reason = "a crack length of 6.28 mm")]
const BARS: [Bar; 4] = [
    (0.1, [3.34, 7.875], [0.115, 1.149], 382_000.0, [5.395, 22.696]),
    (0.2, [3.31, 7.14], [0.237, 1.184], 569_700.0, [4.85, 16.88]),
    (0.3, [3.365, 7.365], [0.348, 1.16], 547_000.0, [4.22, 15.90]),
    (0.5, [2.735, 6.280], [1.25, 2.50], 240_000.0, [5.535, 15.82]),
];

/// `K/σ√(πa)` of an edge crack in pure bending at `x = a/W`: H. Tada, P. C. Paris, G. R. Irwin's handbook (from
/// memory), a polynomial for `x ≤ 0.6`, and a form for any depth that is some 2 % lower at `x = 0.3`.
fn bending_polynomial(x: f64) -> f64 {
    1.122 + x * (-1.40 + x * (7.33 + x * (-13.08 + x * 14.0)))
}

fn bending_any_depth(x: f64) -> f64 {
    let t = 0.5 * PI * x;
    (t.tan() / t).sqrt() * (0.923 + 0.199 * (1.0 - t.sin()).powi(4)) / t.cos()
}

/// Range of K in MPa√m of a bar under a range of load in kN; moment `(P/2)·14.5 mm`.
fn bar_range(factor: fn(f64) -> f64, load: f64, a: f64) -> f64 {
    6.0 * 0.5 * 14.5 * load * (PI * a).sqrt() * factor(a / 10.0) / ROOT_METRE
}

/// Computed over tested lives, and the range at which half of the life is over, over the first range.
fn bar_lives(law: &GrowthLaw, factor: fn(f64) -> f64) -> [[f64; 2]; 4] {
    BARS.map(|(ratio, [from, to], [low, high], tested, _)| {
        let step = (to - from) / 4000.0;
        let range = |a: f64| bar_range(factor, high - low, a);
        let places = || (0..4000).map(|n| from + (f64::from(n) + 0.5) * step);
        let cycles = |a: f64| step / law.growth(&tip(range(a), ratio), a).rate();
        let whole: f64 = places().map(cycles).sum();
        let mut used = 0.0;
        let middle = places().find(|&a| {
            used += cycles(a);
            used >= 0.5 * whole
        });
        [whole / tested, range(middle.unwrap()) / range(from)]
    })
}

/// The law that the table lists for each bar (one digit in C).
fn own_law(bar: usize) -> GrowthLaw {
    let (coefficient, exponent) =
        [(1e-11, 3.645), (1e-11, 3.7053), (9e-12, 3.8712), (5e-11, 2.9287)][bar];
    GrowthLaw::Paris { coefficient, exponent, threshold: None }
}

/// The listed ranges are those of the polynomial with an arm of 14.5 mm, at both ends and also beyond `a/W = 0.6`.
///
/// 0.3 % is the rounding of the printed numbers. The first bar is not part of this: its start is 1 % and its end 11 %
/// away from any of these forms, so that a length or range of it is misprinted.
#[test]
fn listed_ranges_of_the_bend_bars_are_those_of_the_handbook() {
    for (_, ends, [low, high], _, listed) in &BARS[1..] {
        for (a, listed) in ends.iter().zip(listed) {
            let found = bar_range(bending_polynomial, high - low, *a);
            assert!((found / listed - 1.0).abs() < 3e-3, "{a}: {found:.3}, listed {listed}");
        }
    }
}

/// With the law listed for each bar another program's integration gave 0.60, 0.52, 0.76 and 0.71 of the test, with the
/// form for any depth; 0.005 is its rounding. The polynomial, 2 % higher at the start, gives 0.57, 0.49, 0.71, 0.67.
///
/// So the listed law and the listed lives do not agree: growth in the tests was slower by a factor of 1.4 to 2 than the
/// law fitted to them. Half of a life is over when the range has risen by a fifth, at 5 to 7 MPa√m; a straight line
/// through all rates up to 25 MPa√m does not bend down towards the threshold there. One digit in `C` is no
/// explanation of that: `9e-9` is printed for one bar, so `1e-8` is at least 9.5e-9. It decides whether the second bar is
/// within a factor of two: by the polynomial it misses that by 3 %, by the form for any depth it does not.
#[test]
fn bend_bars_live_half_to_three_quarters_as_long_as_tested_by_their_own_law() {
    for (bar, printed) in [0.60, 0.52, 0.76, 0.71].into_iter().enumerate() {
        let [other, _] = bar_lives(&own_law(bar), bending_any_depth)[bar];
        assert!((other - printed).abs() < 5e-3, "{bar}: {other}");
        assert!(other > 0.5, "{bar}: {other}");
        let [found, middle] = bar_lives(&own_law(bar), bending_polynomial)[bar];
        let rounding = 0.05;
        assert!(found / (1.0 - rounding) > 0.5, "{bar}: {found}");
        println!(
            "bar {}, its own law: {found:.3}, half of it by {middle:.2} times the first range",
            bar + 1
        );
        // One of four is beyond a factor of two, by 3 %.
        assert!((0.48..2.0).contains(&found) && middle < 1.25, "{bar}: {found} {middle}");
    }
}

/// A finding, not a success: with the library's constants lives are 0.18 to 0.48 of these tests, outside a factor of
/// two, on the short side, for every law. Three sources of growth in plates of 2024-T351 differ by more than that: at
/// 10.2 MPa√m and ratio 0.1 the library's law gives 8.2e-8 m, other plates had 1.43e-7 m (test above), and the law of
/// these bars gives 4.7e-8 m. Which of them another part will follow cannot be known, and K is not what is missing: it
/// would have to be 18 to 45 % lower.
#[test]
fn bend_bars_outlive_the_library_constants_by_more_than_a_factor_of_two() {
    for model in growth("2024-T351 plate").unwrap() {
        let found = bar_lives(&model.law, bending_polynomial).map(|[share, _]| share);
        println!("{}: {found:.2?} of the tests", model.origin);
        assert!(found.iter().all(|share| (0.17..0.49).contains(share)), "{found:?}");
    }
    let library = metres(&growth("2024-T351 plate").unwrap()[0].law, 10.2, 0.1);
    let bars = metres(&own_law(0), 10.2, 0.1);
    assert!(library / bars > 1.6 && 1.43e-7 / library > 1.6, "{library} {bars}");
}
