//! Growth in one pass of a sequence: a growth law summed over all blocks, for a crack of any size.
//!
//! Every law but the closure-based one is a product, since `1 − R = ΔK/K_max`:
//!
//! ```text
//!   da/dN = B ΔKᵖ h(K_max)      Paris   p = m,      h = 1
//!                               Walker  p = γ m,    h = K_max^((1−γ) m)
//!                               Forman  p = n − 1,  h = K_max/(K_c − K_max)
//! ```
//!
//! The open part of a cycle, which counts at `R = 0`, is the case `ΔK = K_max` of it. For a long sequence the
//! powers are read from cubics ([`Power`]), to 1e-8 of what [`GrowthLaw::growth`] says, and the sum asks nothing of a
//! block that a processor would have to guess: cycles of a spectrum come in no order.

mod in_proportion;
pub(crate) mod lines;

use std::cell::OnceCell;

use crate::fatigue::cycle::StressCycle;
use crate::fatigue::growth::{GrowthLaw, METRE, ROOT_METRE};
use crate::fatigue::intensity::{ContactRule, IntensityCycle};
use crate::fatigue::pass::in_proportion::InProportion;
use crate::fatigue::pass::lines::{Lines, TipsAt, higher};
use crate::fatigue::sequence::{Block, LoadSequence};
use crate::numeric::power::Power;

/// Blocks from which on the cubics are worth their making.
const LONG: usize = 8;

/// A stress intensity as good as none, MPa√mm.
const TINY: f64 = 1e-9;

/// One pass of a sequence under a growth law.
#[derive(Clone, Debug)]
pub(crate) struct Pass<'a> {
    blocks: &'a [Block],
    law: &'a GrowthLaw,
    rule: ContactRule,
    product: Option<Product>,
    /// Lowest and highest stress, MPa.
    extremes: [f64; 2],
    /// Made when first asked for.
    loads: OnceCell<Option<InProportion>>,
}

impl<'a> Pass<'a> {
    pub(crate) fn new(sequence: &'a LoadSequence, law: &'a GrowthLaw, rule: ContactRule) -> Self {
        let blocks = sequence.blocks();
        let product = if blocks.len() < LONG { None } else { Product::new(law, rule) };
        let (extremes, loads) = (sequence.extremes(), OnceCell::new());
        Self { blocks, law, rule, product, extremes, loads }
    }

    /// Growth of tips in one pass, mm: of a crack whose tips have these `lengths`, mm, and these stress intensities
    /// `at` a remote stress, MPa√mm at MPa, not above zero where they are closed. Infinite when a tip is unstable.
    pub(crate) fn growth<const N: usize>(
        &self,
        lengths: [f64; N],
        at: &impl TipsAt<N>,
    ) -> [f64; N] {
        if let Some(grown) = self.in_proportion(lengths, at) {
            return grown;
        }
        self.sum(self.blocks, lengths, at, |_| true).grown
    }

    /// The same under the closure-based law where K of one tip is in proportion to stress.
    fn in_proportion<const N: usize>(
        &self,
        lengths: [f64; N],
        at: &impl TipsAt<N>,
    ) -> Option<[f64; N]> {
        let GrowthLaw::Closure(law) = self.law else { return None };
        let (&[length], k) = (lengths.as_slice(), at.proportion()?) else { return None };
        let whole = self.rule == ContactRule::FullRange && self.blocks.len() >= LONG;
        let new = || InProportion::new(law, self.blocks).filter(|_| whole);
        let grown = self.loads.get_or_init(new).as_ref()?.growth(length, k)?;
        Some([grown; N])
    }

    /// The same over blocks from number `first` on, as many as grow no tip by more than `most` mm together.
    pub(crate) fn growth_from<const N: usize>(
        &self,
        first: usize,
        most: [f64; N],
        lengths: [f64; N],
        at: &impl TipsAt<N>,
    ) -> Run<N> {
        let within = |grown: &[f64; N]| (0..N).all(|tip| grown[tip] <= most[tip]);
        self.sum(self.blocks.get(first..).unwrap_or_default(), lengths, at, within)
    }

