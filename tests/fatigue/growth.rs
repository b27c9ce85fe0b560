//! Growth laws and their constants.

use hoopset::fatigue::closure::Opening;
use hoopset::fatigue::constants::{Kind, Reliability, growth, strain_life};
use hoopset::fatigue::cycle::{IntensityRange, StressRatio};
use hoopset::fatigue::growth::{Growth, GrowthLaw, ROOT_METRE};
use hoopset::fatigue::intensity::{CrackState, IntensityCycle};
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
