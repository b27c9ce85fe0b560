//! `shop.json` and `holes.csv`.

use serde_json::{Map, Value, json};

use crate::case::shop::{Shop, Size};
use crate::report::cautions::CAUTIONS;
use crate::report::escape::cell;
use crate::report::json::pretty;
use crate::report::number::{rounded, text};
use crate::report::shop::rows::sentences;
use crate::study::shop::causes::Cause;
use crate::study::shop::judge::{Alarm, Judged};
use crate::study::shop::output::{Sizes, Values};
use crate::study::shop::{Estimate, Lot, OUTPUTS, Output, Series, Surrogate};
use crate::units::quantity::Quantity;

/// Version of the keys and columns.
const SCHEMA_VERSION: u32 = 1;

/// Columns of `holes.csv`; lengths and stresses in the units of the case, expansions as fractions.
const HEAD: &str = "hole,applied_expansion,applied_error,retained_expansion,retained_error,expected_expanded,\
    expected_error,expanded_less_expected,normalised_innovation_squared,edge_hoop,edge_hoop_low_90,edge_hoop_high_90,\
    edge_hoop_low_bracket,edge_hoop_high_bracket,compression_depth,depth_low_90,depth_high_90,depth_low_bracket,\
    depth_high_bracket,suspect,odd_readings,cause,cause_share,second_cause,second_share,expansion_if_so\n";

/// `holes.csv`: a row a hole, in the order of the work; empty cells where there is no number.
#[must_use]
pub fn csv(shop: &Shop, lot: &Lot) -> String {
    let mut lines = String::from(HEAD);
    let length = |mm: f64| text(Quantity::Length.at_border(mm, shop.units));
    let stress = |mpa: f64| text(Quantity::Stress.at_border(mpa, shop.units));
    let five = |estimate: Option<Estimate>, show: &dyn Fn(f64) -> String| -> Vec<String> {
        let Some(one) = estimate else { return vec![String::new(); 5] };
        [one.value, one.interval[0], one.interval[1], one.with_bracket[0], one.with_bracket[1]]
            .map(show)
            .to_vec()
    };
    for ((row, hole), (causes, _)) in shop.holes.iter().zip(&lot.holes).zip(&lot.causes) {
        let pair = |pair: Option<[f64; 2]>| pair.map_or_else(Default::default, |p| p.map(text));
        let [retained, retained_error] = pair(hole.retained);
        let [by, squared] = hole
            .innovation
            .map_or_else(Default::default, |[by, squared]| [length(by), text(squared)]);
        let odd: Vec<&str> = hole.alarms.iter().map(|alarm| alarm.gauge.key()).collect();
        let named = |k: usize| {
            let cause = causes.get(k);
            [
                cause.map_or_else(String::new, |cause| cause.kind.words().to_owned()),
                cause.map_or_else(String::new, |cause| text(cause.share)),
            ]
        };
        let mut cells = vec![
            cell(&row.name).into_owned(),
            text(hole.expansion[0]),
            text(hole.expansion[1]),
            retained,
            retained_error,
            length(hole.expected.value),
            length(hole.expected.error),
            by,
            squared,
        ];
        cells.extend(five(hole.edge, &stress));
        cells.extend(five(hole.depth, &length));
        cells.push(if odd.is_empty() { "no" } else { "yes" }.to_owned());
        cells.push(odd.join(" "));
        cells.extend(named(0));
        cells.extend(named(1));
        cells.push(causes.first().map_or_else(String::new, |best| text(best.expansion)));
        lines.push_str(&cells.join(","));
        lines.push('\n');
    }
    lines
}

struct Out<'a> {
    shop: &'a Shop,
}