    /// Growth over the first of `blocks`, up to the one with which the sum is no longer `within` its bounds.
    fn sum<const N: usize>(
        &self,
        blocks: &[Block],
        lengths: [f64; N],
        at: &impl TipsAt<N>,
        within: impl Fn(&[f64; N]) -> bool,
    ) -> Run<N> {
        if let Some((product, lines)) = self.even(at) {
            return match &product.factor {
                Factor::One => product.add_even(blocks, &lines, within, |_| 1.0),
                Factor::Power(power) => {
                    product.add_even(blocks, &lines, within, |k| power.inside(k))
                }
                Factor::Toughness(toughness) => {
                    product.add_even(blocks, &lines, within, |k| k / (toughness - k))
                }
            };
        }
        match &self.product {
            None => add(
                blocks,
                |stress| at.at(stress),
                within,
                |ends, tip| {
                    let cycle = IntensityCycle::between(ends, self.rule);
                    self.law.growth(&cycle, lengths[tip]).rate()
                },
            ),
            Some(product) => {
                let at = |stress| at.at(stress);
                match &product.factor {
                    Factor::One => add(blocks, at, within, |ends, _| product.rate(ends, |_| 1.0)),
                    Factor::Power(power) => {
                        add(blocks, at, within, |ends, _| product.rate(ends, |k| power.of(k)))
                    }
                    Factor::Toughness(toughness) => add(blocks, at, within, |ends, _| {
                        product.rate(ends, |k| share_of_toughness(k, *toughness))
                    }),
                }
            }
        }
    }

    /// Product and lines where all blocks take one and the same way through the sum: no tip is unstable, and every K of the
    /// sequence is in the tables of the powers.
    fn even<const N: usize>(&self, at: &impl TipsAt<N>) -> Option<(&Product, Lines<N>)> {
        let product = self.product.as_ref().filter(|product| !product.full_range)?;
        let lines = at.lines()?;
        let most = match product.factor {
            Factor::Toughness(toughness) => toughness,
            Factor::One | Factor::Power(_) => Power::LARGEST,
        };
        // Lines that bend upwards are highest at an end.
        let tops = self.extremes.map(|stress| lines.at(stress));
        let inside = tops.as_flattened().iter().all(|k| *k < most.min(Power::LARGEST));
        inside.then_some((product, lines))
    }

    /// Growth of a tip of a crack of this length, mm, in one cycle between two superposed stress intensities,
    /// MPa√mm, in either order.
    pub(crate) fn rate(&self, ends: [f64; 2], length: f64) -> f64 {
        // One block, whose stresses are the intensities.
        let block = Block { cycle: StressCycle::between(ends[0], ends[1]), count: 1.0 };
        let [grown] = self.sum(&[block], [length], &|k| [k], |_| true).grown;
        grown
    }
}

/// Growth over some blocks in a row.
pub(crate) struct Run<const N: usize> {
    /// How many.
    pub(crate) blocks: usize,
    /// Their cycles.
    pub(crate) cycles: f64,
    /// Growth of each tip, mm.
    pub(crate) grown: [f64; N],
}

/// Adds `rate(ends of a tip, tip)` over blocks, with K of the tips `at` a stress, while the growth is `within`.
#[inline]
fn add<const N: usize>(
    blocks: &[Block],
    at: impl Fn(f64) -> [f64; N],
    within: impl Fn(&[f64; N]) -> bool,
    rate: impl Fn([f64; 2], usize) -> f64,
) -> Run<N> {
    let mut run = Run { blocks: 0, cycles: 0.0, grown: [0.0; N] };
    for block in blocks {
        let (one, other) = (at(block.cycle.maximum()), at(block.cycle.minimum()));
        let mut grown = run.grown;
        for tip in 0..N {
            grown[tip] += block.count * rate([one[tip], other[tip]], tip);
        }
        if !within(&grown) {
            break;
        }
        run.grown = grown;
        run.blocks += 1;
        run.cycles += block.count;
    }
    // A rate that is no number must never look like a crack that does not grow.
    run.grown = run.grown.map(|grown| if grown.is_nan() { f64::INFINITY } else { grown });
    run
}

