//! The closure-based law over a sequence for a crack without a residual field: its stress intensities are in proportion to
//! the stress, so that the ratio of a cycle is that of its stresses, whatever the size of the crack.
//!
//! Two powers are left for each block, read from cubics, and cycles below the threshold are the last of a list.

use crate::fatigue::closure::{Closure, LoadTerms};
use crate::fatigue::growth::{METRE, ROOT_METRE};
use crate::fatigue::sequence::Block;
use crate::numeric::power::Power;

/// The blocks of a sequence under one law.
#[derive(Clone, Debug)]
pub(super) struct InProportion {
    law: Closure,
    near_threshold: Power,
    near_toughness: Power,
    /// The terms of all blocks, by rising threshold; rates are those of all their cycles.
    terms: Vec<LoadTerms>,
    /// Largest of their toughness terms.
    most: f64,
}

impl InProportion {
    /// `None` where the exponents are beyond what the cubics are for.
    pub(super) fn new(law: &Closure, blocks: &[Block]) -> Option<Self> {
        let near_threshold = Power::new(law.threshold_power)?;
        let near_toughness = Power::new(-law.toughness_power)?;
        // A crack that no stress opens does not grow.
        let opening = blocks.iter().filter(|block| block.cycle.maximum() > 0.0);
        let mut terms: Vec<LoadTerms> = opening
            .map(|block| {
                let terms = law.of_load(block.cycle.maximum(), block.cycle.minimum());
                LoadTerms { rate: block.count * terms.rate, ..terms }
            })
            .collect();
        terms.sort_by(|a, b| a.threshold.total_cmp(&b.threshold));
        let most = terms.iter().map(|terms| terms.toughness).fold(0.0, f64::max);
        Some(Self { law: *law, near_threshold, near_toughness, terms, most })
    }

    /// Growth of a tip in one pass, mm: of a crack of this length, mm, with `k` √mm above zero. `None` where a cycle reaches
    /// the toughness, or a term is no number.
    pub(super) fn growth(&self, length: f64, k: f64) -> Option<f64> {
        let k = k / ROOT_METRE;
        let [threshold, power] = self.law.at_crack(k, length / METRE);
        let growing = self.terms.partition_point(|terms| threshold * terms.threshold < 1.0);
        let stable = k * self.most < 1.0 && threshold.is_finite();
        let one = |terms: &LoadTerms| {
            let range = self.near_threshold.of(1.0 - threshold * terms.threshold);
            terms.rate * range * self.near_toughness.of(1.0 - k * terms.toughness)
        };
        // The sum of none, by `sum`, would be −0.
        let sum = || power * self.terms[..growing].iter().map(one).fold(0.0, |sum, one| sum + one);
        stable.then(sum).filter(|sum| sum.is_finite()).map(|rate| METRE * rate)
    }
}
