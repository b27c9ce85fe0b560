//! From measured residual stresses back to the metal and the work: unknowns of a case by least squares over
//! full solutions, their uncertainty, and that of the field.
//!
//! A solution is a run of all stages. Derivatives are differences of two solutions either way of the
//! point; the search is that of [`fit`](crate::fit). Each unknown is varied on a scale of its own, on which
//! 1 is as much as is plausible without any measurement: half the way for a share, a third for a yield
//! stress or an expansion. What the points do not tell on that scale gets no number.

mod answer;
mod change;
mod drawn;
mod finish;
mod infer_error;
pub mod line;
mod next;
mod question;
mod solution;

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::case::Case;
use crate::fit::certainty::Certainty;
use crate::fit::least_squares::{Ends, Model, least_squares};
use crate::fit::statistics::{chance_of_squares, normal_quantile, student_quantile};
pub use crate::study::infer::answer::{Band, Banded, FoundUnknown, Inferred};
pub use crate::study::infer::change::{at_faces, changed, start};
use crate::study::infer::change::{limits, variable};
pub use crate::study::infer::drawn::DrawAgreement;
use crate::study::infer::finish::finish;
pub use crate::study::infer::infer_error::InferError;
pub use crate::study::infer::next::{Further, furthers};
use crate::study::infer::question::Question;
pub use crate::study::infer::solution::{Solution, solve};

/// Iterations cost two solutions an unknown each. A billionth of the squares moves an unknown by some ten-thousandth of its
/// standard error.
const ENDS: Ends = Ends { iterations: 12, tolerance: 1e-9 };

/// Chance below which the stated errors are too small for the deviations.
const UNLIKELY: f64 = 0.01;

/// Finds the unknowns of `case` from its measurements; `watch` is told how many solutions are done.
///
/// # Errors
///
/// [`InferError`] of any kind.
pub fn infer(
    case: &Case,
    stop: &AtomicBool,
    watch: &(dyn Fn(usize) + Sync),
) -> Result<Inferred, InferError> {
    if case.unknowns.is_empty() {
        return Err(InferError::NothingAsked);
    }
    if case.measured.is_empty() && case.gauges.is_empty() && case.readings.is_empty() {
        return Err(InferError::NothingMeasured);
    }
    let begin: Vec<f64> =
        case.unknowns.iter().map(|u| start(case, u.asked)).collect::<Result<_, _>>()?;
    let first = solve(case, &case.job, stop).map_err(|why| {
        if stop.load(Ordering::SeqCst) { InferError::Stopped } else { InferError::Unsolved(why) }
    })?;
    let compared: Vec<bool> = first.computed().iter().map(Option::is_some).collect();
    let (data, stated) = data(case, &first, &compared)?;
    let question = Question {
        case,
        start: begin,
        data,
        compared,
        stop,
        solutions: AtomicUsize::new(1),
        watch,
        last: Mutex::default(),
    };
    let (rows, unknowns) = (question.points(), case.unknowns.len());
    if rows <= unknowns {
        return Err(InferError::TooFewPoints([question.data.len(), unknowns]));
    }
    let all = case.unknowns.iter().zip(&question.start);
    let bounds: Vec<[f64; 2]> = all.map(|(u, start)| limits(u.asked, *start)).collect();
    let begin: Vec<f64> = case
        .unknowns
        .iter()
        .zip(&question.start)
        .map(|(u, start)| variable(u.asked, *start, u.expected.map_or(*start, |e| e[0])))
        .collect();
    let best = least_squares(&question, &begin, &bounds, ENDS).ok_or_else(|| {
        if stop.load(Ordering::SeqCst) {
            InferError::Stopped
        } else {
            InferError::Unsolved("no solution within the limits of the unknowns".to_owned())
        }
    })?;
    let spare = rows - unknowns;
    let too_far = stated.then(|| chance_of_squares(best.squares, spare) < UNLIKELY);
    let (variance, quantile) = match too_far {
        Some(false) => (1.0, normal_quantile()),
        _ => (best.squares / spare as f64, student_quantile(spare)),
    };
    let columns = &best.deviations.columns;
    // In a flat valley the search runs to a limit, which is no answer: then nothing is held.
    let free = Certainty::new(columns, &vec![false; unknowns], variance, quantile);
    let certainty = if free.untold.is_empty() {
        Certainty::new(columns, &best.at_limit, variance, quantile)
    } else {
        free
    };
    finish(&question, &best.variables, (&best.at_limit, &best.deviations), certainty, too_far)
}

/// Measured values at the points that are `compared`, and what one unit of each counts; and whether all stresses have their
/// errors.
fn data(
    case: &Case,
    first: &Solution,
    compared: &[bool],
) -> Result<(Vec<(f64, f64)>, bool), InferError> {
    let depths = case.readings.stresses.iter().map(|depth| &depth.measured);
    let points =
        case.measured.iter().chain(depths).flat_map(|measured| &measured.points).zip(compared);
    let points: Vec<_> = points.filter(|(_, on)| **on).map(|(point, _)| point).collect();
    let stated = points.iter().all(|point| point.plus_minus.is_some_and(|error| error > 0.0));
    if !stated && !case.readings.is_empty() {
        let why = "stresses stand beside readings of a section, and some have no `plus_minus`";
        return Err(InferError::Missing(why));
    }
    let strain_scale = |error: f64| {
        // Beside stresses without errors, which count by the MPa, a strain counts by the stress it makes.
        if stated { error.recip() } else { case.job.material.elasticity.youngs_modulus }
    };
    if let Some(off) = first.gauges.iter().find(|reading| reading.computed.is_none()) {
        return Err(InferError::OffMetal(off.gauge.label.clone()));
    }
    if let Some(off) = first.singles.iter().find(|single| single.computed.is_none()) {
        return Err(InferError::NotReached(off.reading.label.clone()));
    }
    let singles = case.readings.single.iter().map(|one| (one.value, one.plus_minus.recip()));
    let data = points
        .iter()
        .map(|p| (p.stress, if stated { p.plus_minus.unwrap_or(1.0).recip() } else { 1.0 }))
        .chain(case.gauges.iter().map(|g| (g.strain, strain_scale(g.plus_minus))))
        .chain(singles)
        .collect();
    Ok((data, stated))
}
