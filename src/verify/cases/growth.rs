//! Growth of cracks: closed forms, computed lives, measured rates, counting and arrest.

use crate::fatigue::constants::{self, GrowthModel};
use crate::fatigue::crack::{CrackGeometry, CrackSides};
use crate::fatigue::crack_life::{Grower, Life};
use crate::fatigue::cycle::{IntensityRange, StressCycle, StressRatio};
use crate::fatigue::end::{LifeEnd, Limits};
use crate::fatigue::growth::{GrowthLaw, ROOT_METRE};
use crate::fatigue::intensity::{ContactRule, CrackState, IntensityCycle, StressIntensity};
use crate::fatigue::origin::Origin;
use crate::fatigue::rainflow::{self, CountedCycle};
use crate::fatigue::sequence::LoadSequence;
use crate::numeric::profile::Profile;
use crate::verify::bench::{Bench, number, numbers, rows};
use crate::verify::cracks::{sampled, wall};
use crate::verify::findings::{Findings, chart, theory};
use crate::verify::trouble::Trouble;

/// Radius beside which a crack of some millimetres never sees the curvature: an edge crack.
const STRAIGHT: f64 = 1e5;

/// Computes the case.
pub(super) fn run(bench: &Bench<'_>) -> Result<Findings, Trouble> {
    let mut findings = Findings::default();
    let table = bench.table()?;
    paris(&table, &mut findings)?;
    at_a_hole(&table, &mut findings)?;
    arrest(&table, &mut findings)?;
    let history = numbers(&table, "history")?;
    counts("once", &rainflow::count(&history), &mut findings);
    counts("repeating", &rainflow::count_repeating(&history), &mut findings);
    measured(bench, &mut findings)?;
    Ok(findings)
}

/// The life of a crack from `start` to where K under the greatest stress of the cycle is that of a crack
/// of `end` mm.
fn life(
    crack: &StressIntensity,
    law: GrowthLaw,
    [start, end]: [f64; 2],
    cycle: StressCycle,
) -> Result<Life, Trouble> {
    let toughness = crack.at(end).map_err(Trouble::refused)?.total(cycle.maximum());
    grown(crack, law, toughness, start, cycle)
}

fn grown(
    crack: &StressIntensity,
    law: GrowthLaw,
    toughness: f64,
    start: f64,
    cycle: StressCycle,
) -> Result<Life, Trouble> {
    let limits = Limits { toughness, yield_stress: None, most_cycles: 1e12 };
    let model = GrowthModel { law, origin: Origin::given("metal of the case", "its input") };
    let rule = ContactRule::OpenPart;
    let grower = Grower::new(crack, model, limits, rule, start).map_err(Trouble::refused)?;
    Ok(grower.life(&LoadSequence::constant(cycle).map_err(Trouble::refused)?))
}

/// A crack at a straight edge, under uniform stress.
fn edge_crack() -> Result<StressIntensity, Trouble> {
    let geometry = CrackGeometry::new(STRAIGHT, CrackSides::One).map_err(Trouble::refused)?;
    let flat = Profile::new(vec![0.0, 21.0 * STRAIGHT], vec![1.0, 1.0]);
    Ok(StressIntensity::new(geometry, flat))
}

/// Paris's law at an edge crack.
fn paris(table: &toml::Table, findings: &mut Findings) -> Result<(), Trouble> {
    let coefficient = number(table, "paris_coefficient")?;
    let cycle = StressCycle::with_ratio(number(table, "paris_stress")?, StressRatio(0.0));
    let ends = rows::<2>(table, "paris_lengths")?[0];
    for exponent in numbers(table, "paris_exponents")? {
        let law = GrowthLaw::Paris { coefficient, exponent, threshold: None };
        let life = life(&edge_crack()?, law, ends, cycle)?;
        findings.put(format!("Paris, exponent {exponent}"), life.cycles);
    }
    Ok(())
}

