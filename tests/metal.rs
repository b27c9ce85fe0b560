//! Constants of a metal from tests of a bar: known constants come back, intervals hold the truth as often
//! as they say, what a test cannot tell is said; and the command as a user runs it.
#![allow(clippy::unwrap_used, missing_docs)]

#[path = "metal/command.rs"]
mod command;

use std::time::Instant;

use hoopset::fit::groups::{Answer, answer};
use hoopset::fit::metal::{Plan, Unknown};
use hoopset::fit::record::{Measure, Record};
use hoopset::fit::starts::Look;
use hoopset::material::backstress::Backstress;
use hoopset::material::bar::follow;
use hoopset::material::constant::Constant;
use hoopset::material::hardening::{Isotropic, VoceTerm};
use hoopset::numeric::random::Random;
use hoopset::{Elasticity, Material};

fn metal() -> Material {
    Material {
        elasticity: Elasticity { youngs_modulus: 72_000.0, poissons_ratio: 0.33 },
        yield_stress: 250.0,
        isotropic: Isotropic::Voce {
            terms: vec![VoceTerm { saturation: 60.0, rate: 12.0 }],
            slope: 0.0,
        },
        kinematic: vec![
            Backstress { modulus: 20_000.0, recall: 200.0 },
            Backstress { modulus: 2_000.0, recall: 20.0 },
        ],
    }
}

/// One saturating and one backstress term.
fn simple() -> Material {
    let mut simple = metal();
    simple.kinematic.truncate(1);
    simple
}

/// Finds all constants of the law of `like`, or all but Young's modulus.
fn found(records: &[Record], like: &Material, modulus_too: bool) -> Answer {
    let look = Look::at(records, (!modulus_too).then_some(like.elasticity.youngs_modulus));
    let wanted = Constant::all(like)
        .into_iter()
        .filter(|constant| modulus_too || *constant != Constant::YoungsModulus);
    let unknowns = wanted
        .map(|constant| Unknown { constant, limits: look.limits(constant), start: None })
        .collect();
    answer(records, &Plan { metal: like.clone(), unknowns }, &|| false).unwrap()
}

/// Strains along straight ways between turning points.
fn ways(turns: &[f64], points: usize) -> Vec<f64> {
    let between = |pair: &[f64]| {
        let (from, to) = (pair[0], pair[1]);
        (1..=points).map(move |k| from + (to - from) * k as f64 / points as f64)
    };
    turns.windows(2).flat_map(between).collect::<Vec<f64>>()
}

/// A test of `metal` with scatter of `error` MPa.
fn measured(
    metal: &Material,
    turns: &[f64],
    points: usize,
    error: f64,
    random: &mut Random,
) -> Record {
    let strains = ways(turns, points);
    let path = follow(metal, &[], strains.iter().copied()).unwrap();
    let stresses = path.iter().map(|point| point.stress + error * random.normal()).collect();
    Record::new("loop", [strains, stresses], Measure::True)
}

/// Largest relative difference of the constants.
fn worst(answer: &Answer, truth: &Material) -> f64 {
    let off = |value: &hoopset::fit::metal::Value| {
        (value.value / value.unknown.constant.of(truth).unwrap() - 1.0).abs()
    };
    answer.all.values.iter().map(off).fold(0.0, f64::max)
}

/// The loop whose points were computed outside the project (see `material::bar`), by its closed form:
/// `σ = σ₀ + Q (1 − e^(−bp)) + Σ C/γ (1 − e^(−γp))` forward to p = 0.04, then backward with
/// `α = −C/γ + (α₀ + C/γ) e^(−γΔp)`.
#[test]
fn the_loop_computed_outside_gives_its_constants_back() {
    let terms = [(20_000.0, 200.0), (2_000.0, 20.0)];
    let size = |p: f64| 250.0 + 60.0 * (1.0 - (-12.0 * p).exp());
    let forward = |p: f64| terms.map(|(c, g): (f64, f64)| c / g * (1.0 - (-g * p).exp()));
    let (mut strains, mut stresses) = (vec![], vec![]);
    let mut put = |stress: f64, plastic: f64| {
        strains.push(stress / 72_000.0 + plastic);
        stresses.push(stress);
    };
    for k in 0..=80 {
        let p = 0.04 * f64::from(k * k) / 6400.0;
        put(size(p) + forward(p).iter().sum::<f64>(), p);
    }
    for k in 0..=80 {
        let dp = 0.02 * f64::from(k * k) / 6400.0;
        let start = forward(0.04);
        let back: f64 = (0..2)
            .map(|i| {
                let (c, g) = terms[i];
                -c / g + (start[i] + c / g) * (-g * dp).exp()
            })
            .sum();
        put(back - size(0.04 + dp), 0.04 - dp);
    }
    // The points that were printed: reverse yield, and reverse plastic strain of 0.005 = 0.02 · (40/80)².
    assert!((stresses[81] + 117.8394).abs() < 1e-4 && (stresses[121] + 261.1610).abs() < 1e-4);
    let record = Record::new("loop", [strains, stresses], Measure::True);
    let answer = found(&[record], &metal(), true);
    assert!(worst(&answer, &metal()) < 1e-4, "{:?}", answer.all.values);
    assert!(answer.all.certainty.untold.is_empty());
}

#[test]
fn without_scatter_the_constants_come_back_to_a_millionth() {
    let mut none = Random::new(1);
    for truth in [simple(), metal()] {
        let turns = [0.0, 0.02, -0.02, 0.03];
        let record = measured(&truth, &turns, 60, 0.0, &mut none);
        let answer = found(&[record], &truth, true);
        assert!(worst(&answer, &truth) < 1e-6, "{:?}", answer.all.values);
    }
}

