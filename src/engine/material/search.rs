//! The search for the plastic increment Δp that ends a step on the yield surface.

use simba::simd::{SimdBool, SimdPartialOrd, SimdSigned, SimdValue};

use crate::material::lanes::{Four, Some4, all};

/// Yield condition met to this share of the yield stress: a few hundred roundings of a
/// sum of stresses, far below the 1e-8 that equilibrium asks for.
pub(crate) const YIELD_TOLERANCE: f64 = 1e-13;

/// Excess over the tolerance from which Newton's next step is the last: what it leaves goes with
/// the square, 1e-6 of the yield stress becoming about 1e-12.
const NEAR: f64 = 1e7;

/// The same where the search starts from the increment that the last iterate ended with: 1e-4 of the yield
/// stress becomes about 1e-8, and as the iterates come closer to each other that vanishes with the square of
/// their distance.
const NEAR_AGAIN: f64 = 1e9;

/// Steps before an increment is given up; Newton takes five, halving a hundred.
const MOST_STEPS: usize = 120;

/// A step with some Δp, of which the yield condition says whether it is the right one.
pub(crate) trait Step {
    /// Excess over yield, positive for too small a Δp, and its derivative by Δp; `now` is the yield
    /// stress before the step, MPa.
    fn excess(&self, now: Four) -> (Four, Four);

    /// The step with a little more Δp: what the stress needs of it, not the derivatives.
    fn beyond(self, by: Four) -> Self;

    /// Yield stress at its end, MPa.
    fn yield_stress(&self) -> Four;
}

/// Root of the yield condition in Δp for the points that `flow`, where the excess over yield starts
/// positive at zero and falls, and the step `at` it; zero for the others. Newton from `guess`, kept
/// between the last positive and negative values met. `again` are the points whose last iterate ended with
/// this guess. With `exact` the derivatives belong to the root too.
///
/// # Errors
///
/// The number of the first point that has no root.
pub(crate) fn plastic_increment<S: Step>(
    yield_now: Four,
    (guess, again): (Four, Some4),
    flow: Some4,
    exact: bool,
    at: impl Fn(Four) -> S,
) -> Result<(Four, S), usize> {
    let tolerance = all(YIELD_TOLERANCE) * yield_now;
    let near_enough = all(NEAR_AGAIN).select(again, all(NEAR)) * tolerance;
    let (mut low, mut high) = (Four::ZERO, all(f64::INFINITY));
    // Where a point is done its increment stays as it was last looked at, so that the step in its
    // lane does too; the root may lie `by` beyond.
    let (mut seen, mut by) = (guess.select(flow, Four::ZERO), Four::ZERO);
    let mut open = flow;
    for _ in 0..MOST_STEPS {
        let step = at(seen);
        let (value, slope) = step.excess(yield_now);
        let size = value.simd_abs();
        let positive = value.simd_gt(Four::ZERO);
        low = seen.select(positive, low);
        high = high.select(positive, seen);
        let newton = seen - value / slope;
        let inside = newton.simd_gt(low) & newton.simd_lt(high);
        let met = size.simd_le(tolerance);
        let near = inside & size.simd_le(near_enough);
        by = (newton - seen).select(open & near & !met, by);
        open = open & !(met | near);
        let bounded = high.simd_lt(all(f64::INFINITY));
        let lost = open & !(inside | bounded);
        if lost.any() {
            return Err(first(lost));
        }
        let next = newton.select(inside, all(0.5) * (low + high));
        let narrow = open & bounded & (high - low).simd_le(all(4.0 * f64::EPSILON) * high);
        by = (next - seen).select(narrow, by);
        open = open & !narrow;
        if open.none() {
            // So little beyond, the step is straight; the derivatives move too, which only the
            // tangent notices.
            return Ok((seen + by, if exact { at(seen + by) } else { step.beyond(by) }));
        }
        seen = next.select(open, seen);
    }
    Err(first(open))
}

/// The number of the first of them.
fn first(of: Some4) -> usize {
    of.bitmask().trailing_zeros() as usize
}