/// `K/(K_c − K)`, infinite from the toughness on.
#[inline]
fn share_of_toughness(k: f64, toughness: f64) -> f64 {
    if k >= toughness { f64::INFINITY } else { k / (toughness - k) }
}

/// A law as a product, in mm a cycle and MPa√mm.
#[derive(Clone, Debug)]
struct Product {
    coefficient: f64,
    range_power: Power,
    factor: Factor,
    /// Range that grows nothing.
    threshold: f64,
    /// Rate that is none: a threshold of the range moved by the ratio.
    least: f64,
    /// Whether a cycle counts to below zero.
    full_range: bool,
}

/// The factor of a rate that the highest stress intensity makes.
#[derive(Clone, Debug)]
enum Factor {
    One,
    Power(Power),
    /// `K/(K_c − K)`, for this `K_c`.
    Toughness(f64),
}

impl Product {
    /// `None` for a law that is no product, or whose exponents are beyond what the cubics are for.
    fn new(law: &GrowthLaw, rule: ContactRule) -> Option<Self> {
        let (mut threshold, mut least) = (0.0, 0.0);
        let in_mm = |range: Option<f64>| range.unwrap_or(0.0) * ROOT_METRE;
        let (coefficient, exponent, range, factor) = match *law {
            GrowthLaw::Paris { coefficient, exponent, threshold: none } => {
                threshold = in_mm(none);
                (coefficient, exponent, exponent, Factor::One)
            }
            GrowthLaw::Walker { coefficient, exponent, gamma, threshold: none } => {
                least = METRE * coefficient * none.unwrap_or(0.0).powf(exponent);
                let factor = Factor::Power(Power::new((1.0 - gamma) * exponent)?);
                (coefficient, exponent, gamma * exponent, factor)
            }
            GrowthLaw::Forman { coefficient, exponent, toughness, threshold: none } => {
                threshold = in_mm(none);
                let factor = Factor::Toughness(toughness * ROOT_METRE);
                // The bracket of the law is in MPa√m.
                (coefficient * ROOT_METRE, exponent, exponent - 1.0, factor)
            }
            GrowthLaw::Closure(_) => return None,
        };
        Some(Self {
            coefficient: METRE * coefficient * ROOT_METRE.powf(-exponent),
            range_power: Power::new(range)?,
            factor,
            threshold,
            least,
            full_range: rule == ContactRule::FullRange,
        })
    }

    /// Growth in a cycle between two superposed stress intensities, in either order, with this factor of the highest;
    /// no number, or infinite, where the tip is unstable.
    #[inline]
    fn rate(&self, [one, other]: [f64; 2], factor: impl Fn(f64) -> f64) -> f64 {
        let (maximum, minimum) = (one.max(other), one.min(other));
        let range = maximum - if self.full_range { minimum } else { minimum.max(0.0) };
        // A power of nothing would be looked up far beyond the table.
        let power = self.range_power.of(if range <= TINY { TINY } else { range });
        let rate = self.coefficient * power * factor(if maximum <= TINY { TINY } else { maximum });
        let grows = maximum > 0.0 && range > self.threshold && rate > self.least;
        // One that cannot be compared is no number.
        if grows || rate.is_nan() { rate } else { 0.0 }
    }

