//! The two ways to count cycles: quadrature over length, and passes of blocks in order.

use super::{CurvePoint, Grower};
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::sequence::{Block, LoadSequence};

/// Stretches of `ln a` a life is drawn with.
const PANELS: usize = 120;
/// Error of a stretch over its cycles at which halving stops.
const TOLERANCE: f64 = 1e-7;
/// Most halvings of a stretch.
const DEEPEST: u32 = 14;
/// The same for passes of blocks, where every value is a sum over the blocks.
const BLOCK_TOLERANCE: f64 = 1e-4;
/// Growth over the length in one stretch of passes taken together.
const STRETCH: f64 = 1.04;
/// Growth over the length in a block that needs no look at its middle: at an exponent of 4 the
/// rate changes by twice as much.
const LITTLE: f64 = 1e-4;
/// Growth in one step over the length, below which the growth a cycle hardly changes.
const STEP: f64 = 0.005;
/// Most steps of a curve from blocks. Each grows the crack by about [`STEP`], so a thousand
/// times its length takes two thousand; the rest is a guard.
const MOST_STEPS: usize = 100_000;

impl Grower {
    /// Length against cycles for one cycle repeated, up to `target` mm or the most cycles.
    pub(super) fn integrate(&self, cycle: &StressCycle, target: f64) -> Vec<CurvePoint> {
        let (start, _) = self.table.ends();
        let mut curve = vec![CurvePoint { cycles: 0.0, length: start }];
        let (from, to) = (start.ln(), target.ln());
        if to <= from {
            return curve;
        }
        // Cycles for each unit of ln a.
        let f = |x: f64| {
            let a = x.exp();
            a / self.rate(cycle, a)
        };
        let most = self.limits.most_cycles;
        let mut cycles = 0.0;
        for k in 0..PANELS {
            let low = from + (to - from) * k as f64 / PANELS as f64;
            let high = from + (to - from) * (k + 1) as f64 / PANELS as f64;
            let panel = adaptive(&f, low, high, TOLERANCE);
            if cycles + panel > most || !panel.is_finite() {
                let x = stretch_end(&f, low, high, most - cycles, TOLERANCE);
                curve.push(CurvePoint { cycles: most, length: x.exp() });
                return curve;
            }
            cycles += panel;
            // The last point is the target itself, free of rounding in the logarithm.
            let length = if k + 1 == PANELS { target } else { high.exp() };
            curve.push(CurvePoint { cycles, length });
        }
        curve
    }

    /// Length against cycles for blocks in order, repeated, up to `target` mm or the most
    /// cycles.
    pub(super) fn march(&self, sequence: &LoadSequence, target: f64) -> Vec<CurvePoint> {
        let in_pass = sequence.cycles_in_pass();
        let most = self.limits.most_cycles;
        let (mut a, _) = self.table.ends();
        let mut cycles = 0.0;
        let mut curve = vec![CurvePoint { cycles, length: a }];
        let pass = |a: f64| self.pass(sequence, a.min(target));
        // Passes for each unit of ln a.
        let slow = |x: f64| x.exp() / pass(x.exp());
        for _ in 0..MOST_STEPS {
            if a >= target || cycles >= most {
                break;
            }
            if pass(a) < STEP * a {
                let high = (a * STRETCH).min(target);
                let (from, to) = (a.ln(), high.ln());
                let passes = adaptive(&slow, from, to, BLOCK_TOLERANCE);
                if passes * in_pass + cycles > most || !passes.is_finite() {
                    let left = (most - cycles) / in_pass;
                    a = stretch_end(&slow, from, to, left, BLOCK_TOLERANCE).exp();
                    cycles = most;
                } else {
                    cycles += passes * in_pass;
                    a = high;
                }
            } else {
                for block in sequence.blocks() {
                    let count = block.count.min(most - cycles);
                    let used = self.block(*block, count, &mut a, target);
                    cycles += used;
                    if a >= target || cycles >= most {
                        break;
                    }
                }
            }
            curve.push(CurvePoint { cycles, length: a });
        }
        curve
    }

    /// Growth of one pass at length `a` mm, mm.
    fn pass(&self, sequence: &LoadSequence, a: f64) -> f64 {
        // One look at the table serves every block.
        let parts = self.table.at(a);
        let rate =
            |b: &Block| self.model.law.growth(&parts.cycle(&b.cycle, self.contact), a).rate();
        sequence.blocks().iter().map(|block| block.count * rate(block)).sum()
    }

    /// Grows the crack by one block, in steps; returns the cycles used until the block or the
    /// crack's way ends.
    fn block(&self, block: Block, count: f64, a: &mut f64, target: f64) -> f64 {
        let mut left = count;
        while left > 0.0 && *a < target {
            let rate = self.rate(&block.cycle, *a);
            if rate == 0.0 {
                return count;
            }
            let cycles = left.min((STEP * *a / rate).max(f64::MIN_POSITIVE));
            // Growth so small does not change its own rate by a thousandth.
            if cycles * rate < LITTLE * *a && *a + cycles * rate < target {
                *a += cycles * rate;
                left -= cycles;
                continue;
            }
            // The middle of the step, which makes it second order.
            let middle = (*a + 0.5 * rate * cycles).min(target);
            let grown = self.rate(&block.cycle, middle) * cycles;
            if *a + grown >= target {
                let used = cycles * (target - *a) / grown;
                *a = target;
                return count - left + used;
            }
            *a += grown;
            left -= cycles;
        }
        count - left.max(0.0)
    }
}

/// Where in a stretch so many cycles are used up.
fn stretch_end(f: &impl Fn(f64) -> f64, low: f64, high: f64, cycles: f64, tolerance: f64) -> f64 {
    let (mut near, mut far) = (low, high);
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if adaptive(f, low, middle, tolerance) > cycles { far = middle } else { near = middle }
    }
    near
}

/// Integral by Simpson's rule, halved until it no longer changes.
fn adaptive(f: &impl Fn(f64) -> f64, low: f64, high: f64, tolerance: f64) -> f64 {
    let (at_low, at_middle, at_high) = (f(low), f(0.5 * (low + high)), f(high));
    let whole = (high - low) / 6.0 * (at_low + 4.0 * at_middle + at_high);
    refine(f, [low, high], [at_low, at_middle, at_high], whole, (DEEPEST, tolerance))
}

fn refine(
    f: &impl Fn(f64) -> f64,
    [low, high]: [f64; 2],
    [at_low, at_middle, at_high]: [f64; 3],
    whole: f64,
    (depth, tolerance): (u32, f64),
) -> f64 {
    let middle = 0.5 * (low + high);
    let (left, right) = (f(0.5 * (low + middle)), f(0.5 * (middle + high)));
    let sixth = (high - low) / 12.0;
    let first = sixth * (at_low + 4.0 * left + at_middle);
    let second = sixth * (at_middle + 4.0 * right + at_high);
    let change = first + second - whole;
    if depth == 0 || change.abs() <= tolerance * (first + second) || !change.is_finite() {
        return first + second + change / 15.0;
    }
    refine(f, [low, middle], [at_low, left, at_middle], first, (depth - 1, tolerance))
        + refine(f, [middle, high], [at_middle, right, at_high], second, (depth - 1, tolerance))
}
