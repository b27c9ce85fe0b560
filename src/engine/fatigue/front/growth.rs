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

mod in_order;
mod stretch;

use std::f64::consts::PI;

use crate::fatigue::constants::GrowthModel;
use crate::fatigue::crack::CrackGeometry;
use crate::fatigue::end::Limits;
use crate::fatigue::front::field::EntryShare;
use crate::fatigue::front::front_life::{Draw, FrontEnd, FrontLife, FrontPoint};
use crate::fatigue::front::intensity::FrontTable;
use crate::fatigue::front::tips::{OpenTips, Tips};
use crate::fatigue::intensity::ContactRule;
use crate::fatigue::pass::Pass;
use crate::fatigue::pass::lines::{Lines, TipsAt};
use crate::fatigue::sequence::LoadSequence;
use crate::fatigue::table::IntensityTable;

/// Growth of a pass over the size from which on blocks are taken one by one. Below, their order changes the growth of
/// a pass by less than a hundredth.
const PASS: f64 = 0.02;
/// Most steps and passes of a life.
const MOST_STEPS: usize = 200_000;

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

/// K at both tips under any stress.
#[derive(Clone, Copy)]
enum Counted {
    /// Below zero where a tip is closed.
    Whole(Tips),
    /// None there.
    Open(OpenTips),
    /// None there, with no more to it than straight lines.
    Lines(Lines<2>),
}

/// K at the first of both tips.
struct First(Counted);

impl TipsAt<2> for Counted {
    fn at(&self, stress: f64) -> [f64; 2] {
        match self {
            Self::Whole(tips) => tips.total(stress),
            Self::Open(tips) => tips.at(stress),
            Self::Lines(lines) => lines.at(stress),
        }
    }

    fn lines(&self) -> Option<Lines<2>> {
        if let Self::Lines(lines) = self { Some(*lines) } else { None }
    }
}

impl TipsAt<1> for First {
    fn at(&self, stress: f64) -> [f64; 1] {
        [self.0.at(stress)[0]]
    }

    fn lines(&self) -> Option<Lines<1>> {
        self.0.lines().map(Lines::first)
    }
}

/// Furthest reach of a plastic zone ahead of each tip, as a length of that tip: `[c, a]`.
type Reach = [f64; 2];

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
                let used;
                (now, used) = self.in_order(course, now, &mut reach);
                cycles += used;
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
        let counted = self.counted(&tips);
        if now.through {
            let [face] = course.pass.growth([c], &First(counted));
            return [0.0, growth * face / c];
        }
        let [face, bore] = course.pass.growth([c, a], &counted);
        [growth * bore / a, growth * face / c]
    }

    /// K at the tips under a remote stress, as the law counts it: it may ask how far a closed tip is from opening.
    fn counted(&self, tips: &Tips) -> Counted {
        if self.contact == ContactRule::FullRange {
            return Counted::Whole(*tips);
        }
        let open = tips.open();
        open.lines().map_or(Counted::Open(open), Counted::Lines)
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
