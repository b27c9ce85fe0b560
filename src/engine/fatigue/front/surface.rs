//! Lives of many drawn cracks under a long sequence: from a surface of few, and one by one where that is not smooth.
//!
//! ```text
//!   N(flaw, field, growth) = N(flaw, field, 1)/growth,     ln N a smooth surface over ln flaw, whole, entry
//! ```
//!
//! Growth scales a life as a whole, so three quantities are left, those that are drawn at all. Lives are computed on an
//! even grid of them and between it read by cubics through four nodes in each direction. A draw is grown by itself
//! where a node near it has no end, where third differences of `ln N` are large (the crack almost stops, or the way it
//! ends changes), and where so few passes are borne that the order of their blocks counts; in one and the same field, that of a
//! plain hole, only the last passes are then grown (`tail`).
//!
//! Which of the two a draw gets depends on the draws alone, so the answer is the same for any number of threads.

mod tail;

use rayon::prelude::*;

use crate::fatigue::front::front_life::{Draw, FrontLife};
use crate::fatigue::front::growth::FrontGrower;
use crate::fatigue::front::parts::FieldShare;
use crate::fatigue::front::surface::tail::Tail;
use crate::fatigue::sequence::LoadSequence;
use crate::numeric::whole::whole_part;

/// Nodes of a quantity that is drawn: factor on the flaw, whole field, entry share.
const NODES: [usize; 3] = [12, 5, 5];
/// Largest third difference of `ln N` between nodes. Where the slope breaks between two of them a cubic is off by a
/// seventh of it in each direction at most.
const ROUGH: f64 = 0.012;
/// Factor on growth with which the nodes are grown: their passes can be taken together almost to the end, so that lives
/// are smooth where blocks in their order would make steps of them.
const SLOW: f64 = 0.01;
/// Length of the steps of the nodes over the usual one, where there are many.
const COARSE: f64 = 2.0;
/// Passes of the sequence from which on their order within the last does not count, whatever ends the life.
const FEWEST_PASSES: f64 = 50.0;
/// Blocks from which on a surface is cheaper than the lives themselves.
const LONG: usize = 20;

/// Lives of one crack over what is drawn.
pub(super) struct LifeSurface<'a> {
    grower: &'a FrontGrower,
    sequence: &'a LoadSequence,
    grid: Option<Grid>,
}

/// Logarithms of lives at growth 1, passes; the last direction runs fastest.
struct Grid {
    /// A crack of the draws, whose flaw has factor 1.
    middle: Draw,
    lines: [Line; 3],
    logarithms: Vec<f64>,
    /// The last passes, for lives of few.
    tail: Option<Tail>,
}

/// Evenly spaced nodes.
#[derive(Clone, Copy)]
struct Line {
    low: f64,
    high: f64,
    count: usize,
}

/// Four neighbours of a place on a line, with their weights; one where the line is a point.
struct Near {
    first: usize,
    weights: Vec<f64>,
}

impl<'a> LifeSurface<'a> {
    /// For the cracks of `draws`, whose flaws are multiples of that of `middle`.
    pub(super) fn new(
        grower: &'a FrontGrower,
        sequence: &'a LoadSequence,
        middle: Draw,
        draws: &[Draw],
    ) -> Self {
        let grid = (sequence.blocks().len() >= LONG && grower.retardation.is_none())
            .then(|| Grid::new(grower, sequence, middle, draws))
            .flatten();
        Self { grower, sequence, grid }
    }

    /// Cycles that a drawn crack bears; infinite where it has no end.
    pub(super) fn cycles_borne(&self, draw: &Draw) -> f64 {
        let read = self.grid.as_ref().and_then(|grid| {
            let passes = grid.at(place(self.grower, &grid.middle, draw))? / draw.growth;
            if passes >= FEWEST_PASSES {
                return Some(passes * self.sequence.cycles_in_pass());
            }
            grid.tail.as_ref()?.cycles_borne((self.grower, self.sequence), draw, passes)
        });
        match read {
            Some(cycles) if cycles > self.grower.limits.most_cycles => f64::INFINITY,
            Some(cycles) => cycles,
            None => self.grower.life(self.sequence, draw).cycles_borne(),
        }
    }
}

/// Place of a draw on the lines: logarithm of the factor on the flaw, whole field, entry share where it counts.
fn place(grower: &FrontGrower, middle: &Draw, draw: &Draw) -> [f64; 3] {
    let FieldShare { whole, entry } = draw.field;
    let counts = grower.has_entry_share && whole != 0.0;
    [(draw.flaw[1] / middle.flaw[1]).ln(), whole, if counts { entry } else { 1.0 }]
}

