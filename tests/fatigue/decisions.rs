//! Inspection and trade.

use hoopset::fatigue::constants::growth;
use hoopset::fatigue::crack::CrackSides;
use hoopset::fatigue::crack_life::Grower;
use hoopset::fatigue::cycle::StressCycle;
use hoopset::fatigue::end::LifeEnd;
use hoopset::fatigue::growth::{GrowthLaw, ROOT_METRE};
use hoopset::fatigue::inspection::{Inspection, InspectionError, inspection, part_inspection};
use hoopset::fatigue::intensity::{ContactRule, StressIntensity};
use hoopset::fatigue::sequence::LoadSequence;
use hoopset::fatigue::trade::{TradeError, allowed_rise, plain_equivalent, stress_factor};

use crate::life::limits;
use crate::profiles::{given, hole, plane_strain_residual, sampled, uniaxial};

fn crack(y: f64) -> StressIntensity {
    StressIntensity::new(hole(3.0, CrackSides::Two), sampled(3.0, uniaxial))
        .with_residual(sampled(3.0, |r| y * plane_strain_residual(r)))
}

fn grower(y: f64, law: GrowthLaw) -> Grower {
    // So tough that the end is the same length at every stress.
    Grower::new(&crack(y), given(law), limits(1e7), ContactRule::OpenPart, 0.5).unwrap()
}

const PARIS: GrowthLaw = GrowthLaw::Paris { coefficient: 1e-10, exponent: 3.0, threshold: None };

fn pulled(stress: f64) -> LoadSequence {
    LoadSequence::constant(StressCycle::between(0.0, stress)).unwrap()
}

#[test]
fn an_interval_is_the_life_left_over_the_factor() {
    let life = grower(0.0, PARIS).life(&pulled(100.0));
    let plan = inspection(&life, 2.0, 3.0).unwrap();
    assert!((plan.interval - (life.cycles - plan.detectable_at) / 3.0).abs() < 1e-6);
    assert!((plan.first - life.cycles / 3.0).abs() < 1e-6);
    // Cycles at 2 mm, from a life that starts there.
    let rest = Grower::new(&crack(0.0), given(PARIS), limits(1e7), ContactRule::OpenPart, 2.0)
        .unwrap()
        .life(&pulled(100.0));
    // 1e-3: straight lines between the points of the curve.
    assert!((plan.left / rest.cycles - 1.0).abs() < 1e-3, "{} {}", plan.left, rest.cycles);
    assert_eq!((plan.detectable, plan.factor), (2.0, 3.0));
    // A crack that is long enough to be found from the start is looked for from the start.
    let seen = inspection(&life, 0.1, 3.0).unwrap();
    assert_eq!((seen.detectable_at, seen.interval), (0.0, seen.first));
    assert!(matches!(inspection(&life, 1e3, 3.0), Err(InspectionError::NeverSeen { .. })));
    assert!(matches!(inspection(&life, 2.0, 0.5), Err(InspectionError::BadFactor { .. })));
}

#[test]
fn a_part_is_inspected_for_the_most_demanding_of_its_places() {
    // The hinge plate: the crack at 0° has the longer life and the shorter interval (issue 14).
    let plan = |first: f64, interval: f64| Inspection {
        detectable: 2.5,
        factor: 3.0,
        detectable_at: 3.0 * (first - interval),
        left: 3.0 * interval,
        first,
        interval,
    };
    let seen = |plan: Inspection| (3.0 * plan.first, Ok(plan));
    let never = InspectionError::NeverSeen { detectable: 2.5, from: 1.0, to: 2.0 };
    let part = part_inspection(&[seen(plan(2795.0, 700.0)), seen(plan(1411.0, 900.0))]).unwrap();
    assert_eq!((part.first.0, part.first.1.first), (1, 1411.0));
    assert_eq!((part.interval.0, part.interval.1.interval), (0, 700.0));
    // A crack that stops before it can be seen asks for nothing; one that breaks before leaves no plan.
    let arrested = part_inspection(&[(f64::INFINITY, Err(never)), seen(plan(1411.0, 900.0))]);
    assert_eq!(arrested.unwrap().interval.0, 1);
    assert_eq!(part_inspection(&[seen(plan(9.0, 3.0)), (50.0, Err(never))]), Err((1, never)));
}

#[test]
fn a_life_that_ends_at_once_and_one_without_end_are_not_the_same() {
    let at_once = stress_factor(&grower(0.0, PARIS), &pulled(100.0), 0.0).unwrap_err();
    assert_eq!(at_once.to_string(), "the hole fails at once, so there is no life to compare with");
    let endless = stress_factor(&grower(0.0, PARIS), &pulled(100.0), f64::INFINITY).unwrap_err();
    assert!(endless.to_string().contains("no end"), "{endless}");
}