/// Two cracks at a hole through residual fields of rising size.
fn at_a_hole(table: &toml::Table, findings: &mut Findings) -> Result<(), Trouble> {
    let radius = number(table, "radius")?;
    let geometry = CrackGeometry::new(radius, CrackSides::Two).map_err(Trouble::refused)?;
    let pull = sampled(radius, |r| Ok::<_, Trouble>(1.0 + 0.5 * r.powi(-2) + 1.5 * r.powi(-4)))?;
    let ratio = StressRatio(number(table, "load_ratio")?);
    let cycle = StressCycle::with_ratio(number(table, "stress")?, ratio);
    let law = GrowthLaw::Walker {
        coefficient: number(table, "walker_coefficient")?,
        exponent: number(table, "walker_exponent")?,
        gamma: number(table, "walker_gamma")?,
        threshold: None,
    };
    let mut picture = chart("Crack length against cycles", "Cycles", "Crack length (mm)");
    for size in numbers(table, "residual_sizes")? {
        let field = sampled(radius, |r| Ok::<_, Trouble>(size * wall(r)))?;
        let crack = StressIntensity::new(geometry, pull.clone()).with_residual(field);
        let life = life(&crack, law, rows::<2>(table, "lengths")?[0], cycle)?;
        findings.put(format!("cycles, Y {size}"), life.cycles);
        findings.put(format!("last length, Y {size}"), life.end.length());
        let points = life.curve.iter().map(|point| [point.cycles, point.length]).collect();
        picture.curves.push(theory(&format!("Y = {size} MPa"), points));
    }
    findings.chart("length", picture);
    Ok(())
}

/// Residual compression that grows inward holds an edge crack.
fn arrest(table: &toml::Table, findings: &mut Findings) -> Result<(), Trouble> {
    let slope = number(table, "arrest_slope")?;
    let reach = 100.0;
    let crack =
        edge_crack()?.with_residual(Profile::new(vec![0.0, reach], vec![0.0, -slope * reach]));
    let threshold = Some(number(table, "arrest_threshold")?);
    let law = GrowthLaw::Paris {
        coefficient: number(table, "paris_coefficient")?,
        exponent: 3.0,
        threshold,
    };
    let stress = number(table, "paris_stress")?;
    let start = number(table, "arrest_start")?;
    let cycle = |stress| StressCycle::with_ratio(stress, StressRatio(0.0));
    let life = grown(&crack, law, 1e9, start, cycle(stress))?;
    let LifeEnd::Arrest { length } = life.end else { return Ok(()) };
    findings.put("arrest", length);
    let tip = crack.at(length).map_err(Trouble::refused)?;
    let range = tip.cycle(&cycle(stress), ContactRule::OpenPart).range.0 / ROOT_METRE;
    findings.put("range at the arrest", range);
    let small = number(table, "arrest_small_stress")?;
    let still = grown(&crack, law, 1e9, start, cycle(small))?;
    if matches!(still.end, LifeEnd::Arrest { .. }) {
        findings.put("cycles of a stress that is too small", still.cycles);
        findings.put("growth under it", still.end.length() - start);
    }
    Ok(())
}

/// Counts by range, and their sum, so that no row too many goes unseen.
fn counts(name: &str, cycles: &[CountedCycle], findings: &mut Findings) {
    for (range, count) in rainflow::by_range(cycles) {
        findings.put(format!("{name}: range {}", range.0), count);
    }
    findings.put(format!("{name}: all"), cycles.iter().map(|cycle| cycle.count).sum());
}

/// Growth laws of the library beside measured rates.
fn measured(bench: &Bench<'_>, findings: &mut Findings) -> Result<(), Trouble> {
    let ratio = bench.number("measured_ratio")?;
    for (key, alloy) in [("plate_7075", "7075-T651 plate"), ("plate_2024", "2024-T351 plate")] {
        let models = constants::growth(alloy).map_err(Trouble::refused)?;
        let law = &models.first().ok_or_else(|| Trouble::missing("growth law"))?.law;
        for range in bench.numbers(key)? {
            let size = range * ROOT_METRE;
            let tip = IntensityCycle {
                maximum: size / (1.0 - ratio),
                minimum: ratio * size / (1.0 - ratio),
                range: IntensityRange(size),
                ratio: StressRatio(ratio),
                state: CrackState::Open,
            };
            // The length matters to a threshold alone, and these are far above it.
            findings.put(format!("{alloy}, {range}"), law.growth(&tip, 5.0).rate() / 1000.0);
        }
    }
    Ok(())
}
