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
            let panel = adaptive(&f, low, high);
            if cycles + panel > most || !panel.is_finite() {
                let x = stretch_end(&f, low, high, most - cycles);
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
        let pass = |a: f64| -> f64 {
            let a = a.min(target);
            sequence.blocks().iter().map(|b| b.count * self.rate(&b.cycle, a)).sum()
        };
        for _ in 0..MOST_STEPS {
            if a >= target || cycles >= most {
                break;
            }
            let growth = pass(a);
            let left = ((most - cycles) / in_pass).floor();
            let passes = (STEP * a / growth).floor().min(left);
            if passes >= 1.0 {
                let next = a + fourth_order(&pass, a, growth, passes);
                let share = if next > target { (target - a) / (next - a) } else { 1.0 };
                cycles += share * passes * in_pass;
                a = next.min(target);
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
fn stretch_end(f: &impl Fn(f64) -> f64, low: f64, high: f64, cycles: f64) -> f64 {
    let (mut near, mut far) = (low, high);
    for _ in 0..40 {
        let middle = 0.5 * (near + far);
        if adaptive(f, low, middle) > cycles { far = middle } else { near = middle }
    }
    near
}

/// Growth over `passes`, from `da/d(pass)` with its known value `first` at `a`.
fn fourth_order(pass: &impl Fn(f64) -> f64, a: f64, first: f64, passes: f64) -> f64 {
    let second = pass(a + 0.5 * passes * first);
    let third = pass(a + 0.5 * passes * second);
    let fourth = pass(a + passes * third);
    passes / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
}

/// Integral by Simpson's rule, halved until it no longer changes.
fn adaptive(f: &impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (at_low, at_middle, at_high) = (f(low), f(0.5 * (low + high)), f(high));
    let whole = (high - low) / 6.0 * (at_low + 4.0 * at_middle + at_high);
    refine(f, [low, high], [at_low, at_middle, at_high], whole, DEEPEST)
}

fn refine(
    f: &impl Fn(f64) -> f64,
    [low, high]: [f64; 2],
    [at_low, at_middle, at_high]: [f64; 3],
    whole: f64,
    depth: u32,
) -> f64 {
    let middle = 0.5 * (low + high);
    let (left, right) = (f(0.5 * (low + middle)), f(0.5 * (middle + high)));
    let sixth = (high - low) / 12.0;
    let first = sixth * (at_low + 4.0 * left + at_middle);
    let second = sixth * (at_middle + 4.0 * right + at_high);
    let change = first + second - whole;
    if depth == 0 || change.abs() <= TOLERANCE * (first + second) || !change.is_finite() {
        return first + second + change / 15.0;
    }
    refine(f, [low, middle], [at_low, left, at_middle], first, depth - 1)
        + refine(f, [middle, high], [at_middle, right, at_high], second, depth - 1)
}
