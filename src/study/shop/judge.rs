//! One hole by its readings.
//!
//! Uncertainties add up as `u² = Σ (∂f/∂xᵢ)² u²(xᵢ)` (JCGM 100:2008, 5.1.2, from memory), with the error of the
//! surrogate as one more part. The expanded diameter is compared with that of the model by the normalised innovation
//! squared, `ε = ν²/S`, which is χ² of one degree of freedom when all is as stated (Y. Bar-Shalom, X. R. Li,
//! T. Kirubarajan, Estimation with applications to tracking and navigation, 2001, 5.4, from memory). A size
//! that was read is compared with its limits; it is called beyond them when its reading passes them by more than chance
//! allows for a size right at the limit. The share of false alarms is divided among the readings of the hole, so that
//! it is not passed whichever of them depend on each other (inequality of Bonferroni).

use crate::case::shop::{HoleRow, Shop};
use crate::fit::statistics::{normal_passed_with, normal_quantile};
use crate::study::shop::output::{Output, Sizes};
use crate::study::shop::readings::{Gauge, Readings, SIZES};
use crate::study::shop::surrogate::Surrogate;

/// Share of how far the retained expansion is extrapolated that it may be off.
const EXTRAPOLATED: f64 = 0.1;

/// A number of a hole with its 90 % interval. Stresses in MPa, lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Value.
    pub value: f64,
    /// Standard uncertainty by gauges and surrogate.
    pub error: f64,
    /// Ends of the 90 % interval by gauges and surrogate.
    pub interval: [f64; 2],
    /// The same, widened by the bounding hardening laws.
    pub with_bracket: [f64; 2],
}

/// A reading that is not as it should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alarm {
    /// Which.
    pub gauge: Gauge,
    /// By how much, mm: beyond its limit, or from the model; above zero when it is too large.
    pub by: f64,
    /// The same over its standard uncertainty.
    pub deviations: f64,
}

/// The expanded diameter that the sizes of a hole let expect, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// Value.
    pub value: f64,
    /// Standard uncertainty without that of the reading.
    pub error: f64,
    /// Change per change of the acting tool diameter.
    pub slope: f64,
}

/// A hole by its readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The readings.
    pub readings: Readings,
    /// Applied expansion and its standard uncertainty, fractions.
    pub expansion: [f64; 2],
    /// Retained expansion as measured and its standard uncertainty, fractions.
    pub retained: Option<[f64; 2]>,
    /// Expanded diameter as the model has it.
    pub expected: Expected,
    /// Read less expected expanded diameter, mm, and the normalised innovation squared.
    pub innovation: Option<[f64; 2]>,
    /// Residual hoop stress at the edge; `None` where the surrogate does not hold.
    pub edge: Option<Estimate>,
    /// Depth of compression from the edge.
    pub depth: Option<Estimate>,
    /// Whether the surrogate holds for its sizes.
    pub inside: bool,
    /// Readings that are not as they should be.
    pub alarms: Vec<Alarm>,
}

/// Everything that holes are judged with.
#[derive(Clone, Copy, Debug)]
pub struct Bench<'a> {
    /// Limits and gauges.
    pub shop: &'a Shop,
    /// The model.
    pub surrogate: &'a Surrogate,
    /// By how much expanded diameters of the whole lot differ from the model, and its standard uncertainty, mm.
    pub offset: [f64; 2],
}

