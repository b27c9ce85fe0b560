//! Strain-life at the limits where it has a closed form. No published worked example was at
//! hand whose every number could be stated, so none is claimed.

use hoopset::fatigue::constants::strain_life;
use hoopset::fatigue::cycle::StressCycle;
use hoopset::fatigue::neuber::LocalLoop;
use hoopset::fatigue::strain_life::{Initiation, MeanStress, StrainLife};

/// Invented, with the cyclic curve its exponents imply.
const METAL: StrainLife = StrainLife {
    youngs_modulus: 70_000.0,
    strength: 1200.0,
    strength_exponent: -0.12,
    ductility: 0.3,
    ductility_exponent: -0.6,
    cyclic_strength: None,
    cyclic_exponent: None,
};

fn cycles(life: Initiation) -> f64 {
    match life {
        Initiation::Cycles(cycles) => cycles,
        other => panic!("{other:?}"),
    }
}

/// The fully reversed loop at a life.
fn reversed(cycles: f64) -> LocalLoop {
    let stress = METAL.strength * (2.0 * cycles).powf(METAL.strength_exponent);
    LocalLoop {
        strain_amplitude: METAL.strain_amplitude(cycles),
        maximum: stress,
        minimum: -stress,
    }
}

#[test]
fn without_mean_stress_both_rules_give_the_curve_back() {
    for expected in [3.0, 200.0, 1e4, 1e7] {
        let local = reversed(expected);
        // With implied K′ and n′ the stress on the cyclic curve is that of the elastic line.
        let strain = METAL.cyclic_curve().strain(local.maximum);
        assert!((strain / local.strain_amplitude - 1.0).abs() < 1e-12);
        for rule in [MeanStress::SmithWatsonTopper, MeanStress::Morrow] {
            let got = cycles(METAL.initiation(&local, rule));
            assert!((got / expected - 1.0).abs() < 1e-9, "{rule:?}: {got} for {expected}");
        }
    }
}

#[test]
fn elastic_and_plastic_strain_are_equal_at_the_transition_life() {
    // 2N_t = (ε_f′E/σ_f′)^(1/(b−c)), closed form.
    let reversals = (0.3_f64 * 70_000.0 / 1200.0).powf(1.0 / (-0.12 + 0.6));
    let twice_elastic = 2.0 * 1200.0 / 70_000.0 * reversals.powf(-0.12);
    let local = LocalLoop { strain_amplitude: twice_elastic, maximum: 0.0, minimum: 0.0 };
    let got = cycles(METAL.initiation(&local, MeanStress::Morrow));
    assert!((2.0 * got / reversals - 1.0).abs() < 1e-9);
}

#[test]
fn the_elastic_limits_have_their_closed_forms() {
    // Plastic strain off: powers alone.
    let elastic = StrainLife { ductility: 1e-30, ..METAL };
    let local = LocalLoop { strain_amplitude: 0.003, maximum: 300.0, minimum: -120.0 };
    let swt = (300.0_f64 * 0.003 * 70_000.0 / (1200.0 * 1200.0)).powf(1.0 / -0.24);
    let morrow = (0.003_f64 * 70_000.0 / (1200.0 - 90.0)).powf(1.0 / -0.12);
    for (rule, reversals) in [(MeanStress::SmithWatsonTopper, swt), (MeanStress::Morrow, morrow)] {
        let got = cycles(elastic.initiation(&local, rule));
        assert!((2.0 * got / reversals - 1.0).abs() < 1e-9, "{rule:?}");
    }
}

#[test]
fn lives_without_number_are_named() {
    let pressed = LocalLoop { strain_amplitude: 0.004, maximum: -10.0, minimum: -400.0 };
    assert_eq!(METAL.initiation(&pressed, MeanStress::SmithWatsonTopper), Initiation::Endless);
    let tiny = LocalLoop { strain_amplitude: 1e-6, maximum: 1.0, minimum: -1.0 };
    assert_eq!(METAL.initiation(&tiny, MeanStress::Morrow), Initiation::Endless);
    let torn = LocalLoop { strain_amplitude: 2.0, maximum: 1000.0, minimum: -1000.0 };
    assert_eq!(METAL.initiation(&torn, MeanStress::Morrow), Initiation::Immediate);
    let over = LocalLoop { strain_amplitude: 0.004, maximum: 1500.0, minimum: 1000.0 };
    assert_eq!(METAL.initiation(&over, MeanStress::Morrow), Initiation::Immediate);
}

#[test]
fn neuber_keeps_the_energy_and_is_elastic_when_small() {
    let curve = METAL.cyclic_curve();
    for elastic in [1.0, 200.0, 700.0, 3000.0] {
        let stress = curve.neuber_stress(elastic).unwrap();
        let product = stress * curve.strain(stress);
        assert!((product * 70_000.0 / (elastic * elastic) - 1.0).abs() < 1e-9);
        assert!((curve.neuber_stress(-elastic).unwrap() + stress).abs() < 1e-12);
    }
    assert!((curve.neuber_stress(50.0).unwrap() / 50.0 - 1.0).abs() < 1e-3);
}

#[test]
fn residual_compression_moves_the_mean_once_and_lengthens_life() {
    let model = strain_life("2024-T351 plate").unwrap().remove(0);
    let curve = model.constants.cyclic_curve();
    let elastic = StressCycle::between(0.0, 450.0);
    let plain = curve.notch_loop(&elastic, 0.0).unwrap();
    let expanded = curve.notch_loop(&elastic, -250.0).unwrap();
    assert_eq!(plain.strain_amplitude, expanded.strain_amplitude);
    // Nearly elastic loop: the mean moves by the residual stress, less what yielding takes.
    let moved = plain.mean() - expanded.mean();
    assert!((150.0..=250.0).contains(&moved), "{moved}");
    let lives = [plain, expanded].map(|local| model.predict(local, MeanStress::SmithWatsonTopper));
    assert!(cycles(lives[1].initiation) > 3.0 * cycles(lives[0].initiation));
    assert!(lives[0].origin.from_memory(), "a result carries where its constants come from");
}
