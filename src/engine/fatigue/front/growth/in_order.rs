//! A pass of a sequence, block by block in its order.
//!
//! Blocks that grow the crack by little are summed with K at the size that the crack should have in the middle of them, by
//! how it grew before. The others, and all where the crack may end or become through or where overloads are
//! remembered, are taken one by one.

use std::f64::consts::PI;

use super::{Course, First, FrontGrower, Now, Reach};
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::front::front_life::Draw;
use crate::fatigue::front::tips::Tips;

/// Growth over the size in which blocks, or cycles of a block, are taken at once: K is that of the middle of it.
const LITTLE: f64 = 1e-3;
/// Share of the toughness from which on blocks are taken one by one: near an edge K grows a few times as fast as the size.
const NEAR: f64 = 0.99;
/// Growth of the logarithm of a size within which K at the tips is a straight line in both sizes, so that a spectrum of many
/// single cycles does not look up the table for each. Lives are then off by some parts in a hundred thousand.
const STRAIGHT: f64 = 0.01;

/// The tips from a size on that was looked up last.
struct Looked {
    at: Now,
    /// `a` and `c`.
    size: [f64; 2],
    tips: Tips,
    /// The tips where the logarithm of `a`, and that of `c`, is larger by `reach`.
    beyond: [Tips; 2],
    reach: f64,
}

impl Looked {
    /// Tips and sizes, face first, where the logarithms of `a` and `c` are `y`.
    fn grown(&self, y: [f64; 2]) -> (Tips, [f64; 2]) {
        let by = [0, 1].map(|i| y[i] - self.at.y[i]);
        let tips = self.tips.towards(&self.beyond, by.map(|grown| grown / self.reach));
        // The exponential, to a millionth.
        let size = |i: usize| self.size[i] * (1.0 + by[i] * (1.0 + 0.5 * by[i]));
        (tips, [size(1), size(0)])
    }
}

impl FrontGrower {
    /// The size after one pass, and its cycles up to there: all, or those until fracture, or until the crack is through
    /// or too long.
    pub(super) fn in_order(
        &self,
        course: &Course<'_>,
        mut now: Now,
        reach: &mut Reach,
    ) -> (Now, f64) {
        let (mut cycles, mut looked, mut number) = (0.0, None, 0);
        // Growth of the logarithms in the last run.
        let mut grew = [0.0; 2];
        while let Some(block) = course.sequence.blocks().get(number) {
            if self.runs(course, now, &mut looked) {
                let look = self.looked(course.draw, now, &mut looked);
                let (blocks, used, next) = self.run(course, number, (look, now), grew);
                if blocks > 0 {
                    grew = [0, 1].map(|i| next.y[i] - now.y[i]);
                    (now, number, cycles) = (next, number + blocks, cycles + used);
                    continue;
                }
            }
            let before = now;
            let memory = (&mut *reach, &mut looked);
            let used;
            (now, used) = self.block(course, &block.cycle, block.count, now, memory);
            cycles += used;
            number += 1;
            // The rest of a pass would go on beyond what the table holds, or after fracture.
            let changed = now.through != before.through || used < block.count;
            if changed || now.y[1] > self.longest().ln() {
                break;
            }
        }
        (now, cycles)
    }

    /// Whether the crack can neither end nor become through while it grows by little, and remembers nothing.
    fn runs(&self, course: &Course<'_>, now: Now, looked: &mut Option<Looked>) -> bool {
        let ahead = 2.0 * self.step_share * LITTLE;
        let far = now.y[1] + ahead < self.longest().ln()
            && (now.through || now.y[0] + ahead < self.deepest().ln());
        if self.retardation.is_some() || !far {
            return false;
        }
        let look = self.looked(course.draw, now, looked);
        let (tips, _) = look.grown(now.y);
        let tops = course.sequence.extremes().map(|stress| tips.total(stress));
        let top = tops.into_iter().flatten().fold(f64::NEG_INFINITY, f64::max);
        top < NEAR * self.limits.toughness
    }

