//! The two ways to count cycles: quadrature over length, and passes of blocks in order.

use super::{CurvePoint, Detail, Grower};
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::pass::Pass;
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
/// The same where the end alone is asked for, of a law that has no threshold: cycles that stop or begin to grow the crack
/// one by one escape long stretches.
const LONG_STRETCH: f64 = 1.2;
/// Growth over the length in a block that needs no look at its middle: at an exponent of 4 the
/// rate changes by twice as much.
const LITTLE: f64 = 1e-4;
/// Growth over the length in which blocks are taken at once: K is that of the middle of it, by how the crack grew before.
const RUN: f64 = 1e-3;
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
    pub(super) fn march(
        &self,
        sequence: &LoadSequence,
        target: f64,
        detail: Detail,
    ) -> Vec<CurvePoint> {
        let (start, _) = self.table.ends();
        let (mut a, mut cycles) = (start, 0.0);
        let (most, in_pass) = (self.limits.most_cycles, sequence.cycles_in_pass());
        let mut curve = vec![CurvePoint { cycles, length: a }];
        let law = Pass::new(sequence, &self.model.law, self.contact);
        let pass = |a: f64| {
            let parts = self.table.at(a.min(target));
            law.growth([parts.length], &parts)[0]
        };
        // Passes for each unit of ln a.
        let slow = |x: f64| x.exp() / pass(x.exp());
        let mut growth = pass(a);
        for _ in 0..MOST_STEPS {
            if a >= target || cycles >= most {
                break;
            }
            if growth < STEP * a {
                let (high, at_high) = self.stretch(&pass, (a, target), detail);
                let (from, to) = (a.ln(), high.ln());
                let ends = [a / growth, high / at_high];
                let passes = adaptive_between(&slow, [from, to], ends, BLOCK_TOLERANCE);
                if passes * in_pass + cycles > most || !passes.is_finite() {
                    // Where in the stretch only a curve tells.
                    if let Detail::Curve = detail {
                        let left = (most - cycles) / in_pass;
                        a = stretch_end(&slow, from, to, left, BLOCK_TOLERANCE).exp();
                    }
                    cycles = most;
                } else {
                    cycles += passes * in_pass;
                    (a, growth) = (high, at_high);
                }
            } else {
                let mut number = 0;
                // Growth in the last run of blocks.
                let mut grew = 0.0;
                while let Some(block) = sequence.blocks().get(number) {
                    let parts = self.table.at((a + 0.5 * grew).min(target));
                    let run = law.growth_from(number, [RUN * a], [parts.length], &parts);
                    let [grown] = run.grown;
                    if run.blocks > 0 && a + grown < target && cycles + run.cycles < most {
                        (a, cycles, grew) = (a + grown, cycles + run.cycles, grown);
                        number += run.blocks;
                        continue;
                    }
                    let count = block.count.min(most - cycles);
                    let used = self.block(&law, *block, count, (&mut a, target));
                    cycles += used;
                    number += 1;
                    if a >= target || cycles >= most {
                        break;
                    }
                }
                growth = pass(a);
            }
            curve.push(CurvePoint { cycles, length: a });
        }
        curve
    }

    /// Length at the end of a stretch from `a` on, and growth of a `pass` there.
    fn stretch(
        &self,
        pass: &impl Fn(f64) -> f64,
        (a, target): (f64, f64),
        detail: Detail,
    ) -> (f64, f64) {
        let with_growth = |high: f64| (high, pass(high));
        if matches!(detail, Detail::End) && !self.model.law.has_threshold() {
            let (high, growth) = with_growth((a * LONG_STRETCH).min(target));
            if growth < STEP * high {
                return (high, growth);
            }
        }
        with_growth((a * STRETCH).min(target))
    }

    /// Grows the crack by one block, in steps; returns the cycles used until the block or the
    /// crack's way ends.
    fn block(&self, law: &Pass<'_>, block: Block, count: f64, (a, target): (&mut f64, f64)) -> f64 {
        let ends = [block.cycle.maximum(), block.cycle.minimum()];
        let rate = |a: f64| {
            let parts = self.table.at(a);
            law.rate(ends.map(|stress| parts.total(stress)), a)
        };
        let mut left = count;
        while left > 0.0 && *a < target {
            let now = rate(*a);
            if now == 0.0 {
                return count;
            }
            let cycles = left.min((STEP * *a / now).max(f64::MIN_POSITIVE));
            // Growth so small does not change its own rate by a thousandth.
            if cycles * now < LITTLE * *a && *a + cycles * now < target {
                *a += cycles * now;
                left -= cycles;
                continue;
            }
            // The middle of the step, which makes it second order.
            let middle = (*a + 0.5 * now * cycles).min(target);
            let grown = rate(middle) * cycles;
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
    adaptive_between(f, [low, high], [f(low), f(high)], tolerance)
}

/// The same with the values at both ends known.
fn adaptive_between(
    f: &impl Fn(f64) -> f64,
    [low, high]: [f64; 2],
    [at_low, at_high]: [f64; 2],
    tolerance: f64,
) -> f64 {
    let at_middle = f(0.5 * (low + high));
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
