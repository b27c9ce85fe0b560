//! Value of the expansion: the plain holes that would live as long.

use rayon::prelude::*;

use crate::case::Case;
use crate::case::life_table::LifeSettings;
use crate::fatigue::assessment::Comparison;
use crate::fatigue::constants::growth;
use crate::fatigue::crack_life::Grower;
use crate::fatigue::end::Limits;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::trade::{PlainEquivalent, TradeError, WIDEST, factor_for, plain_equivalent};
use crate::material::library::{Alloy, alloys};
use crate::process::snapshot::Snapshot;
use crate::solver::tables::Tables;
use crate::study::lives::life_report::{Alternative, StressLife, Trade};
use crate::study::lives::plan::{Plan, alloy_name};
use crate::study::lives::refusal::LifeRefusal;
use crate::study::lives::relaxed::Family;

/// Plain life times this is traded for when the expanded hole lives for ever and no other life is
/// wanted: a choice of ours, no source.
const ENDLESS_FACTOR: f64 = 10.0;

/// Share of plastic strain of the yield stress for the net section of another alloy.
const OFFSET: f64 = 0.002;

/// Stress factors of the chart of life against stress.
const FACTORS: [f64; 2] = [0.5, 2.0];
/// Points of each of its curves.
const POINTS: u32 = 21;

/// The trade of a part with cracks at any of `places`: every answer holds for the worst of them, which
/// need not be the same one for both holes. `expanded` answers for the expanded hole at every stress.
pub(super) fn trade(
    case: &Case,
    settings: &LifeSettings,
    plan: &Plan,
    (places, expanded): (&[Comparison], &Family),
    state: &Snapshot,
) -> Result<Trade, LifeRefusal> {
    let sequence = &plan.ground.sequence;
    let plain: Vec<&Grower> = places.iter().map(|place| &place.plain.grower).collect();
    let borne = expanded.life(sequence, 1.0);
    let (target, target_words) = match settings.wanted_life {
        Some(wanted) => (wanted, "the life that is wanted".to_owned()),
        None if borne.is_finite() => (borne, "the life of the expanded hole".to_owned()),
        None => (
            ENDLESS_FACTOR * shortest(&plain, sequence),
            format!(
                "{ENDLESS_FACTOR} times the life of the plain hole, as the expanded one has no end; \
                 `wanted_life` sets another"
            ),
        ),
    };
    let own = alloy_name(case);
    let density = alloys().iter().find(|alloy| alloy.name == own).map(|alloy| alloy.density);
    let mut options = vec![Alternative {
        material: case.material_name.clone(),
        answer: demanding(
            plain
                .iter()
                .map(|plain| plain_equivalent(&case.material_name, plain, sequence, target, 1.0)),
        ),
        mass_known: true,
    }];
    let others: Vec<_> = alloys().iter().filter(|alloy| alloy.name != own).collect();
    let alternative = |alloy: &&Alloy| {
        let models = growth(&alloy.name).ok()?;
        // Without a toughness of its own the end of its life would be a guess.
        let (model, toughness) = models
            .into_iter()
            .find_map(|model| model.law.apparent_toughness().map(|toughness| (model, toughness)))?;
        let yield_stress = settings.net_section.then(|| alloy.material.monotonic_stress(OFFSET));
        let limits = Limits { toughness, yield_stress, ..plan.ground.limits };
        let others = plain.iter().map(|plain| plain.in_material(model.clone(), limits));
        let others = others.collect::<Result<Vec<Grower>, _>>().ok()?;
        let ratio = density.map_or(1.0, |own| alloy.density / own);
        Some(Alternative {
            material: alloy.name.clone(),
            answer: demanding(
                others
                    .iter()
                    .map(|other| plain_equivalent(&alloy.name, other, sequence, target, ratio)),
            ),
            mass_known: density.is_some(),
        })
    };
    let all: Vec<Option<Alternative>> = others.par_iter().map(alternative).collect();
    options.extend(all.into_iter().flatten());
    let tables = Tables::new(&state.mesh, case.job.measure())?;
    let quads = tables.quads.iter().flatten().map(|point| point.volume).sum::<f64>();
    let triangles = tables.triangles.iter().flatten().map(|point| point.volume).sum::<f64>();
    let volume = (quads + triangles) * state.mesh.symmetry.copies() as f64;
    Ok(Trade {
        target,
        target_words,
        options,
        rise: rise(&plain, expanded, sequence),
        onset: Some(expanded.onset).filter(|onset| onset.is_finite()),
        // g/cm³ is mg/mm³.
        mass: density.map(|density| 1e-3 * density * volume),
        thickness: case.job.plate.thickness,
        curve: curve(&plain, expanded, sequence),
    })
}

/// Shortest life over all places, cycles.
fn shortest(growers: &[&Grower], sequence: &LoadSequence) -> f64 {
    let lives = growers.iter().map(|grower| grower.cycles_borne(sequence));
    lives.fold(f64::INFINITY, f64::min)
}

/// The answer that asks the most of a plain hole. A place that always lives long enough asks nothing,
/// one that never does leaves no answer.
fn demanding(
    answers: impl Iterator<Item = Result<PlainEquivalent, TradeError>>,
) -> Result<PlainEquivalent, TradeError> {
    worst_of(answers, |answer| answer.stress_factor)
}

fn rise(plain: &[&Grower], expanded: &Family, sequence: &LoadSequence) -> Result<f64, TradeError> {
    let reach = [WIDEST[0], expanded.highest.min(WIDEST[1])];
    factor_for(|factor| expanded.life(sequence, factor), shortest(plain, sequence), reach)
}

fn worst_of<T>(
    answers: impl Iterator<Item = Result<T, TradeError>>,
    factor: impl Fn(&T) -> f64,
) -> Result<T, TradeError> {
    let (mut found, mut always): (Option<T>, Option<TradeError>) = (None, None);
    for answer in answers {
        match answer {
            Ok(answer) if found.as_ref().is_none_or(|worst| factor(&answer) < factor(worst)) => {
                found = Some(answer);
            }
            Ok(_) => {}
            Err(error @ TradeError::AlwaysLongEnough { .. }) => always = Some(error),
            Err(error) => return Err(error),
        }
    }
    found.ok_or_else(|| always.unwrap_or(TradeError::EndlessTarget { cycles: f64::NAN }))
}

/// Lives over a range of stress factors, as far as the residual field is known.
fn curve(plain: &[&Grower], expanded: &Family, sequence: &LoadSequence) -> Vec<StressLife> {
    let [least, most] = FACTORS.map(f64::ln);
    (0..POINTS)
        .into_par_iter()
        .map(|k| {
            let share = f64::from(k) / f64::from(POINTS - 1);
            let factor = (least + share * (most - least)).exp();
            StressLife {
                factor,
                plain: shortest(plain, &sequence.scaled(factor)),
                expanded: if factor > expanded.highest {
                    f64::NAN
                } else {
                    expanded.life(sequence, factor)
                },
            }
        })
        .collect()
}
