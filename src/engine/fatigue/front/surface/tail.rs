//! Lives of few passes, which end at one block of the last: read from the surface but for the passes at their end.
//!
//! In one field every crack that is through goes the same way to its end: its length tells how many passes are left. From
//! the length two to three passes before the end the crack is grown block by block. The order of the blocks before, which
//! passes taken together leave out, moves the end by some hundredths of a pass, however many there are; by how much is
//! known from lives that are grown whole.

use rayon::prelude::*;

use crate::fatigue::front::front_life::{Draw, FrontLife};
use crate::fatigue::front::growth::FrontGrower;
use crate::fatigue::sequence::LoadSequence;

/// Share of a life by which the order of its blocks may move it from the one that is read.
const IN_DOUBT: f64 = 0.003;

/// The way of through cracks to their end.
pub(super) struct Tail {
    /// Rising passes to the end at growth 1, with the logarithm of the length.
    points: Vec<[f64; 2]>,
    /// Passes that lives grown whole have more than those that are read, in the middle.
    more: f64,
    /// Fewest passes of a life that may be read.
    fewest: f64,
}

impl Tail {
    /// From drawn cracks in one field with their lives by passes taken together; `None` where one does not end as a
    /// through crack.
    pub(super) fn new<'a>(
        grower: &FrontGrower,
        sequence: &LoadSequence,
        nodes: impl Iterator<Item = (Draw, &'a FrontLife)>,
    ) -> Option<Self> {
        let nodes: Vec<(Draw, &FrontLife)> = nodes.collect();
        let in_pass = sequence.cycles_in_pass();
        let ways = nodes.iter().map(|(draw, life)| way(draw, life, in_pass));
        let ways: Vec<_> = ways.collect::<Option<_>>()?;
        let longest = |way: &Vec<[f64; 2]>| way.last().map_or(0.0, |first| first[0]);
        let points = ways.into_iter().max_by(|a, b| longest(a).total_cmp(&longest(b)))?;
        let mut tail = Self { points, more: 0.0, fewest: 0.0 };
        let more = |(draw, life): &(Draw, &FrontLife)| {
            let whole = Draw { growth: 1.0, ..*draw };
            let passes = draw.growth * life.cycles_borne() / in_pass;
            let read = tail.cycles_borne((grower, sequence), &whole, passes)?;
            Some((grower.life(sequence, &whole).cycles_borne() - read) / in_pass)
        };
        let more: Vec<f64> = nodes.par_iter().map(more).collect::<Option<_>>()?;
        tail.more = more.iter().sum::<f64>() / more.len() as f64;
        let doubt = more.iter().map(|one| (one - tail.more).abs()).fold(0.0, f64::max);
        tail.fewest = doubt / IN_DOUBT;
        // A life without end has no last passes.
        tail.more.is_finite().then_some(tail)
    }

    /// Cycles that a crack bears whose life by passes taken together is so many `passes`; `None` where they are too few, or
    /// the last of them begin before it is through.
    pub(super) fn cycles_borne(
        &self,
        (grower, sequence): (&FrontGrower, &LoadSequence),
        draw: &Draw,
        passes: f64,
    ) -> Option<f64> {
        let passes = passes + self.more;
        let whole = passes.floor() - 2.0;
        if !(passes >= self.fewest && whole >= 0.0) {
            return None;
        }
        let left = draw.growth * (passes - whole);
        let after = self.points.partition_point(|point| point[0] < left).max(1);
        let ([near, short], [far, long]) = (self.points[after - 1], *self.points.get(after)?);
        let length = (short + (left - near) / (far - near) * (long - short)).exp();
        let [_, deepest] = grower.table.longest();
        let begun = Draw { flaw: [deepest, length], ..*draw };
        Some(whole * sequence.cycles_in_pass() + grower.life(sequence, &begun).cycles_borne())
    }
}

/// Passes to the end at growth 1 with the logarithms of the lengths of a life, from its end to where it became through.
fn way(draw: &Draw, life: &FrontLife, in_pass: f64) -> Option<Vec<[f64; 2]>> {
    let through = life.points.get(life.through_at?..)?;
    let last = through.last().filter(|_| life.cycles_borne().is_finite())?;
    let passes = |cycles: f64| draw.growth * (last.cycles - cycles) / in_pass;
    Some(through.iter().rev().map(|at| [passes(at.cycles), at.c.ln()]).collect())
}
