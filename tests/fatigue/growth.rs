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

type Bar = (f64, [f64; 2], [f64; 2], f64, f64);

/// Four-point bend bars of 2024-T351, 10 by 10 mm: ratio, first and last crack mm, least and greatest load
/// kN, cycles, listed range at the start MPa√m. Read in a table, doi 10.2478/fas-2022-0004.
#[allow(clippy::approx_constant, reason = "a crack length of 6.28 mm")]
const BARS: [Bar; 4] = [
    (0.1, [3.34, 7.875], [0.115, 1.149], 382_000.0, 5.395),
    (0.2, [3.31, 7.14], [0.237, 1.184], 569_700.0, 4.85),
    (0.3, [3.365, 7.365], [0.348, 1.16], 547_000.0, 4.22),
    (0.5, [2.735, 6.280], [1.25, 2.50], 240_000.0, 5.535),
];

#[test]
fn bend_bars_of_2024_live_as_long_as_tested_within_what_constants_are_worth() {
    // K of an edge crack in pure bending: H. Tada, P. C. Paris, G. R. Irwin's handbook (from memory); moment
    // (P/2)·14.5 mm, which gives the listed range at the start.
    let k = |moment: f64, a: f64| {
        let x = a / 10.0;
        let f = 1.122 + x * (-1.40 + x * (7.33 + x * (-13.08 + x * 14.0)));
        6.0 * moment / 1000.0 * (PI * a).sqrt() * f / ROOT_METRE
    };
    let lives = |law: &GrowthLaw| {
        BARS.map(|(ratio, [from, to], [low, high], tested, listed)| {
            let moment = 0.5 * 14.5 * 1000.0 * (high - low);
            assert!((k(moment, from) / listed - 1.0).abs() < 0.04, "{} {listed}", k(moment, from));
            let step = (to - from) / 4000.0;
            let rate = |a: f64| law.growth(&tip(k(moment, a), ratio), a).rate();
            let cycles = (0..4000).map(|n| step / rate(from + (f64::from(n) + 0.5) * step));
            cycles.sum::<f64>() / tested
        })
    };
    // With the law that the table lists for each bar (one digit in C), another program's integration gave 0.60,
    // 0.52, 0.76 and 0.71 of the test. K is known to 3 % here (the arm is inferred), which is 11 % of a life.
    let listed = [(1e-11, 3.645), (1e-11, 3.7053), (9e-12, 3.8712), (5e-11, 2.9287)];
    for (bar, (coefficient, exponent)) in listed.into_iter().enumerate() {
        let law = GrowthLaw::Paris { coefficient, exponent, threshold: None };
        let found = lives(&law)[bar];
        println!("bar {}, its own law: {found:.2} of the test", bar + 1);
        assert!((found - [0.60, 0.52, 0.76, 0.71][bar]).abs() < 0.07, "{bar}: {found}");
    }
    // With the library's constants, of other batches, lives are 0.18 to 0.48 of these tests: outside a factor of
    // two, on the short side. The bars grew from ranges of 4 to 6 MPa√m, below those of the fits and near a
    // threshold that these laws do not have.
    for model in growth("2024-T351 plate").unwrap() {
        let found = lives(&model.law);
        println!("{}: {found:.2?} of the tests", model.origin);
        assert!(found.iter().all(|share| (0.15..0.55).contains(share)), "{found:?}");
    }
}
