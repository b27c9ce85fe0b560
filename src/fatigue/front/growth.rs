//! Growth of a corner crack at two tips, and of the through crack that follows.
//!
//! ```text
//!   dc/dN = f(ΔK at 5°),  da/dN = f(ΔK at 80°)       while a < t
//!   dc/dN = f(ΔK of a through crack of length c)      from a = t on
//! ```
//!
//! When the tip in the bore reaches the other face, the crack becomes a straight through crack of the length
//! that it has on the face it started from (common practice, no source): the short back part is then taken as
//! long, the safe side, and K jumps there.
//!
//! Passes of blocks that grow the crack little are taken together by an embedded rule of order three
//! (P. Bogacki, L. F. Shampine, Appl. Math. Lett. 2 (1989) 321, from memory), others block by block. Where
//! superposition closes the crack at a tip that tip does not grow; the other goes on, opened a little by the
//! pressure of the closed faces ([`crate::fatigue::front::tips`]).
//!
//! **Retardation**, off by default: after a cycle whose plastic zone reaches further than the present one,
//! growth is multiplied by `[r/(x + R − a)]^w` until the present zone reaches that far (O. E. Wheeler, J.
//! Basic Eng. 94 (1972) 181; read as eq. 1.1 of S. Kłysz, J. Theor. Appl. Mech. 39 (2001) 843). The zone in
//! plane strain is `r = (K_max/σ_y)²/6π` (from memory), each tip by itself; `w` is fitted to tests of the
//! spectrum at hand.

use std::f64::consts::PI;

use crate::fatigue::constants::GrowthModel;
use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::cycle::StressCycle;
use crate::fatigue::end::Limits;
use crate::fatigue::front::field::EntryShare;
use crate::fatigue::front::front_life::{Draw, FrontEnd, FrontLife, FrontPoint};
use crate::fatigue::front::intensity::FrontTable;
use crate::fatigue::front::tips::Tips;
use crate::fatigue::intensity::ContactRule;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::table::IntensityTable;

/// Largest growth of the logarithm of a size in one step.
const LARGEST_STEP: f64 = 0.04;
/// Error of a step in the logarithm of a size at which it is accepted.
const TOLERANCE: f64 = 2e-5;
/// Growth of a pass over the size from which on blocks are taken one by one. Below, their order changes the growth of
/// a pass by less than a hundredth.
const PASS: f64 = 0.02;
/// Growth of the logarithm of a size within which the end of a life is found.
const END: f64 = 1e-3;
/// Most steps and passes of a life.
const MOST_STEPS: usize = 200_000;
/// Growth over the size in which a block is taken at once.
const LITTLE: f64 = 1e-3;
/// Growth over the size during which K at the tips is taken as it was: a rate is then off by a few parts in
/// ten thousand, and a spectrum of many single cycles does not look up the table for each.
const FRESH: f64 = 1e-4;

/// A corner crack ready to be grown.
#[derive(Clone, Debug)]
pub struct FrontGrower {
    /// K at the tips.
    pub table: FrontTable,
    /// K of the through crack that follows, with the residual field of the middle, or its mean over the depth.
    pub through: IntensityTable,
    /// Whether the entry share acts on the residual field.
    pub has_entry_share: bool,
    /// Hole and edges.
    pub geometry: CrackGeometry,
    /// The growth law.
    pub model: GrowthModel,
    /// Strength of the part.
    pub limits: Limits,
    /// How closed cracks count.
    pub contact: ContactRule,
    /// Exponent of retardation by overloads; `None`: none.
    pub retardation: Option<f64>,
    /// Length of the steps of integration over the usual one.
    pub step_share: f64,
}

/// Size under way: logarithms of `a` and `c`; `a` stays at the thickness once through.
#[derive(Clone, Copy)]
struct Now {
    y: [f64; 2],
    through: bool,
}

/// Furthest reach of a plastic zone ahead of each tip, as a length of that tip: `[c, a]`.
type Reach = [f64; 2];

/// Passes that were taken together.
struct Stretch {
    /// Size after them.
    now: Now,
    /// How many.
    passes: f64,
    /// Growth of the logarithms of `a` and `c` in the pass that follows.
    rate: [f64; 2],
}

/// The tips at a size that was looked up last.
struct Looked {
    at: Now,
    tips: Tips,
}

