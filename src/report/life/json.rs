//! `life.json`: every number of the answer, in the units of the case.
//!
//! A life without an end is `null` beside `"ends": "arrest"`. Key names are an interface.

use serde_json::{Value, json};

use crate::fatigue::assessment::{Assessed, Comparison, CrackOrigin};
use crate::fatigue::initiation::{EdgeInitiation, UNCERTAINTY};
use crate::fatigue::inspection::{NoPartInspection, PartInspection};
use crate::fatigue::origin::Origin;
use crate::fatigue::strain_life::Initiation;
use crate::report::cautions::CAUTIONS;
use crate::report::json::pretty;
use crate::report::life::corner_data::{self, finite as number};
use crate::report::life::csv::COLUMNS;
use crate::report::life::outside::{DECIDE, OUTSIDE};
use crate::report::life::rows::{self, origin_name, part_plans, rule_name, source_name};
use crate::report::life::stands::{flags, law};
use crate::report::life::text::headline;
use crate::study::lives::{LifeReport, Trade};
use crate::units::Units;
use crate::units::quantity::Quantity;

/// Version of the keys.
pub(super) const SCHEMA_VERSION: u32 = 2;

/// The file, ended by a line feed.
///
/// # Errors
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(report: &LifeReport) -> Result<String, serde_json::Error> {
    let units = report.units;
    let ground = &report.ground;
    let stress = |value: f64| number(Quantity::Stress.at_border(value, units));
    let length = |value: f64| number(Quantity::Length.at_border(value, units));
    let value = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": report.title,
        "case_sha256": report.case_sha256,
        "units": {
            "length": units.length_name(),
            "stress": units.stress_name(),
            "stress_intensity": Quantity::Intensity.unit(units),
            "growth": Quantity::Growth.unit(units),
        },
        "material": report.material_name,
        "residual_state": report.stage,
        "load": load(report, &stress),
        "initial_flaw": length(ground.initial),
        "growth_law": {
            "law": ground.model.law.name(),
            "words": law(&ground.model.law),
            "origin": origin(&ground.model.origin),
        },
        "strain_life_origin": ground.strain_life.as_ref().map(|model| origin(&model.origin)),
        "toughness": number(Quantity::Intensity.at_border(ground.limits.toughness, units)),
        "toughness_origin": report.toughness_words,
        "net_section_stress": ground.limits.yield_stress.map(stress),
        "plain_cycles": number(report.plain_life()),
        "expanded_cycles": number(report.expanded_life()),
        "life_improvement_factor": report.improvement().map(number),
        "governing": {
            "hole": report.governing.place.hole,
            "angle_deg": report.governing.place.angle_deg,
            "origin": origin_name(report.governing.place.origin),
        },
        "headline": headline(report),
        "relaxation": report.relaxation.map(|run| json!({
            "cycles": run.cycles,
            "yielded": run.yielded,
            "settled": run.settled,
        })),
        "credit": { "flaw": length(report.credit.flaw), "plain_cycles": number(report.credit.cycles) },
        "shares_of_residual_stress": report.knock_downs.iter().map(|one| json!({
            "share": number(one.share),
            "expanded_cycles": number(one.cycles),
        })).collect::<Vec<_>>(),
        "inspection": part_plans(report).into_iter()
            .filter(|_| ground.detectable.is_some())
            .map(|(hole, plan)| inspection(report, hole, plan))
            .collect::<Vec<_>>(),
        "places": report.comparisons.iter().map(|one| place(report, one)).collect::<Vec<_>>(),
        "hardening_bounds": report.bounds.iter().map(|bound| json!({
            "hardening": bound.hardening,
            "worst": place(report, &bound.worst),
        })).collect::<Vec<_>>(),
        "corner_crack": corner_data::value(report),
        "trade": trade(&report.trade, &length),
        "initiation_note": UNCERTAINTY,
        "finite_element_loop": report.loop_words,
        "columns": {
            "life.csv": columns(&COLUMNS, units),
            "corner.csv": columns(&corner_data::COLUMNS, units),
        },
        "flags": flags(report),
        "warnings": report.warnings,
        "outside": OUTSIDE,
        "cautions": CAUTIONS.iter().chain([&DECIDE]).collect::<Vec<_>>(),
    });
    pretty(&value)
}

/// The load: its highest stress, its course and its blocks.
fn load(report: &LifeReport, stress: &impl Fn(f64) -> Value) -> Value {
    let blocks = report.ground.sequence.blocks().iter().map(|block| {
        json!({
            "highest": stress(block.cycle.maximum()),
            "lowest": stress(block.cycle.minimum()),
            "cycles": number(block.count),
        })
    });
    json!({
        "highest_stress": stress(report.tension),
        "course": report.load_words,
        "blocks": blocks.collect::<Vec<_>>(),
    })
}

/// Unit and meaning of every column of a table, by name.
fn columns(of: &[(&str, Quantity, &str)], units: Units) -> serde_json::Map<String, Value> {
    of.iter()
        .map(|(name, quantity, meaning)| {
            ((*name).to_owned(), json!({ "unit": quantity.unit(units), "meaning": meaning }))
        })
        .collect()
}

