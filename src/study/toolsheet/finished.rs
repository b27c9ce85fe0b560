//! A finished tool sheet: limits, results and draws.

use crate::numeric::random::percentile;
use crate::study::toolsheet::beside::Beside;
use crate::study::toolsheet::chain::ChainSize;
use crate::study::toolsheet::limits::Limits;
use crate::study::toolsheet::outputs::Output;
use crate::study::toolsheet::sizes::Sizes;
use crate::study::toolsheet::solve::{Expanded, Found};
use crate::study::toolsheet::surrogate::Predicted;

/// The percentiles of a sheet.
pub const SHARES: [f64; 3] = [0.05, 0.50, 0.95];

/// Smallest, nominal and largest expansion that the limits allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Name.
    pub name: &'static str,
    /// Its sizes.
    pub sizes: Sizes,
    /// Results of the sizes.
    pub found: Found,
}

/// How well the surrogate meets solutions it has not seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The sizes that were drawn.
    pub sizes: Sizes,
    /// By the surrogate.
    pub predicted: Predicted,
    /// By a solution.
    pub found: Found,
}

/// A finished sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Finished {
    /// Limits of tools, holes and gauges.
    pub limits: Limits,
    /// The three sets of sizes.
    pub corners: [Corner; 3],
    /// The hole after the smallest tool in the smallest starting hole, and the largest in the largest.
    pub ends: [Expanded; 2],
    /// Plug that enters every hole that was expanded and none that was not; `None` when no diameter
    /// tells them apart.
    pub expanded_plug: Option<f64>,
    /// Answer of the surrogate for every draw, in the order drawn.
    pub drawn: Vec<Predicted>,
    /// The sizes drawn.
    pub sizes: Vec<Sizes>,
    /// The draws that were solved.
    pub held: Vec<Held>,
    /// The nominal sizes under other assumptions.
    pub beside: Vec<Beside>,
    /// The first size and the repair sizes after it; empty without any.
    pub chain: Vec<ChainSize>,
    /// Solutions behind the sheet.
    pub solutions: usize,
    /// Remarks for the reader.
    pub warnings: Vec<String>,
}

impl Finished {
    /// Smallest to largest diameter after expansion, over directions and limits, mm.
    #[must_use]
    pub fn expanded(&self) -> [f64; 2] {
        // With the tool the diameter grows nearly as fast as the tool itself, with the starting hole
        // a little too: none of the three sets of sizes is the end of the range.
        let all = self.corners.iter().map(|corner| corner.found.expanded).chain(self.ends);
        all.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], one| {
            [low.min(one.smallest), high.max(one.largest)]
        })
    }

    /// Sorted values of `output` over all draws; `None` when it has no surrogate.
    #[must_use]
    pub fn sorted(&self, output: Output) -> Option<Vec<f64>> {
        let mut values: Vec<f64> =
            self.drawn.iter().map(|one| one.get(output)).collect::<Option<_>>()?;
        values.sort_by(f64::total_cmp);
        Some(values)
    }

    /// The [`SHARES`] of `output`.
    #[must_use]
    pub fn percentiles(&self, output: Output) -> Option<[f64; 3]> {
        let sorted = self.sorted(output)?;
        let [low, middle, high] = SHARES.map(|share| percentile(&sorted, share));
        Some([low?, middle?, high?])
    }

    /// Largest error of the surrogate at the draws that were solved.
    #[must_use]
    pub fn error(&self, output: Output) -> Option<f64> {
        let error =
            |held: &Held| Some((held.predicted.get(output)? - held.found.get(output)?).abs());
        self.held.iter().map(error).try_fold(0.0, |most: f64, error| Some(most.max(error?)))
    }
}