impl FrontGrower {
    /// The life of a drawn crack under a sequence.
    #[must_use]
    pub fn life(&self, sequence: &LoadSequence, draw: &Draw) -> FrontLife {
        let thickness = self.deepest();
        let mut now = Now { y: draw.flaw.map(f64::ln), through: draw.flaw[0] >= thickness };
        let mut life =
            FrontLife { end: FrontEnd::CyclesReached, points: Vec::new(), through_at: None };
        let (mut cycles, most) = (0.0, self.limits.most_cycles);
        let in_pass = sequence.cycles_in_pass();
        let mut reach: Reach = [0.0; 2];
        let mut step = self.largest_step();
        let mut rate = self.passes(sequence, draw, now);
        for _ in 0..MOST_STEPS {
            if now.through && life.through_at.is_none() {
                now.y[0] = thickness.ln();
                life.through_at = Some(life.points.len());
            }
            let [a, c] = now.y.map(f64::exp);
            life.points.push(FrontPoint { cycles, a, c });
            if let Some(end) = self.ended(sequence, draw, now, rate) {
                life.end = end;
                return life;
            }
            if cycles >= most {
                return life;
            }
            if rate[0].max(rate[1]) < PASS && self.retardation.is_none() {
                let stretch = self.stretch(sequence, draw, now, rate, &mut step);
                (now, rate) = (stretch.now, stretch.rate);
                cycles += stretch.passes * in_pass;
            } else {
                let mut looked = None;
                for block in sequence.blocks() {
                    let before = now;
                    let memory = (&mut reach, &mut looked);
                    let used;
                    (now, used) = self.block(&block.cycle, block.count, draw, now, memory);
                    cycles += used;
                    // The rest of a pass would go on beyond what the table holds, or after fracture.
                    let changed = now.through != before.through || used < block.count;
                    if changed || now.y[1] > self.longest().ln() {
                        break;
                    }
                }
                rate = self.passes(sequence, draw, now);
            }
        }
        life
    }

    /// Passes taken together, cut where the crack becomes through, and shorter where its life ends.
    fn stretch(
        &self,
        sequence: &LoadSequence,
        draw: &Draw,
        now: Now,
        first: [f64; 2],
        step: &mut f64,
    ) -> Stretch {
        loop {
            let Stretch { now: next, passes, rate } = self.step(sequence, draw, now, first, step);
            let mut used = 0.0;
            let reached = self.broken_through(now, next.y, &mut used, passes);
            let through = reached.through != now.through;
            let rate = if through { self.passes(sequence, draw, reached) } else { rate };
            let grown = passes * first[0].max(first[1]);
            let ends = self.ended(sequence, draw, reached, rate);
            // Where growth comes to rest the steps are short anyway.
            if grown <= self.step_share * END || matches!(ends, None | Some(FrontEnd::Arrest)) {
                return Stretch { now: reached, passes: used, rate };
            }
            *step = 0.25 * grown;
        }
    }

    fn largest_step(&self) -> f64 {
        self.step_share * LARGEST_STEP
    }

    fn deepest(&self) -> f64 {
        self.table.longest()[1]
    }

    fn longest(&self) -> f64 {
        self.table.longest()[0]
    }