#[test]
fn less_residual_stress_is_worth_less() {
    let load = pulled(120.0);
    let expanded = grower(200.0, PARIS);
    let lives =
        [0.0, 0.5, 0.75, 1.0].map(|share| expanded.with_residual_share(share).cycles_borne(&load));
    assert!(lives.windows(2).all(|pair| pair[0] < pair[1]), "{lives:?}");
    // The ends are the two holes themselves, and half of it is the field that is half as high.
    let alone = |y: f64| grower(y, PARIS).cycles_borne(&load);
    for (found, y) in [(lives[0], 0.0), (lives[1], 100.0), (lives[3], 200.0)] {
        assert!((found / alone(y) - 1.0).abs() < 1e-9, "{found} {y}");
    }
    let between = grower(100.0, PARIS).between(&grower(200.0, PARIS), 0.5).cycles_borne(&load);
    assert!((between / lives[2] - 1.0).abs() < 1e-9);
}

#[test]
fn stress_for_a_life_follows_the_power_of_the_law() {
    // Paris to a fixed length: life goes as stress to the power −3, so an eighth of the life
    // is borne at twice the stress.
    let plain = grower(0.0, PARIS);
    let life = plain.life(&pulled(100.0)).cycles;
    let twice = stress_factor(&plain, &pulled(100.0), life / 8.0).unwrap();
    assert!((twice - 2.0).abs() < 1e-5, "{twice}");
    let same = plain_equivalent("same metal", &plain, &pulled(100.0), 8.0 * life, 1.0).unwrap();
    assert!((same.thickness_ratio - 2.0).abs() < 1e-5);
    assert!((same.mass_ratio - 2.0).abs() < 1e-5);
    let lighter = plain_equivalent("lighter", &plain, &pulled(100.0), 8.0 * life, 0.6).unwrap();
    assert!((lighter.mass_ratio - 1.2).abs() < 1e-5);
}

#[test]
fn expansion_trades_against_thickness_and_stress_both_ways() {
    let (plain, expanded) = (grower(0.0, PARIS), grower(200.0, PARIS));
    let load = pulled(120.0);
    let life = expanded.life(&load).cycles_borne();
    let needed = stress_factor(&plain, &load, life).unwrap();
    assert!(needed < 1.0, "{needed}");
    assert!((plain.life(&load.scaled(needed)).cycles / life - 1.0).abs() < 1e-4);
    let rise = allowed_rise(&plain, &expanded, &load).unwrap();
    assert!(rise > 1.0);
    let raised = expanded.life(&load.scaled(rise)).cycles;
    assert!((raised / plain.life(&load).cycles - 1.0).abs() < 1e-4);
}

#[test]
fn an_endless_life_asks_for_a_number() {
    let law = GrowthLaw::Paris { coefficient: 1e-10, exponent: 3.0, threshold: Some(5.0) };
    let (plain, expanded) = (grower(0.0, law), grower(400.0, law));
    let load = pulled(120.0);
    let life = expanded.life(&load);
    assert!(matches!(life.end, LifeEnd::Arrest { .. }));
    let refused = stress_factor(&plain, &load, life.cycles_borne());
    assert!(matches!(refused, Err(TradeError::EndlessTarget { .. })));
    // A life that only an arrest gives: the factor at which growth begins.
    let factor = stress_factor(&plain, &load, 1e8).unwrap();
    let start = crack(0.0).at(0.5).unwrap().load * factor * 120.0;
    assert!((start / (5.0 * ROOT_METRE) - 1.0).abs() < 1e-4, "{start}");
    // With expansion the crack that stood still may be loaded until it lives as long as plain.
    assert!(allowed_rise(&plain, &expanded, &load).unwrap() > 1.0);
}

#[test]
fn another_alloy_carries_its_origin_into_the_trade() {
    let plate = growth("2024-T351 plate").unwrap().remove(0);
    let other = growth("7075-T651 plate").unwrap().remove(0);
    let toughness = limits(60.0 * ROOT_METRE);
    let plain = Grower::new(&crack(0.0), plate, toughness, ContactRule::OpenPart, 0.5).unwrap();
    let load = pulled(120.0);
    let life = plain.life(&load).cycles_borne();
    let changed = plain.in_material(other, toughness).unwrap();
    let equivalent =
        plain_equivalent("7075-T651 plate", &changed, &load, life, 2.80 / 2.77).unwrap();
    // It grows cracks faster, so it must be thicker.
    assert!(equivalent.thickness_ratio > 1.0, "{equivalent:?}");
    assert!(equivalent.origin.stand_in);
    assert!((equivalent.mass_ratio / equivalent.thickness_ratio - 2.80 / 2.77).abs() < 1e-12);
}
