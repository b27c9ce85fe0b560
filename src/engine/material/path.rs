//! An increment of strain followed in equal parts, each a step of backward Euler; see
//! [`Place`](crate::material::state::Place).

use nalgebra::Vector4;
use simba::simd::{SimdBool, SimdPartialOrd, SimdSigned, SimdValue};

use crate::material::history::Turn;
use crate::material::lanes::{Four, LANES, Some4, all, apart, has, of_each};
use crate::material::search::{Step, YIELD_TOLERANCE, plastic_increment};
use crate::material::state::{Place, PointFlow, ReturnMapError, Start};

/// Four histories on their way through an increment, as one of the maps sees them.
pub(crate) trait Path {
    /// A trial stress.
    type Trial;
    /// A step with some Δp.
    type Step: Step;

    /// Equivalent plastic strain so far.
    fn equivalent(&self) -> Four;

    /// Stress were there no more flow than so far, where `share` of the increment lies behind.
    fn trial(&self, share: f64) -> Self::Trial;

    /// Equivalent of a trial stress relative to the backstress, MPa.
    fn size(&self, trial: &Self::Trial) -> Four;

    /// The step from here, were its Δp `increment`.
    fn at(&self, trial: &Self::Trial, increment: Four) -> Self::Step;

    /// Takes the step for the points that `flow`; Δp of the others is zero.
    fn step_on(&mut self, step: &Self::Step, increment: Four, share: f64, flow: Some4) -> Turn;

    /// Three shear moduli, MPa.
    fn stiffness(&self) -> f64;
}

/// The points that yield under a stress of this size.
pub(crate) fn yields(size: Four, yield_stress: Four) -> Some4 {
    // What is not a number counts as yielding: the search then says so.
    !size.simd_le(yield_stress * all(1.0 + YIELD_TOLERANCE))
}

/// Plastic increment from which the search in each part starts.
struct Guess {
    /// Growth of the plastic strain by the last iterate, shared out among the parts.
    even: Four,
    /// That of the part before.
    before: Four,
}

impl Guess {
    fn of(&self, known: Four) -> Four {
        let later = self.before.select(self.before.simd_gt(Four::ZERO), self.even);
        known.select(known.simd_gt(Four::ZERO), later)
    }
}

/// Takes `path` through its increment, for the points that `yield` under the whole of it.
/// `yield_stress` is that at the start, MPa; `old` and `last` are histories at the start and of the
/// last iterate; for `parts` see [`Place`](crate::material::state::Place). With `exact` the path
/// keeps derivatives. Returns the estimate of the error of every point, over the yield stress.
pub(crate) fn follow<P: Path>(
    path: &mut P,
    (mut yield_stress, yielding): (Four, Some4),
    (old, last): (&[PointFlow], &[PointFlow]),
    parts: &mut [f64],
    exact: bool,
) -> Result<Four, (usize, ReturnMapError)> {
    let count = old.len();
    let number = parts.len() / count;
    let apart = of_each(count, |k| last[k].equivalent - old[k].equivalent).simd_abs();
    let mut guess = Guess { even: apart / all(number as f64), before: Four::ZERO };
    let mut error = Four::ZERO;
    for (index, part) in parts.chunks_exact_mut(count).enumerate() {
        // The last share is exactly one.
        let share = (index + 1) as f64 / number as f64;
        let trial = path.trial(share);
        let size = path.size(&trial);
        let flow = yielding & yields(size, yield_stress);
        if flow.none() {
            part.fill(0.0);
            continue;
        }
        let known = of_each(count, |k| part[k]);
        let begin = (guess.of(known), known.simd_gt(Four::ZERO));
        let (increment, step) = plastic_increment(yield_stress, begin, flow, exact, |increment| {
            path.at(&trial, increment)
        })
        .map_err(|point| {
            let equivalent = path.equivalent().extract(point);
            (point.min(count - 1), ReturnMapError { trial: size.extract(point), equivalent })
        })?;
        let turn = path.step_on(&step, increment, share, flow);
        let stretch = all(path.stiffness()) * increment / yield_stress;
        error += all(0.5) * stretch * turn.direction + turn.back / yield_stress;
        error /= Four::ONE + stretch;
        part.copy_from_slice(&<[f64; LANES]>::from(increment)[..count]);
        guess.before = increment.select(flow, guess.before);
        yield_stress = step.yield_stress().select(flow, yield_stress);
    }
    Ok(error)
}

/// The worst of the errors of the points that `yielded`.
pub(crate) fn worst(error: Four, yielded: Some4) -> f64 {
    let error = <[f64; LANES]>::from(error.select(yielded, Four::ZERO));
    error.into_iter().fold(0.0, f64::max)
}

/// Writes the histories at the end: anew for the points that `yielded`, with their equivalent
/// plastic strain, the plastic strain of the increment (a tensor), and their backstress terms.
pub(crate) fn put(
    start: Start<'_>,
    yielded: Some4,
    (equivalent, flow): (Four, Vector4<Four>),
    (terms, back): (usize, impl Fn(usize) -> Vector4<Four>),
    place: &mut Place<'_>,
) {
    let count = start.flows.len();
    let places = start.backs.len() / count;
    let anew = |k: &usize| has(yielded, *k);
    let (equivalent, flow) = (<[f64; LANES]>::from(equivalent), apart(&flow));
    for k in (0..count).filter(anew) {
        let [xx, yy, zz, xy] = flow[k].into();
        let grown = Vector4::new(xx, yy, zz, 2.0 * xy);
        let plastic_strain = start.flows[k].plastic_strain + grown;
        place.flows[k] = PointFlow { plastic_strain, equivalent: equivalent[k] };
    }
    for term in 0..terms {
        let backs = apart(&back(term));
        for k in (0..count).filter(anew) {
            place.backs[k * places + term] = backs[k];
        }
    }
    for k in (0..count).filter(|k| !anew(k)) {
        place.become_again(start, k);
    }
}
