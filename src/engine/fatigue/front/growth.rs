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
//! Passes of blocks that grow the crack little are taken together by a rule of order five with an estimate of its error
//! (`numeric::embedded`), others block by block. Where
//! superposition closes the crack at a tip that tip does not grow; the other goes on, opened a little by the
//! pressure of the closed faces ([`crate::fatigue::front::tips`]).
//!
//! **Retardation**, off by default: after a cycle whose plastic zone reaches further than the present one,
//! growth is multiplied by `[r/(x + R − a)]^w` until the present zone reaches that far (O. E. Wheeler, J.
//! Basic Eng. 94 (1972) 181; read as eq. 1.1 of S. Kłysz, J. Theor. Appl. Mech. 39 (2001) 843). The zone in
//! plane strain is `r = (K_max/σ_y)²/6π` (from memory), each tip by itself; `w` is fitted to tests of the
//! spectrum at hand.

mod stretch;

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
use crate::fatigue::pass::Pass;
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::table::IntensityTable;

/// Growth of a pass over the size from which on blocks are taken one by one. Below, their order changes the growth of
/// a pass by less than a hundredth.
const PASS: f64 = 0.02;
/// Most steps and passes of a life.
const MOST_STEPS: usize = 200_000;
/// Growth over the size in which a block is taken at once.
const LITTLE: f64 = 1e-3;
/// Growth of the logarithm of a size within which K at the tips is a straight line in both sizes: K is then off by a
/// part in a hundred thousand, and a spectrum of many single cycles does not look up the table for each.
const STRAIGHT: f64 = 0.02;

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

/// A drawn crack under a load.
struct Course<'a> {
    sequence: &'a LoadSequence,
    pass: Pass<'a>,
    draw: &'a Draw,
}

/// Furthest reach of a plastic zone ahead of each tip, as a length of that tip: `[c, a]`.
type Reach = [f64; 2];

/// The tips from a size on that was looked up last.
struct Looked {
    at: Now,
    /// `a` and `c`.
    size: [f64; 2],
    tips: Tips,
    /// The tips where the logarithm of `a`, and that of `c`, is larger by [`STRAIGHT`].
    beyond: [Tips; 2],
}

impl Looked {
    /// Tips and sizes, face first, of a crack whose logarithms of `a` and `c` have grown by so much.
    fn grown(&self, by: [f64; 2]) -> (Tips, [f64; 2]) {
        let tips = self.tips.towards(&self.beyond, by.map(|grown| grown / STRAIGHT));
        // The exponential, to a millionth.
        let size = |i: usize| self.size[i] * (1.0 + by[i] * (1.0 + 0.5 * by[i]));
        (tips, [size(1), size(0)])
    }
}

impl FrontGrower {
    /// The life of a drawn crack under a sequence.
    #[must_use]
    pub fn life(&self, sequence: &LoadSequence, draw: &Draw) -> FrontLife {
        let pass = Pass::new(sequence, &self.model.law, self.contact);
        let course = &Course { sequence, pass, draw };
        let thickness = self.deepest();
        let mut now = Now { y: draw.flaw.map(f64::ln), through: draw.flaw[0] >= thickness };
        let mut life =
            FrontLife { end: FrontEnd::CyclesReached, points: Vec::new(), through_at: None };
        let (mut cycles, most) = (0.0, self.limits.most_cycles);
        let in_pass = sequence.cycles_in_pass();
        let mut reach: Reach = [0.0; 2];
        let mut step = self.largest_step();
        let mut rate = self.passes(course, now);
        for _ in 0..MOST_STEPS {
            if now.through && life.through_at.is_none() {
                now.y[0] = thickness.ln();
                life.through_at = Some(life.points.len());
            }
            let [a, c] = now.y.map(f64::exp);
            life.points.push(FrontPoint { cycles, a, c });
            if let Some(end) = self.ended(course, now, rate) {
                life.end = end;
                return life;
            }
            if cycles >= most {
                return life;
            }
            if rate[0].max(rate[1]) < PASS && self.retardation.is_none() {
                let stretch = self.stretch(course, now, rate, &mut step);
                life.points.extend(stretch.points(cycles, in_pass));
                (now, rate) = (stretch.now, stretch.rate);
                cycles += stretch.passes * in_pass;
            } else {
                let mut looked = None;
                for block in sequence.blocks() {
                    let before = now;
                    let memory = (&mut reach, &mut looked);
                    let used;
                    (now, used) = self.block(course, &block.cycle, block.count, now, memory);
                    cycles += used;
                    // The rest of a pass would go on beyond what the table holds, or after fracture.
                    let changed = now.through != before.through || used < block.count;
                    if changed || now.y[1] > self.longest().ln() {
                        break;
                    }
                }
                rate = self.passes(course, now);
            }
        }
        life
    }

    fn deepest(&self) -> f64 {
        self.table.longest()[1]
    }

    fn longest(&self) -> f64 {
        self.table.longest()[0]
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
        course: &Course<'_>,
        cycle: &StressCycle,
        count: f64,
        mut now: Now,
        (reach, looked): (&mut Reach, &mut Option<Looked>),
    ) -> (Now, f64) {
        let mut left = count;
        while left > 0.0 {
            let look = self.looked(course.draw, now, looked);
            let (tips, sizes) = look.grown([0, 1].map(|i| now.y[i] - look.at.y[i]));
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

    /// The tips about `now`: those that were looked up last, unless the crack has grown too far since.
    fn looked<'t>(&self, draw: &Draw, now: Now, last: &'t mut Option<Looked>) -> &'t Looked {
        let near = last.as_ref().is_some_and(|last| {
            let moved = [0, 1].map(|i| now.y[i] - last.at.y[i]);
            last.at.through == now.through && moved[0].max(moved[1]) <= STRAIGHT
        });
        if !near {
            *last = None;
        }
        last.get_or_insert_with(|| {
            let beyond = [0, 1].map(|i| {
                let mut y = now.y;
                y[i] += STRAIGHT;
                self.tips(draw, Now { y, ..now })
            });
            Looked { at: now, size: now.y.map(f64::exp), tips: self.tips(draw, now), beyond }
        })
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
    fn passes(&self, course: &Course<'_>, now: Now) -> [f64; 2] {
        let [a, c] = now.y.map(f64::exp);
        let tips = self.tips(course.draw, now);
        let growth = course.draw.growth;
        if now.through {
            let [face] = course.pass.growth([c], |stress| [tips.total(stress)[0]]);
            return [0.0, growth * face / c];
        }
        let [face, bore] = course.pass.growth([c, a], |stress| tips.total(stress));
        [growth * bore / a, growth * face / c]
    }

    fn ended(&self, course: &Course<'_>, now: Now, rate: [f64; 2]) -> Option<FrontEnd> {
        let [low, high] = course.sequence.extremes();
        let tips = self.tips(course.draw, now);
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