    /// One step of passes taken together.
    fn step(
        &self,
        sequence: &LoadSequence,
        draw: &Draw,
        now: Now,
        first: [f64; 2],
        step: &mut f64,
    ) -> Stretch {
        let moved = |terms: &[(f64, [f64; 2])]| {
            [0, 1].map(|i| now.y[i] + terms.iter().map(|(w, k)| w * k[i]).sum::<f64>())
        };
        let rate = |y: [f64; 2]| self.passes(sequence, draw, Now { y, ..now });
        let tolerance = TOLERANCE * self.step_share.powi(3);
        loop {
            let passes = *step / first[0].max(first[1]);
            let second = rate(moved(&[(0.5 * passes, first)]));
            let third = rate(moved(&[(0.75 * passes, second)]));
            let h = passes / 9.0;
            let next = moved(&[(2.0 * h, first), (3.0 * h, second), (4.0 * h, third)]);
            let fourth = rate(next);
            let error = [0, 1]
                .map(|i| {
                    let terms = -5.0 / 72.0 * first[i] + second[i] / 12.0 + third[i] / 9.0
                        - 0.125 * fourth[i];
                    (passes * terms).abs()
                })
                .into_iter()
                .fold(0.0, f64::max);
            let factor = if error > 0.0 { 0.9 * (tolerance / error).cbrt() } else { 4.0 };
            let accepted = error <= tolerance || *step < 1e-6;
            *step = (*step * factor.clamp(0.2, 4.0)).min(self.largest_step());
            if accepted {
                return Stretch { now: Now { y: next, ..now }, passes, rate: fourth };
            }
        }
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

    /// Cycles of one kind in steps, with retardation where it is on: the size after them, and how many were used until
    /// fracture, else all.
    fn block(
        &self,
        cycle: &StressCycle,
        count: f64,
        draw: &Draw,
        mut now: Now,
        (reach, looked): (&mut Reach, &mut Option<Looked>),
    ) -> (Now, f64) {
        let mut left = count;
        while left > 0.0 {
            let [a, c] = now.y.map(f64::exp);
            let tips = self.looked(draw, now, looked).cycle(cycle, self.contact);
            let mut rate = [0, 1].map(|tip| {
                let size = [c, a][tip];
                draw.growth * self.model.law.growth(&tips[tip], size).rate() / size
            });
            if let (Some(power), Some(limit)) = (self.retardation, self.limits.yield_stress) {
                for tip in 0..2 {
                    let zone = (tips[tip].maximum.max(0.0) / limit).powi(2) / (6.0 * PI);
                    let size = [c, a][tip];
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
            let top = tips[0].maximum.max(tips[1].maximum);
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

    /// The tips at `now`, or those that were looked up at nearly the same size.
    fn looked<'t>(&self, draw: &Draw, now: Now, last: &'t mut Option<Looked>) -> &'t Tips {
        let fresh = last.as_ref().is_some_and(|last| {
            let moved = [0, 1].map(|i| (now.y[i] - last.at.y[i]).abs());
            last.at.through == now.through && moved[0].max(moved[1]) <= self.step_share * FRESH
        });
        if !fresh {
            *last = None;
        }
        &last.get_or_insert_with(|| Looked { at: now, tips: self.tips(draw, now) }).tips
    }

    /// Both tips with the drawn field.
    fn tips(&self, draw: &Draw, now: Now) -> Tips {
        let [a, c] = now.y.map(f64::exp);
        if now.through {
            // The mean of the field over the thickness.
            let entry = if self.has_entry_share { draw.field.entry } else { 1.0 };
            let mean = draw.field.whole * EntryShare(entry).mean();
            return Tips::of_through(&self.through.at(c), mean);
        }
        Tips::of_front(&self.table.at([a, c]), draw.field)
    }

    /// Growth of the logarithms of `a` and `c` in one pass.
    fn passes(&self, sequence: &LoadSequence, draw: &Draw, now: Now) -> [f64; 2] {
        let [a, c] = now.y.map(f64::exp);
        let tips = self.tips(draw, now);
        let mut sum = [0.0; 2];
        for block in sequence.blocks() {
            let [face, bore] = tips.cycle(&block.cycle, self.contact);
            sum[1] += block.count * self.model.law.growth(&face, c).rate();
            if !now.through {
                sum[0] += block.count * self.model.law.growth(&bore, a).rate();
            }
        }
        [draw.growth * sum[0] / a, draw.growth * sum[1] / c]
    }

    fn ended(
        &self,
        sequence: &LoadSequence,
        draw: &Draw,
        now: Now,
        rate: [f64; 2],
    ) -> Option<FrontEnd> {
        let [low, high] = sequence.extremes();
        let tips = self.tips(draw, now);
        let both = [tips.total(high), tips.total(low)];
        let top = both.into_iter().flatten().fold(f64::MIN, f64::max);
        if top.is_nan() || top >= self.limits.toughness || !rate.iter().all(|r| r.is_finite()) {
            return Some(FrontEnd::Fracture);
        }
        let [a, c] = now.y.map(f64::exp);
        // The cracked area takes its share of the section.
        let taken = if now.through { c } else { 0.25 * PI * c * a / self.table.thickness() };
        if let (Some(limit), Some(factor)) = (
            self.limits.yield_stress,
            self.geometry.gross_over_net(taken.min(self.geometry.longest())),
        ) && factor * high >= limit
        {
            return Some(FrontEnd::NetSectionYield);
        }
        if c >= self.longest() * (1.0 - 1e-9) {
            return Some(FrontEnd::EdgeReached);
        }
        (rate[0] <= 0.0 && rate[1] <= 0.0).then_some(FrontEnd::Arrest)
    }
}
