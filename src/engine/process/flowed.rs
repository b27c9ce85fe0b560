//! In which steps of the work every integration point has yielded.
//!
//! The slope of the stress jumps where the metal that yielded in a step ends. In metal that has yielded
//! before, the plastic strain does not tell where that is.

use serde::{Deserialize, Serialize};

use crate::material::state::PointFlow;

/// Equivalent plastic strain below which a point has not yielded: rounding.
const NONE: f64 = 1e-9;

/// In which steps every integration point has yielded, and how far it had before the one at hand. An expansion up to its full
/// size is a step, and all that follows until the next: what yields in reverse when the tool leaves yields further in
/// a ream or under a load, and has one front.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Flowed {
    /// Equivalent plastic strain at the beginning of the step; empty before any.
    before: Vec<f64>,
    /// A bit for every step that is over; that of the 33rd takes the place of the first.
    steps: Vec<u32>,
    /// Steps that are over.
    over: u32,
}

impl Flowed {
    /// A step begins: the one before it is over.
    pub(crate) fn begin(&mut self, points: &[PointFlow]) {
        self.steps.resize(points.len(), 0);
        if !self.before.is_empty() {
            let bit = 1 << (self.over % u32::BITS);
            for (point, flow) in points.iter().enumerate() {
                let flowed = self.at_hand(point, flow.equivalent);
                let steps = &mut self.steps[point];
                *steps = if flowed { *steps | bit } else { *steps & !bit };
            }
            self.over += 1;
        }
        self.before = points.iter().map(|point| point.equivalent).collect();
    }

    /// Changes both lists alike, as the points of the mesh change.
    pub(crate) fn change(
        &self,
        before: impl Fn(&[f64]) -> Vec<f64>,
        steps: impl Fn(&[u32]) -> Vec<u32>,
    ) -> Self {
        Self { before: before(&self.before), steps: steps(&self.steps), over: self.over }
    }

    /// The same on the mesh that a cut has left: `old` has the point of the mesh before that each comes from, and
    /// `before` the strains that the step began with.
    pub(crate) fn cut(&self, old: &[usize], before: &[f64]) -> Self {
        let steps = old.iter().filter_map(|&old| self.steps.get(old)).copied().collect();
        Self { before: before.to_vec(), steps, over: self.over }
    }

    /// Metal of one class has yielded in the same steps; nothing is known where no step has begun. `now` is the
    /// equivalent plastic strain of `point`.
    pub(crate) fn class(&self, point: usize, now: f64) -> Option<u64> {
        let over = u64::from(*self.steps.get(point)?);
        Some(over << 1 | u64::from(self.at_hand(point, now)))
    }

    fn at_hand(&self, point: usize, now: f64) -> bool {
        self.before.get(point).is_some_and(|before| now - before > NONE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strains(values: [f64; 3]) -> Vec<PointFlow> {
        values.map(|equivalent| PointFlow { equivalent, ..PointFlow::default() }).to_vec()
    }

    #[test]
    fn metal_that_yields_in_the_same_steps_is_of_one_class() {
        let mut flowed = Flowed::default();
        assert_eq!(flowed.class(0, 0.1), None);
        flowed.begin(&strains([0.0; 3]));
        // Two of three points yield, then one of them again.
        let first = strains([0.01, 0.01, 0.0]);
        let classes = |flowed: &Flowed, now: &[PointFlow]| -> Vec<Option<u64>> {
            now.iter().enumerate().map(|(point, now)| flowed.class(point, now.equivalent)).collect()
        };
        let [a, b, c] = classes(&flowed, &first)[..] else { panic!("three points") };
        assert!(a == b && b != c);
        flowed.begin(&first);
        let second = strains([0.02, 0.01, 0.0]);
        let [a, b, c] = classes(&flowed, &second)[..] else { panic!("three points") };
        assert!(a != b && b != c && a != c);
        // A cut leaves the last two; the step goes on.
        let cut = flowed.cut(&[1, 2], &[0.01, 0.0]);
        assert_eq!(classes(&cut, &second[1..]), [b, c]);
        let wide = cut.change(|strains| [strains, &[0.0]].concat(), |steps| [steps, &[0]].concat());
        assert_eq!(wide.class(2, 0.0), c);
    }

    #[test]
    fn the_thirty_third_step_takes_the_place_of_the_first() {
        let mut flowed = Flowed::default();
        flowed.begin(&strains([0.0; 3]));
        flowed.begin(&strains([0.01, 0.0, 0.0]));
        for _ in 0..31 {
            flowed.begin(&strains([0.01, 0.0, 0.0]));
        }
        assert_ne!(flowed.class(0, 0.01), flowed.class(1, 0.0));
        flowed.begin(&strains([0.01, 0.0, 0.0]));
        assert_eq!(flowed.class(0, 0.01), flowed.class(1, 0.0));
    }
}
