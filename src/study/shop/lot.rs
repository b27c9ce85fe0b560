//! All holes of a lot: what they have in common, the odd ones, and control charts.

use rayon::prelude::*;

use crate::case::shop::Shop;
use crate::fit::control_chart::ControlChart;
use crate::fit::statistics::normal_passed_with;
use crate::numeric::random::percentile;
use crate::study::shop::causes::{Cause, Other, causes};
use crate::study::shop::domain::nominal;
use crate::study::shop::judge::{Bench, Judged, difference, judge};
use crate::study::shop::output::{Output, Sizes};
use crate::study::shop::readings::Gauge;
use crate::study::shop::surrogate::Surrogate;

/// Holes of a lot from which on its common offset is taken from its readings.
const ENOUGH: usize = 20;

/// Odd expanded readings that are compared with each other, at most.
const MOST_SWAPS: usize = 1000;

/// Standard error of the median over that of the mean of normal numbers, `√(π/2)`.
const MEDIAN: f64 = 1.253_314_137;

/// By how much the expanded diameters of all holes differ from the model, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Offset {
    /// Median of read less expected.
    pub value: f64,
    /// Its standard error.
    pub error: f64,
    /// Standard uncertainty that the model has beforehand: its own, and the width of the bounding laws over √12.
    pub model: f64,
    /// Readings that it is taken from; when they are too few, it is not taken off.
    pub readings: usize,
    /// Whether it is taken off.
    pub taken: bool,
    /// Whether it is larger than model and chance explain.
    pub odd: bool,
}

/// Values of a lot in the order of the work, with their control chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Name in files.
    pub key: &'static str,
    /// In words.
    pub words: &'static str,
    /// Whether it is a length in mm; else a fraction.
    pub is_length: bool,
    /// Index of the hole and value.
    pub values: Vec<(usize, f64)>,
    /// The chart, of the holes that are no suspects.
    pub chart: ControlChart,
    /// Indices of holes beyond its limits, suspects too.
    pub out: Vec<usize>,
    /// Indices of holes at the end of a run on one side.
    pub runs: Vec<usize>,
}

/// A lot, judged.
#[derive(Clone, Debug)]
pub struct Lot {
    /// Every hole, in the order of the work.
    pub holes: Vec<Judged>,
    /// Causes that each may have had, for holes with alarms; and whether one thing alone does not explain it.
    pub causes: Vec<(Vec<Cause>, bool)>,
    /// The offset that they have in common.
    pub offset: Offset,
    /// The control charts that have two values or more.
    pub series: Vec<Series>,
}

impl Lot {
    /// Indices of the holes with alarms.
    pub fn suspects(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.holes.len()).filter(|k| !self.holes[*k].alarms.is_empty())
    }
}

/// Judges all holes of `shop`.
#[must_use]
pub fn judge_lot(shop: &Shop, surrogate: &Surrogate) -> Lot {
    let model = model_error(shop, surrogate);
    let bench = |offset: [f64; 2]| Bench { shop, surrogate, offset };
    let first = bench([0.0, model]);
    let by: Vec<f64> = shop.holes.par_iter().filter_map(|row| difference(&first, row)).collect();
    let offset = offset(shop, by, model);
    let bench = bench(if offset.taken { [offset.value, offset.error] } else { [0.0, model] });
    let holes: Vec<Judged> = shop.holes.par_iter().map(|row| judge(&bench, row)).collect();
    let others: Vec<Other> = holes
        .iter()
        .enumerate()
        .filter(|(_, hole)| hole.alarms.iter().any(|alarm| alarm.gauge == Gauge::Expanded))
        .filter_map(|(index, hole)| {
            Some(Other { index, expected: hole.expected, read: hole.readings.expanded? })
        })
        .take(MOST_SWAPS)
        .collect();
    let causes = holes
        .par_iter()
        .enumerate()
        .map(|(index, hole)| causes(&bench, hole, index, &others))
        .collect();
    let series = series(&holes);
    Lot { holes, causes, offset, series }
}

/// Standard uncertainty of the expanded diameter of the model, by the law of hardening and by itself, mm.
fn model_error(shop: &Shop, surrogate: &Surrogate) -> f64 {
    let start = shop.start.middle();
    let sizes = Sizes {
        start,
        acting: start * (1.0 + nominal(shop)),
        reamed: shop.reamed.map(|size| size.middle()),
    };
    let [low, high] = surrogate.bracket(Output::Retained, &sizes);
    (start * (high - low) / 12.0_f64.sqrt()).hypot(shop.model)
}

/// The common offset of the differences `by`: the median, which a few odd holes do not move.
fn offset(shop: &Shop, mut by: Vec<f64>, model: f64) -> Offset {
    by.sort_by(f64::total_cmp);
    let readings = by.len();
    let value = percentile(&by, 0.5).unwrap_or(0.0);
    // Scatter by the middle half, which is 1.349 standard deviations of normal numbers wide.
    let [low, high] = [0.25, 0.75].map(|share| percentile(&by, share).unwrap_or(0.0));
    let error = MEDIAN * (high - low) / 1.349 / (readings.max(1) as f64).sqrt();
    let taken = readings >= ENOUGH;
    let passed = normal_passed_with(0.5 * shop.false_alarms) * model.hypot(error);
    Offset { value, error, model, readings, taken, odd: taken && value.abs() > passed }
}

fn series(holes: &[Judged]) -> Vec<Series> {
    type Value = fn(&Judged) -> Option<f64>;
    let kinds: [(&str, &str, bool, Value); 3] = [
        ("applied-expansion", "applied expansion", false, |hole| {
            let read = |k: usize| hole.readings.sizes[k].is_none_or(|known| known.read);
            // Of sizes that nobody read there is nothing to chart.
            (read(0) || read(1)).then_some(hole.expansion[0])
        }),
        ("retained-expansion", "retained expansion", false, |hole| hole.retained.map(|r| r[0])),
        ("expanded-less-expected", "expanded diameter less expected", true, |hole| {
            hole.innovation.map(|[by, _]| by)
        }),
    ];
    let mut found = Vec::new();
    for (key, words, is_length, value) in kinds {
        let values: Vec<(usize, f64)> =
            holes.iter().enumerate().filter_map(|(k, hole)| Some((k, value(hole)?))).collect();
        let sound: Vec<(usize, f64)> =
            values.iter().filter(|(k, _)| holes[*k].alarms.is_empty()).copied().collect();
        let plain: Vec<f64> = sound.iter().map(|(_, value)| *value).collect();
        let Some(chart) = ControlChart::new(&plain) else { continue };
        let out = values.iter().filter(|(_, value)| chart.is_out(*value)).map(|(k, _)| *k);
        let out = out.collect();
        let runs = chart.runs(&plain).into_iter().map(|k| sound[k].0).collect();
        found.push(Series { key, words, is_length, values, chart, out, runs });
    }
    found
}