impl Grid {
    /// `None` where the draws are so few that lives one by one are cheaper.
    fn new(
        grower: &FrontGrower,
        sequence: &LoadSequence,
        middle: Draw,
        draws: &[Draw],
    ) -> Option<Self> {
        let places = draws.iter().map(|draw| place(grower, &middle, draw));
        let ends = places.fold([[f64::INFINITY, f64::NEG_INFINITY]; 3], |ends, place| {
            [0, 1, 2].map(|k| [ends[k][0].min(place[k]), ends[k][1].max(place[k])])
        });
        let lines = [0, 1, 2].map(|k| Line::new(ends[k], NODES[k]));
        let count: usize = lines.iter().map(|line| line.count).product();
        if count >= draws.len() {
            return None;
        }
        let node = |index: usize| {
            let rest = index / lines[2].count;
            let numbers = [rest / lines[1].count, rest % lines[1].count, index % lines[2].count];
            let [factor, whole, entry] = [0, 1, 2].map(|k| lines[k].node(numbers[k]));
            let flaw = middle.flaw.map(|size| size * factor.exp());
            Draw { flaw, field: FieldShare { whole, entry }, growth: SLOW }
        };
        // The passes at the end of lives are the same in one field, and are read from a node.
        let one_field = lines[1].count * lines[2].count == 1;
        let steps = if one_field { 1.0 } else { COARSE };
        let mut slow = FrontGrower { step_share: steps * grower.step_share, ..grower.clone() };
        slow.limits.most_cycles /= SLOW;
        let all: Vec<FrontLife> =
            (0..count).into_par_iter().map(|index| slow.life(sequence, &node(index))).collect();
        let passes = |life: &FrontLife| SLOW * life.cycles_borne() / sequence.cycles_in_pass();
        let logarithms = all.iter().map(|life| passes(life).ln()).collect();
        let nodes = all.iter().enumerate().map(|(index, life)| (node(index), life));
        let tail = one_field.then(|| Tail::new(grower, sequence, nodes)).flatten();
        Some(Self { middle, lines, logarithms, tail })
    }

    /// Passes at growth 1; `None` where the surface is not smooth or ends.
    fn at(&self, place: [f64; 3]) -> Option<f64> {
        let near = [0, 1, 2].map(|k| self.lines[k].near(place[k]));
        let [flaw, whole, entry] = &near;
        let strides = [self.lines[1].count * self.lines[2].count, self.lines[2].count, 1];
        let value = |numbers: [usize; 3]| {
            let index = (0..3).map(|k| (near[k].first + numbers[k]) * strides[k]);
            self.logarithms[index.sum::<usize>()]
        };
        // The first node of a line of four speaks for it. Not-a-number is not smooth.
        let starts = |numbers: [usize; 3], along: usize| {
            numbers[along] == 0 && near[along].weights.len() == 4
        };
        let third = |numbers: [usize; 3], along: usize| {
            let [a, b, c, d] = [0, 1, 2, 3].map(|step| {
                let mut other = numbers;
                other[along] = step;
                value(other)
            });
            (d - a - 3.0 * (c - b)).abs()
        };
        let mut sum = 0.0;
        for (i, u) in flaw.weights.iter().enumerate() {
            for (j, v) in whole.weights.iter().enumerate() {
                for (k, w) in entry.weights.iter().enumerate() {
                    let numbers = [i, j, k];
                    let mut lines = (0..3).filter(|&along| starts(numbers, along));
                    let here = value(numbers);
                    if !(here.is_finite() && lines.all(|along| third(numbers, along) <= ROUGH)) {
                        return None;
                    }
                    sum += u * v * w * here;
                }
            }
        }
        Some(sum.exp())
    }
}

impl Line {
    fn new([low, high]: [f64; 2], count: usize) -> Self {
        Self { low, high, count: if high > low { count } else { 1 } }
    }

    fn node(&self, number: usize) -> f64 {
        let share = number as f64 / (self.count.max(2) - 1) as f64;
        self.low + (self.high - self.low) * share
    }

    /// The four nodes about `x`, which lies on the line, and the weights of the cubic through them.
    fn near(&self, x: f64) -> Near {
        if self.count == 1 {
            return Near { first: 0, weights: vec![1.0] };
        }
        let at = (x - self.low) / (self.high - self.low) * (self.count - 1) as f64;
        let first = whole_part(at, self.count - 2).saturating_sub(1).min(self.count - 4);
        let s = at - first as f64;
        let weights = vec![
            -(s - 1.0) * (s - 2.0) * (s - 3.0) / 6.0,
            s * (s - 2.0) * (s - 3.0) / 2.0,
            -s * (s - 1.0) * (s - 3.0) / 2.0,
            s * (s - 1.0) * (s - 2.0) / 6.0,
        ];
        Near { first, weights }
    }
}
