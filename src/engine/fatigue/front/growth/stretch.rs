//! Passes of a sequence taken together, up to where something changes: the crack becomes through, or its life ends.

use super::{Course, FrontGrower, Now, PASS};
use crate::fatigue::front::front_life::{FrontEnd, FrontPoint};
use crate::numeric::embedded::Step;

/// Largest growth of the logarithm of a size in one step.
const LARGEST_STEP: f64 = 0.1;
/// The same towards passes that are taken one by one, and between two points of a life.
const SHORT_STEP: f64 = 0.04;
/// Error of a step in the logarithm of a size at which it is accepted.
const TOLERANCE: f64 = 2e-6;
/// Growth of the logarithm of a size within which the end of a life is found where rates are not finite.
const END: f64 = 1e-3;
/// Halvings of a step in the search for a change: a millionth of it.
const HALVINGS: u32 = 20;

/// Passes that were taken together.
pub(super) struct Stretch {
    /// Size after them.
    pub(super) now: Now,
    /// How many.
    pub(super) passes: f64,
    /// Growth of the logarithms of `a` and `c` in the pass that follows.
    pub(super) rate: [f64; 2],
    step: Step<2>,
    /// Growth of the logarithm of a size.
    grown: f64,
}

impl Stretch {
    /// Sizes on the way, short of the last, for a life that has lasted `cycles`; passes have `in_pass`.
    pub(super) fn points(&self, cycles: f64, in_pass: f64) -> impl Iterator<Item = FrontPoint> {
        let count = (self.grown / SHORT_STEP).ceil().max(1.0);
        let shares = (1_u32..).map(move |k| f64::from(k) / count).take_while(|share| *share < 1.0);
        shares.map(move |share| {
            let passes = share * self.passes;
            let [a, c] = self.step.at(passes / self.step.length).map(f64::exp);
            FrontPoint { cycles: cycles + passes * in_pass, a, c }
        })
    }
}

impl FrontGrower {
    /// The longest step.
    pub(super) fn largest_step(&self) -> f64 {
        self.step_share * LARGEST_STEP
    }

    /// Passes taken together from `now` on, where the rates are `first`.
    pub(super) fn stretch(
        &self,
        course: &Course<'_>,
        now: Now,
        first: [f64; 2],
        next: &mut f64,
    ) -> Stretch {
        let short = self.step_share * SHORT_STEP;
        loop {
            let step = self.step(course, now, first, next);
            let fastest = |rate: [f64; 2]| rate[0].max(rate[1]);
            let (grown, last) = (step.length * fastest(first), step.rates[1]);
            let finite = last.iter().all(|rate| rate.is_finite());
            if grown > 1.01 * short && !(finite && fastest(last) < PASS) {
                *next = short;
                continue;
            }
            let (share, changed) = self.through_in(now, &step);
            let at = |part: f64| Now {
                y: step.at(part),
                through: now.through || changed && part >= share,
            };
            let mut reached = at(share);
            let mut rate = if share < 1.0 || changed { self.passes(course, reached) } else { last };
            let ends = self.ended(course, reached, rate);
            if !matches!(ends, None | Some(FrontEnd::Arrest)) && grown > self.step_share * END {
                if !finite {
                    *next = 0.25 * grown;
                    continue;
                }
                let [mut low, mut high] = [0.0, share];
                for _ in 0..HALVINGS {
                    let middle = 0.5 * (low + high);
                    let here = at(middle);
                    let ended = self.ended(course, here, first).is_some();
                    *(if ended { &mut high } else { &mut low }) = middle;
                }
                reached = at(high);
                rate = self.passes(course, reached);
                let passes = high * step.length;
                return Stretch { now: reached, passes, rate, grown: high * grown, step };
            }
            let passes = share * step.length;
            return Stretch { now: reached, passes, rate, grown: share * grown, step };
        }
    }

    /// The share of a step after which the crack is through, and whether it becomes so in it.
    fn through_in(&self, now: Now, step: &Step<2>) -> (f64, bool) {
        let deepest = self.deepest().ln();
        if now.through || step.states[1][0] < deepest {
            return (1.0, false);
        }
        let [mut low, mut high] = [0.0, 1.0];
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if step.at(middle)[0] < deepest { low = middle } else { high = middle }
        }
        (high, true)
    }

    /// One step of passes taken together.
    fn step(&self, course: &Course<'_>, now: Now, first: [f64; 2], next: &mut f64) -> Step<2> {
        let tolerance = TOLERANCE * self.step_share.powi(5);
        loop {
            let passes = *next / first[0].max(first[1]);
            let rate = |y: [f64; 2]| self.passes(course, Now { y, ..now });
            let step = Step::new(now.y, first, passes, rate);
            let factor = 0.9 * (tolerance / step.error).powf(0.2);
            let accepted = step.error <= tolerance || *next < 1e-6;
            // An error that is no number shortens the step as much as any.
            let factor = if factor.is_nan() { 0.2 } else { factor.clamp(0.2, 4.0) };
            *next = (*next * factor).min(self.largest_step());
            if accepted {
                return step;
            }
        }
    }
}