    /// [`add`] for tips whose K are numbers of the tables, with this factor of the highest: no block asks for more than
    /// comparisons that a processor need not guess.
    fn add_even<const N: usize>(
        &self,
        blocks: &[Block],
        lines: &Lines<N>,
        within: impl Fn(&[f64; N]) -> bool,
        factor: impl Fn(f64) -> f64,
    ) -> Run<N> {
        add(
            blocks,
            |stress| lines.at(stress),
            within,
            |[one, other], _| {
                let range = (one - other).abs();
                let power = self.range_power.inside(higher(range, TINY));
                let top = higher(higher(one, other), TINY);
                let rate = self.coefficient * power * factor(top);
                // One after the other: no branch comes of it.
                let grows = if range > self.threshold { rate } else { 0.0 };
                if grows > self.least { grows } else { 0.0 }
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fatigue::constants::growth;
    use crate::fatigue::intensity::Parts;

    /// Cycles of all ratios, some of which close the crack and some of which are closed.
    fn sequence() -> LoadSequence {
        let one = |k: u32| {
            let (top, low) = (f64::from(k * 37 % 101), f64::from(k * 59 % 97));
            let cycle = StressCycle::between(1.3 * top - 20.0, 0.9 * low - 30.0);
            Block { cycle, count: 1.0 + 0.5 * f64::from(k % 3) }
        };
        LoadSequence::new((0..200).map(one).collect()).expect("sound blocks")
    }

    #[test]
    fn a_pass_is_the_sum_of_the_law_over_its_blocks() {
        let of = |name| growth(name).expect("an alloy of the library").into_iter().map(|m| m.law);
        let mut laws: Vec<GrowthLaw> = of("2024-T351 plate").collect();
        laws.extend(of("2024-T3 sheet"));
        laws.extend(of("7050-T7451 plate"));
        for threshold in [1.5, 4.0].map(Some) {
            let (coefficient, exponent) = (1e-10, 3.2);
            laws.push(GrowthLaw::Paris { coefficient, exponent, threshold });
            laws.push(GrowthLaw::Walker { coefficient, exponent, gamma: 0.6, threshold });
            laws.push(GrowthLaw::Forman { coefficient, exponent, toughness: 70.0, threshold });
        }
        let sequence = sequence();
        let (mut products, mut even, mut in_proportion) = (0, 0, 0);
        for law in laws {
            let rule = law.contact_rule();
            let pass = Pass::new(&sequence, &law, rule);
            products += usize::from(pass.product.is_some());
            for (k, residual) in [
                (2.0, 0.0),
                (5.0, 0.0),
                (0.7, 0.0),
                (3.0, -150.0),
                (9.0, 30.0),
                (-4.0, 20.0),
                (60.0, 0.0),
            ] {
                let at = |stress: f64| k * stress + residual;
                let [found] = pass.growth([2.0], &|stress| [at(stress)]);
                let one = |block: &Block| {
                    let ends = [block.cycle.maximum(), block.cycle.minimum()].map(at);
                    block.count * law.growth(&IntensityCycle::between(ends, rule), 2.0).rate()
                };
                let sum: f64 = sequence.blocks().iter().map(one).sum();
                let parts =
                    Parts { length: 2.0, load: k, hole: 0.0, residual, edge_correction: 1.0 };
                let [by_lines] = pass.growth([2.0], &parts);
                for found in [found, by_lines] {
                    let same = found.total_cmp(&sum).is_eq() || (found / sum - 1.0).abs() < 1e-8;
                    assert!(same, "{law:?} at {k}, {residual}: {found:e}, {sum:e}");
                }
                even += usize::from(pass.even(&parts).is_some());
                in_proportion += usize::from(pass.in_proportion([2.0], &parts).is_some());
            }
        }
        assert!(products > 8, "{products} of the laws are products");
        assert!(in_proportion > 2, "{in_proportion} sums in proportion");
        assert!(even > 25 && even < 7 * products, "{even} sums by lines");
    }

    #[test]
    fn a_stress_intensity_that_is_no_number_is_unstable() {
        let law = GrowthLaw::Paris { coefficient: 1e-10, exponent: 3.0, threshold: None };
        let sequence = sequence();
        let pass = Pass::new(&sequence, &law, ContactRule::OpenPart);
        assert!(pass.growth([1.0], &|_| [f64::NAN])[0].is_infinite());
    }
}