fn origin(origin: &Origin) -> Value {
    json!({
        "product": origin.product,
        "source": origin.source,
        "reliability": origin.reliability.to_string(),
        "from_memory": origin.from_memory(),
        "another_product": origin.stand_in,
    })
}

fn place(report: &LifeReport, at: &Comparison) -> Value {
    let units = report.units;
    let length = |value: f64| number(Quantity::Length.at_border(value, units));
    let edge = |profile: &crate::numeric::profile::Profile| profile.values().first().copied();
    json!({
        "hole": at.place.hole,
        "angle_deg": at.place.angle_deg,
        "origin": origin_name(at.place.origin),
        "radius": (at.place.origin == CrackOrigin::Hole).then(|| length(at.place.geometry.radius())),
        "edge_ahead": at.place.geometry.ahead().map(length),
        "edge_behind": at.place.geometry.behind().map(length),
        "edge_hoop_over_remote": edge(&at.place.load_hoop).map(number),
        "worked_edge_hoop": at.place.worked_hoop.as_ref().and_then(edge)
            .map(|stress| number(Quantity::Stress.at_border(stress, units))),
        "residual_edge_hoop": edge(&at.place.residual_hoop)
            .map(|stress| number(Quantity::Stress.at_border(stress, units))),
        "plain": assessed(report, &at.plain),
        "expanded": assessed(report, &at.expanded),
        "life_improvement_factor": at.improvement().map(number),
    })
}

fn inspection(
    report: &LifeReport,
    hole: &str,
    plan: Result<PartInspection, NoPartInspection>,
) -> Value {
    let at = |index: usize| rows::place(&report.comparisons[index]);
    match plan {
        Ok(plan) => json!({
            "hole": hole,
            "first_inspection": number(plan.first.1.first),
            "first_inspection_at": at(plan.first.0),
            "interval": number(plan.interval.1.interval),
            "interval_at": at(plan.interval.0),
        }),
        Err((index, error)) => json!({ "hole": hole, "none": error.to_string(), "at": at(index) }),
    }
}

fn assessed(report: &LifeReport, one: &Assessed) -> Value {
    let length = |value: f64| number(Quantity::Length.at_border(value, report.units));
    let end = serde_json::to_value(one.life.end).unwrap_or_default();
    let ends = end.as_object().and_then(|map| map.keys().next().cloned());
    let plan = one.inspection.as_ref().map(|found| match found {
        Ok(plan) => json!({
            "detectable": length(plan.detectable),
            "factor": number(plan.factor),
            "detectable_at_cycles": number(plan.detectable_at),
            "cycles_left": number(plan.left),
            "first_inspection": number(plan.first),
            "interval": number(plan.interval),
        }),
        Err(error) => json!({ "none": error.to_string() }),
    });
    json!({
        "cycles": number(one.life.cycles_borne()),
        "ends": ends,
        "last_length": length(one.life.end.length()),
        "inspection": plan,
        "initiation": one.initiation.iter().map(|found| initiation(report, found)).collect::<Vec<_>>(),
    })
}

fn initiation(report: &LifeReport, found: &EdgeInitiation) -> Value {
    let stress = |value: f64| number(Quantity::Stress.at_border(value, report.units));
    let cycles = match found.initiation {
        Initiation::Cycles(cycles) => number(cycles),
        Initiation::Immediate => number(0.0),
        Initiation::Endless => Value::Null,
    };
    json!({
        "source": source_name(found.source),
        "rule": rule_name(found.rule),
        "cycles": cycles,
        "strain_amplitude": number(found.local.strain_amplitude),
        "highest_stress": stress(found.local.maximum),
        "mean_stress": stress(found.local.mean()),
    })
}

fn trade(trade: &Trade, length: &impl Fn(f64) -> Value) -> Value {
    let options: Vec<Value> = trade
        .options
        .iter()
        .map(|option| match &option.answer {
            Ok(found) => json!({
                "material": option.material,
                "stress_factor": number(found.stress_factor),
                "thickness_ratio": number(found.thickness_ratio),
                "thickness": length(found.thickness_ratio * trade.thickness),
                "mass_ratio": option.mass_known.then(|| number(found.mass_ratio)),
                "growth_origin": origin(&found.origin),
            }),
            Err(error) => json!({ "material": option.material, "none": error.to_string() }),
        })
        .collect();
    json!({
        "target_cycles": number(trade.target),
        "target": trade.target_words,
        "plate_mass_g": trade.mass.map(number),
        "thickness": length(trade.thickness),
        "plain_holes": options,
        "yielding_begins_at_stress_factor": trade.onset.map(number),
        "stress_rise_with_expansion": trade.rise.as_ref().ok().map(|rise| number(*rise)),
        "life_against_stress": trade.curve.iter().map(|point| json!({
            "stress_factor": number(point.factor),
            "plain_cycles": number(point.plain),
            "expanded_cycles": number(point.expanded),
        })).collect::<Vec<_>>(),
    })
}