#[test]
fn three_loops_and_six_constants_take_seconds() {
    let mut random = Random::new(7);
    let truth = simple();
    let records =
        [0.01, 0.02, 0.03].map(|a| measured(&truth, &[0.0, a, -a, a], 100, 1.0, &mut random));
    let begin = Instant::now();
    let answer = found(&records, &truth, true);
    let took = begin.elapsed().as_secs_f64();
    eprintln!("{took:.2} s, {:?}", answer.all.starts);
    assert_eq!(answer.all.values.len(), 6);
    assert!(took < 5.0, "{took} s");
}

#[test]
fn nine_of_ten_intervals_hold_the_truth() {
    let truth = simple();
    let mut held = [0_i32; 6];
    for seed in 0..500 {
        let mut random = Random::new(seed);
        let record = measured(&truth, &[0.0, 0.03, -0.03, 0.03], 40, 1.0, &mut random);
        let answer = found(&[record], &truth, true);
        for (count, value) in held.iter_mut().zip(&answer.all.values) {
            let [low, high] = value.interval.unwrap();
            let true_value = value.unknown.constant.of(&truth).unwrap();
            *count += i32::from(low <= true_value && true_value <= high);
        }
    }
    eprintln!("{held:?}");
    // 85 to 95 % for every constant. Of 500 with chance 0.9 a count has a standard deviation of 6.7, so that the limits are
    // nearly four of them away; of 100 one of six constants leaves them by chance now and then (98 of the first hundred
    // seeds for the recall, 85 to 92 of the next four).
    assert!(held.iter().all(|count| (425..=475).contains(count)), "{held:?}");
}

#[test]
fn a_first_pull_does_not_tell_the_kinematic_share() {
    let mut random = Random::new(3);
    let truth = simple();
    let record = measured(&truth, &[0.0, 0.04], 120, 0.5, &mut random);
    let answer = found(&[record], &truth, false);
    let (kinematic, _) = answer.kinematic_bound.as_ref().expect("no share is told");
    // Both ends have the curve of the metal.
    for p in [0.002, 0.01, 0.03] {
        let curve = truth.monotonic_stress(p);
        assert!((answer.all.metal.monotonic_stress(p) - curve).abs() < 2.0);
        assert!((kinematic.monotonic_stress(p) - curve).abs() < 2.0);
    }
    assert!(answer.all.metal.kinematic.is_empty());
    assert_eq!(kinematic.isotropic, Isotropic::None);
}

#[test]
fn a_linear_isotropic_and_a_linear_kinematic_part_are_told_by_a_reversal_alone() {
    let mut random = Random::new(5);
    let mut truth = simple();
    truth.isotropic = Isotropic::Linear { slope: 600.0 };
    truth.kinematic[0] = Backstress { modulus: 1_500.0, recall: 0.0 };
    let mut both = |turns: &[f64]| {
        let record = measured(&truth, turns, 80, 0.5, &mut random);
        let look = Look::at(std::slice::from_ref(&record), Some(72_000.0));
        let unknowns = [Constant::YieldStress, Constant::Slope, Constant::Modulus(0)]
            .map(|constant| Unknown { constant, limits: look.limits(constant), start: None });
        let plan = Plan { metal: truth.clone(), unknowns: unknowns.to_vec() };
        answer(&[record], &plan, &|| false).unwrap()
    };
    assert!(both(&[0.0, 0.03]).kinematic_bound.is_some());
    let told = both(&[0.0, 0.03, -0.02]);
    assert!(told.kinematic_bound.is_none() && told.all.certainty.untold.is_empty());
    assert!(worst(&told, &truth) < 0.05, "{:?}", told.all.values);
}

#[test]
fn constants_that_only_act_together_have_no_number() {
    // At strains where a term with a recall of 5 is straight, modulus and recall of a second straight
    // term cannot be told apart.
    let mut random = Random::new(9);
    let mut truth = simple();
    truth.kinematic.push(Backstress { modulus: 1_000.0, recall: 1.0 });
    truth.isotropic = Isotropic::None;
    let record = measured(&truth, &[0.0, 0.006, -0.006, 0.006], 60, 2.0, &mut random);
    let answer = found(&[record], &truth, true);
    assert!(!answer.all.certainty.untold.is_empty(), "{:?}", answer.all.values);
    assert!(answer.all.values.iter().any(|value| value.error.is_none()));
    assert!(answer.all.values[0].error.is_some(), "Young's modulus is told");
}

#[test]
fn one_set_serves_both_strains_of_one_metal_and_not_those_of_two() {
    let mut random = Random::new(11);
    let (soft, mut hard) = (simple(), simple());
    hard.yield_stress = 290.0;
    let small = [0.0, 0.008, -0.008, 0.008];
    let large = [0.0, 0.03, -0.03, 0.03];
    let mut both = |second: &Material| {
        let records = [
            measured(&soft, &small, 60, 1.0, &mut random),
            measured(second, &large, 60, 1.0, &mut random),
        ];
        found(&records, &soft, true).apart.expect("amplitudes lie apart")
    };
    assert!(!both(&soft).is_needed());
    let apart = both(&hard);
    assert!(apart.is_needed(), "{:?} {}", apart.roots, apart.chance);
    assert_eq!(apart.records, [vec![0], vec![1]]);
}
