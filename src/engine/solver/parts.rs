//! How many parts every element follows the strain of an increment in, by the error they make.
//!
//! The maps estimate what their parts do wrong ([`Flowed::error`](crate::material::state::Flowed)).
//! That error is proportional to the size of a part, so it tells how many are needed. Once an
//! increment is in equilibrium, elements that are off by more than the tolerance take more parts and
//! the iterations go on: the answer is near, and that costs one or two corrections. A section, where that
//! happens in two increments of three and costs six, looks once before, on the way. Elements that
//! would have done with fewer take fewer later on.
//!
//! Counts are powers of two, start with the most in every phase, and follow from accepted increments alone,
//! so an attempt that was not taken leaves no trace.

/// Most parts of an increment that an element takes; beyond, increments have to be shorter.
pub(crate) const MOST_PARTS: usize = 16;

/// Fewest: the estimate needs two directions of flow.
const LEAST_PARTS: usize = 4;

/// Tolerance over the error from which an element may take fewer parts.
const FAR_BELOW: f64 = 8.0;

/// Increments in a row after which it does. One says little: an element that has just begun to yield
/// makes hardly any error, and the largest in the next increment.
const CALM: u8 = 2;

/// Error over the tolerance from which an increment is not accepted as it is.
const TOO_MUCH: f64 = 1.5;

/// Parts of the elements of one kind.
#[derive(Clone, Debug, Default)]
pub(crate) struct Parts {
    /// Parts of every element.
    pub(crate) counts: Vec<u8>,
    /// Error that every element last made, over the yield stress.
    pub(crate) errors: Vec<f32>,
    /// Parts at the start of the increment.
    before: Vec<u8>,
    /// Increments in a row that every element would have done with fewer parts.
    calm: Vec<u8>,
}

impl Parts {
    /// Gives each of `elements` the same number of parts.
    pub(crate) fn begin(&mut self, elements: usize, count: usize) {
        let count = u8::try_from(count).unwrap_or(u8::MAX);
        for counts in [&mut self.counts, &mut self.before] {
            counts.clear();
            counts.resize(elements, count);
        }
        self.errors.clear();
        self.errors.resize(elements, 0.0);
        self.calm.clear();
        self.calm.resize(elements, 0);
    }

    /// Gives elements that are off by more than `tolerance` as many parts as they need, and tells `note`
    /// their numbers. Returns whether there are any.
    pub(crate) fn refine(&mut self, tolerance: f64, mut note: impl FnMut(usize)) -> bool {
        let mut refined = false;
        for (element, (count, error)) in self.counts.iter_mut().zip(&self.errors).enumerate() {
            let error = f64::from(*error);
            if error > TOO_MUCH * tolerance && usize::from(*count) < MOST_PARTS {
                *count = needed(*count, error, tolerance);
                note(element);
                refined = true;
            }
        }
        refined
    }

    /// Takes note of an accepted increment: elements that would have done with far fewer parts, in
    /// this one and the one before, take half of them in the next. Those that stay elastic keep
    /// theirs: they cost nothing, and the first increment that yields needs them.
    pub(crate) fn accept(&mut self, tolerance: f64) {
        let elements = self.counts.iter_mut().zip(&self.errors).zip(&mut self.calm);
        for ((count, error), calm) in elements {
            let error = f64::from(*error);
            let few = error > 0.0 && FAR_BELOW * error < tolerance;
            *calm = if few { *calm + 1 } else { 0 };
            if *calm == CALM && usize::from(*count) > LEAST_PARTS {
                *count /= 2;
                *calm = 0;
            }
        }
        self.before.clone_from(&self.counts);
    }

    /// Goes back to the parts at the start of the increment.
    pub(crate) fn restore(&mut self) {
        self.counts.clone_from(&self.before);
    }
}

/// Smallest power of two of parts, at most [`MOST_PARTS`], with which `count` parts that make
/// `error` would keep `tolerance`.
fn needed(count: u8, error: f64, tolerance: f64) -> u8 {
    let mut needed = count.max(1);
    while f64::from(needed) * tolerance < f64::from(count) * error
        && usize::from(needed) < MOST_PARTS
    {
        needed = needed.saturating_mul(2);
    }
    needed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_three_times_too_large_takes_four_times_the_parts() {
        let mut parts = Parts::default();
        parts.begin(3, 4);
        parts.errors = vec![3e-3, 1.2e-3, 1.0];
        let mut refined = Vec::new();
        assert!(parts.refine(1e-3, |element| refined.push(element)));
        assert_eq!(refined, [0, 2]);
        assert_eq!(parts.counts, [16, 4, 16]);
        assert!(!parts.refine(1e-3, |_| ()), "none has room for more");
    }

    #[test]
    fn fewer_parts_are_taken_after_two_increments_that_needed_few() {
        let mut parts = Parts::default();
        parts.begin(3, 16);
        parts.errors = vec![1e-4, 9e-4, 0.0];
        parts.accept(1e-3);
        assert_eq!(parts.counts, [16; 3]);
        parts.accept(1e-3);
        assert_eq!(parts.counts, [8, 16, 16], "the elastic element keeps its parts");
        for _ in 0..9 {
            parts.accept(1e-3);
        }
        assert_eq!(parts.counts, [4, 16, 16]);
    }

    #[test]
    fn an_attempt_that_was_not_taken_leaves_no_trace() {
        let mut parts = Parts::default();
        parts.begin(1, 4);
        parts.errors = vec![1.0];
        parts.refine(1e-3, |_| ());
        parts.restore();
        assert_eq!(parts.counts, [4]);
    }
}