    /// As many blocks from `number` on as grow the crack by little, their cycles, and the size after them. `grew` is how
    /// the logarithms grew in the last such run.
    fn run(
        &self,
        course: &Course<'_>,
        number: usize,
        (look, now): (&Looked, Now),
        grew: [f64; 2],
    ) -> (usize, f64, Now) {
        let middle = [0, 1].map(|i| now.y[i] + 0.5 * grew[i]);
        let (tips, [face, bore]) = look.grown(middle);
        let counted = self.counted(&tips);
        let growth = course.draw.growth;
        let most = self.step_share * LITTLE / growth;
        let mut next = now;
        if now.through {
            let run = course.pass.growth_from(number, [most * face], [face], &First(counted));
            next.y[1] += growth * run.grown[0] / face;
            return (run.blocks, run.cycles, next);
        }
        let sizes = [face, bore];
        let most = sizes.map(|size| most * size);
        let run = course.pass.growth_from(number, most, sizes, &counted);
        next.y[0] += growth * run.grown[1] / bore;
        next.y[1] += growth * run.grown[0] / face;
        (run.blocks, run.cycles, next)
    }

    /// Cycles of one kind in steps, with retardation where it is on: the size after them, and how many were used until
    /// fracture, else all.
    fn block(
        &self,
        course: &Course<'_>,
        cycle: &StressCycle,
        count: f64,
        mut now: Now,
        (reach, looked): (&mut Reach, &mut Option<Looked>),
    ) -> (Now, f64) {
        let mut left = count;
        while left > 0.0 {
            let look = self.looked(course.draw, now, looked);
            let (tips, sizes) = look.grown(now.y);
            let ends = [tips.total(cycle.maximum()), tips.total(cycle.minimum())];
            let mut rate = [0, 1].map(|tip| {
                let rate = course.pass.rate([ends[0][tip], ends[1][tip]], sizes[tip]);
                course.draw.growth * rate / sizes[tip]
            });
            let highest = [0, 1].map(|tip| ends[0][tip].max(ends[1][tip]));
            if let (Some(power), Some(limit)) = (self.retardation, self.limits.yield_stress) {
                for tip in 0..2 {
                    let zone = (highest[tip].max(0.0) / limit).powi(2) / (6.0 * PI);
                    let size = sizes[tip];
                    if size + zone >= reach[tip] {
                        reach[tip] = size + zone;
                    } else {
                        rate[tip] *= (zone / (reach[tip] - size)).powf(power);
                    }
                }
            }
            // In the order of the sizes: bore first.
            let along = [if now.through { 0.0 } else { rate[1] }, rate[0]];
            let fastest = along[0].max(along[1]);
            if fastest <= 0.0 {
                return (now, count);
            }
            let top = highest[0].max(highest[1]);
            if !fastest.is_finite() || top >= self.limits.toughness {
                return (now, count - left);
            }
            let cycles = left.min(self.step_share * LITTLE / fastest);
            let next = [0, 1].map(|i| now.y[i] + cycles * along[i]);
            let mut used = 0.0;
            now = self.broken_through(now, next, &mut used, cycles);
            left -= cycles;
            if now.y[1] > self.longest().ln() {
                return (now, count);
            }
        }
        (now, count)
    }

    /// The next size, cut where the crack becomes through; counts the cycles.
    fn broken_through(&self, now: Now, next: [f64; 2], cycles: &mut f64, used: f64) -> Now {
        let deepest = self.deepest().ln();
        if now.through || next[0] < deepest {
            *cycles += used;
            return Now { y: next, through: now.through };
        }
        let share = (deepest - now.y[0]) / (next[0] - now.y[0]);
        *cycles += share * used;
        Now { y: [deepest, now.y[1] + share * (next[1] - now.y[1])], through: true }
    }

    /// The tips about `now`: those that were looked up last, unless the crack has grown too far since.
    fn looked<'t>(&self, draw: &Draw, now: Now, last: &'t mut Option<Looked>) -> &'t Looked {
        let reach = self.step_share * STRAIGHT;
        let near = last.as_ref().is_some_and(|last| {
            let moved = [0, 1].map(|i| now.y[i] - last.at.y[i]);
            last.at.through == now.through && moved[0].max(moved[1]) <= reach
        });
        if !near {
            *last = None;
        }
        last.get_or_insert_with(|| {
            let beyond = [0, 1].map(|i| {
                let mut y = now.y;
                y[i] += reach;
                self.tips(draw, Now { y, ..now })
            });
            let size = now.y.map(f64::exp);
            Looked { at: now, size, tips: self.tips(draw, now), beyond, reach }
        })
    }
}