impl Bench<'_> {
    /// Standard error of the surrogate for `output`.
    fn surrogate_error(&self, output: Output) -> f64 {
        self.surrogate.deviations[output as usize].map_or(0.0, |deviation| deviation.rms)
    }

    /// The expanded diameter that `sizes` with these uncertainties let expect.
    #[must_use]
    pub fn expected(&self, sizes: &Sizes, errors: [f64; 4]) -> Expected {
        let at = |start: f64, acting: f64| self.surrogate.expanded(start, acting);
        let [of_start, mandrel, sleeve, _] = errors;
        let of_tool = mandrel.hypot(2.0 * sleeve);
        let step = 1e-4 * sizes.acting;
        let slope = (at(sizes.start, sizes.acting + step) - at(sizes.start, sizes.acting - step))
            / (2.0 * step);
        let by_start = 0.5
            * (at(sizes.start + of_start, sizes.acting) - at(sizes.start - of_start, sizes.acting));
        let [low, high] = self.surrogate.domain.expansion;
        let applied = sizes.expansion();
        let beyond = (low - applied).max(applied - high).max(0.0).min(low);
        let parts = [
            slope * of_tool,
            by_start,
            sizes.start * self.surrogate_error(Output::Retained),
            sizes.start * EXTRAPOLATED * beyond,
            self.offset[1],
        ];
        Expected {
            value: at(sizes.start, sizes.acting) + self.offset[0],
            error: parts.iter().map(|part| part * part).sum::<f64>().sqrt(),
            slope,
        }
    }

    /// A number of the residual state with its uncertainty.
    fn estimate(&self, output: Output, readings: &Readings) -> Option<Estimate> {
        let (values, errors) = (readings.values(), readings.errors());
        let at = |values: [f64; 4]| self.surrogate.at(output, &readings.as_sizes(values));
        let value = at(values)?;
        let mut squares = self.surrogate_error(output).powi(2);
        for (k, error) in errors.iter().enumerate().filter(|(_, error)| **error > 0.0) {
            let moved = |by: f64| {
                let mut moved = values;
                moved[k] += by * error;
                at(moved)
            };
            // At the border of the surrogate one side alone has a value.
            let part = match (moved(-1.0), moved(1.0)) {
                (Some(low), Some(high)) => 0.5 * (high - low),
                (Some(low), None) => value - low,
                (None, Some(high)) => high - value,
                (None, None) => return None,
            };
            squares += part * part;
        }
        let error = squares.sqrt();
        let half = normal_quantile() * error;
        let [down, up] = self.surrogate.bracket(output, &readings.as_sizes(values));
        Some(Estimate {
            value,
            error,
            interval: [value - half, value + half],
            with_bracket: [value + down - half, value + up + half],
        })
    }
}

/// The expanded diameter as the model has it, and read less expected with the normalised innovation squared.
fn compared(bench: &Bench<'_>, readings: &Readings) -> (Expected, Option<[f64; 2]>) {
    let expected = bench.expected(&readings.as_sizes(readings.values()), readings.errors());
    let innovation = readings.expanded.map(|[read, error]| {
        let by = read - expected.value;
        [by, by * by / (error * error + expected.error * expected.error)]
    });
    (expected, innovation)
}

/// Read less expected diameter of the hole of `row`, mm; `None` when it was not read.
#[must_use]
pub fn difference(bench: &Bench<'_>, row: &HoleRow) -> Option<f64> {
    compared(bench, &Readings::new(bench.shop, row)).1.map(|[by, _]| by)
}

/// Judges the hole of `row`.
#[must_use]
pub fn judge(bench: &Bench<'_>, row: &HoleRow) -> Judged {
    let readings = Readings::new(bench.shop, row);
    let (values, errors) = (readings.values(), readings.errors());
    let sizes = readings.as_sizes(values);
    let [of_start, mandrel, sleeve, _] = errors;
    let of_tool = mandrel.hypot(2.0 * sleeve);
    let by_start = sizes.acting / sizes.start * of_start;
    let expansion = [sizes.expansion(), of_tool.hypot(by_start) / sizes.start];
    let retained = readings.expanded.map(|[read, error]| {
        [read / sizes.start - 1.0, error.hypot(read / sizes.start * of_start) / sizes.start]
    });
    let (expected, innovation) = compared(bench, &readings);
    let alarms = alarms(bench.shop.false_alarms, &readings, innovation);
    Judged {
        readings,
        expansion,
        retained,
        expected,
        innovation,
        edge: bench.estimate(Output::EdgeHoop, &readings),
        depth: bench.estimate(Output::Depth, &readings),
        inside: bench.surrogate.holds(&sizes),
        alarms,
    }
}

/// Readings that pass what chance allows.
fn alarms(share: f64, readings: &Readings, innovation: Option<[f64; 2]>) -> Vec<Alarm> {
    let read = || SIZES.iter().filter_map(|gauge| Some((*gauge, readings.size(*gauge)?)));
    let read = || read().filter(|(_, known)| known.read);
    let tests = read().count() + usize::from(innovation.is_some());
    if tests == 0 {
        return vec![];
    }
    let each = share / tests as f64;
    // A size is at one of its limits at most; the model may be passed either way.
    let (one_sided, two_sided) = (normal_passed_with(each), normal_passed_with(0.5 * each));
    let mut found: Vec<Alarm> = read()
        .map(|(gauge, known)| {
            let by = known.excess();
            Alarm { gauge, by, deviations: by / known.error }
        })
        .filter(|alarm| alarm.deviations.abs() > one_sided)
        .collect();
    if let Some([by, squared]) = innovation {
        let deviations = by.signum() * squared.sqrt();
        if deviations.abs() > two_sided {
            found.push(Alarm { gauge: Gauge::Expanded, by, deviations });
        }
    }
    found
}