impl Out<'_> {
    fn length(&self, mm: f64) -> f64 {
        rounded(Quantity::Length.at_border(mm, self.shop.units))
    }

    fn value(&self, output: Output, value: f64) -> f64 {
        match output {
            Output::Retained => rounded(value),
            Output::Depth => self.length(value),
            _ => rounded(Quantity::Stress.at_border(value, self.shop.units)),
        }
    }

    fn size(&self, size: Size) -> Value {
        json!({ "limits": size.limits.map(|mm| self.length(mm)), "standard_error": self.length(size.plus_minus) })
    }

    fn sizes(&self, sizes: &Sizes) -> Value {
        json!({
            "starting_diameter": self.length(sizes.start),
            "acting_diameter": self.length(sizes.acting),
            "reamed": sizes.reamed.map(|mm| self.length(mm)),
        })
    }

    fn values(&self, values: &Values) -> Value {
        let named = OUTPUTS.iter().zip(values).map(|(output, value)| {
            (output.key().to_owned(), json!(value.map(|value| self.value(*output, value))))
        });
        Value::Object(named.collect::<Map<String, Value>>())
    }

    fn surrogate(&self, surrogate: &Surrogate) -> Value {
        let errors = OUTPUTS.iter().zip(surrogate.deviations).map(|(output, deviation)| {
            let both = deviation.map(|one| {
                json!({ "root_mean_square": self.value(*output, one.rms),
                        "largest": self.value(*output, one.largest) })
            });
            (output.key().to_owned(), json!(both))
        });
        let checks = surrogate.checks.iter().map(|(sizes, own, solved)| {
            json!({ "sizes": self.sizes(sizes), "surrogate": self.values(own), "solved": self.values(solved) })
        });
        json!({
            "applied_expansion": surrogate.domain.expansion.map(rounded),
            "reamed_over_start": surrogate.domain.reamed.map(|range| range.map(rounded)),
            "solutions": surrogate.solutions,
            "errors": errors.collect::<Map<String, Value>>(),
            "checks": checks.collect::<Vec<_>>(),
        })
    }

    fn alarm(&self, alarm: &Alarm) -> Value {
        json!({ "reading": alarm.gauge.key(), "by": self.length(alarm.by),
                "deviations": rounded(alarm.deviations) })
    }

    fn cause(&self, cause: &Cause) -> Value {
        json!({
            "kind": cause.kind.words(),
            "share": rounded(cause.share),
            "applied_expansion_if_so": rounded(cause.expansion),
            "other_hole": cause.partner.map(|k| &self.shop.holes[k].name),
        })
    }

    fn suspect(&self, k: usize, hole: &Judged, lot: &Lot) -> Value {
        let (causes, several) = &lot.causes[k];
        json!({
            "hole": self.shop.holes[k].name,
            "odd": hole.alarms.iter().map(|one| self.alarm(one)).collect::<Vec<_>>(),
            "causes": causes.iter().map(|one| self.cause(one)).collect::<Vec<_>>(),
            "one_cause_explains_all": !several,
        })
    }

    fn series(&self, series: &Series) -> Value {
        let value = |value: f64| if series.is_length { self.length(value) } else { rounded(value) };
        let names = |all: &[usize]| -> Vec<&String> {
            all.iter().map(|k| &self.shop.holes[*k].name).collect()
        };
        json!({
            "name": series.key,
            "values": series.values.len(),
            "mean": value(series.chart.centre),
            "limits": series.chart.limits.map(value),
            "mean_moving_range": value(series.chart.mean_range),
            "moving_range_limit": value(series.chart.range_limit),
            "beyond_the_limits": names(&series.out),
            "in_runs": names(&series.runs),
        })
    }
}

/// `shop.json`: the lot in the units of the case; every hole is in `holes.csv`.
///
/// # Errors
///
/// Whatever the JSON writer says; with these types it has nothing to say.
pub fn json(shop: &Shop, surrogate: &Surrogate, lot: &Lot) -> Result<String, serde_json::Error> {
    let out = Out { shop };
    let units = shop.units;
    let offset = &lot.offset;
    let value = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "complete": true,
        "title": shop.title,
        "shop_sha256": shop.sha256,
        "case_sha256": shop.base.sha256,
        "holes_sha256": shop.table_sha256,
        "units": { "name": units.name(), "length": units.length_name(), "stress": units.stress_name() },
        "holes": lot.holes.len(),
        "false_alarms": shop.false_alarms,
        "limits": {
            "starting_diameter": out.size(shop.start),
            "mandrel": out.size(shop.mandrel),
            "sleeve": shop.sleeve.map(|size| out.size(size)),
            "reamed": shop.reamed.map(|size| out.size(size)),
            "expanded_standard_error": out.length(shop.expanded),
        },
        "suspects": lot.suspects().map(|k| out.suspect(k, &lot.holes[k], lot)).collect::<Vec<_>>(),
        "offset_of_the_lot": {
            "median": out.length(offset.value),
            "standard_error": out.length(offset.error),
            "of_the_model": out.length(offset.model),
            "readings": offset.readings,
            "taken_off": offset.taken,
            "odd": offset.odd,
        },
        "control_charts": lot.series.iter().map(|one| out.series(one)).collect::<Vec<_>>(),
        "surrogate": out.surrogate(surrogate),
        "said": sentences(shop, surrogate, lot),
        "cautions": CAUTIONS,
    });
    pretty(&value)
}
