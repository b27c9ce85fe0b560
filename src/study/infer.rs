//! From measured residual stresses back to the metal and the work: unknowns of a case by least squares over
//! full solutions, their uncertainty, and that of the field.
//!
//! A solution is a run of all stages. Derivatives are differences of two solutions either way of the
//! point; the search is that of [`fit`](crate::fit). Each unknown is varied on a scale of its own, on which
//! 1 is as much as is plausible without any measurement: half the way for a share, a third for a yield
//! stress or an expansion. What the points do not tell on that scale gets no number.

mod change;
mod infer_error;
mod next;
mod question;
mod solution;

use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use crate::case::Case;
use crate::case::unknown::UnknownTable;
use crate::fit::certainty::Certainty;
use crate::fit::least_squares::{Deviations, Ends, Model, least_squares};
use crate::fit::statistics::{chance_of_squares, normal_quantile, student_quantile};
use crate::result::gauge::GaugeReading;
use crate::result::measured::Agreement;
pub use crate::study::infer::change::{at_faces, changed, start};
use crate::study::infer::change::{limits, value, variable};
pub use crate::study::infer::infer_error::InferError;
use crate::study::infer::next::plausible;
pub use crate::study::infer::next::{Further, furthers};
use crate::study::infer::question::{Question, Sides};
pub use crate::study::infer::solution::{Solution, solve};
use crate::study::lives::{lives, plan};
use nalgebra::DVector;

/// Iterations cost two solutions an unknown each. A billionth of the squares moves an unknown by some ten-thousandth of its
/// standard error.
const ENDS: Ends = Ends { iterations: 12, tolerance: 1e-9 };

/// Chance below which the stated errors are too small for the deviations.
const UNLIKELY: f64 = 0.01;

/// An unknown that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundUnknown {
    /// Which, and what was known of it.
    pub table: UnknownTable,
    /// Its value; a stress in MPa.
    pub value: f64,
    /// Ends of the 90 % interval; `None` where the points do not tell.
    pub interval: Option<[f64; 2]>,
    /// Whether it ended at a limit.
    pub at_limit: bool,
}

/// A number with its standard error.
#[derive(Clone, Debug, PartialEq)]
pub struct Banded {
    /// Its name, for a path with hole and direction.
    pub name: String,
    /// Whether it is a stress in MPa; else a length in mm.
    pub is_stress: bool,
    /// Value.
    pub value: f64,
    /// Standard error.
    pub error: f64,
}

/// The hoop stress along a path with its standard error: `[distance mm, MPa, MPa]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees.
    pub angle_deg: f64,
    /// Points.
    pub points: Vec<[f64; 3]>,
}

/// The answer of the measurements.
#[derive(Clone, Debug)]
pub struct Inferred {
    /// The unknowns.
    pub unknowns: Vec<FoundUnknown>,
    /// How well the variables are known.
    pub certainty: Certainty,
    /// Measured beside computed.
    pub agreements: Vec<Agreement>,
    /// Strain gauges beside their computed readings.
    pub gauges: Vec<GaugeReading>,
    /// Prediction band of every path.
    pub bands: Vec<Band>,
    /// Headline numbers with their errors.
    pub numbers: Vec<Banded>,
    /// Further measurements, the most useful first.
    pub further: Vec<Further>,
    /// The further measurement that would narrow the life most; when there is one.
    pub further_for_life: Option<Further>,
    /// Cycles to the end, and the 90 % interval; when the case has a `[life]` table.
    pub life: Option<[f64; 3]>,
    /// Points that could be compared.
    pub points: usize,
    /// Whether all of them lie beyond the plastic front.
    pub beyond_front: bool,
    /// Whether stated errors are too small for the deviations; `None` when some point has none.
    pub too_far: Option<bool>,
    /// Solutions that were needed.
    pub solutions: usize,
}

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
    if case.measured.is_empty() && case.gauges.is_empty() {
        return Err(InferError::NothingMeasured);
    }
    let begin: Vec<f64> =
        case.unknowns.iter().map(|u| start(case, u.asked)).collect::<Result<_, _>>()?;
    let first = solve(case, &case.job, stop).map_err(|why| {
        if stop.load(Ordering::SeqCst) { InferError::Stopped } else { InferError::Unsolved(why) }
    })?;
    let compared: Vec<bool> = first.computed().iter().map(Option::is_some).collect();
    let points = case.measured.iter().flat_map(|measured| &measured.points).zip(&compared);
    let points: Vec<_> = points.filter(|(_, on)| **on).map(|(point, _)| point).collect();
    let stated = points.iter().all(|point| point.plus_minus.is_some_and(|error| error > 0.0));
    let strain_scale = |error: f64| {
        // Beside stresses without errors, which count by the MPa, a strain counts by the stress it makes.
        if stated { error.recip() } else { case.job.material.elasticity.youngs_modulus }
    };
    if let Some(off) = first.gauges.iter().find(|reading| reading.computed.is_none()) {
        return Err(InferError::OffMetal(off.gauge.label.clone()));
    }
    let data: Vec<(f64, f64)> = points
        .iter()
        .map(|p| (p.stress, if stated { p.plus_minus.unwrap_or(1.0).recip() } else { 1.0 }))
        .chain(case.gauges.iter().map(|g| (g.strain, strain_scale(g.plus_minus))))
        .collect();
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

fn finish(
    question: &Question<'_>,
    variables: &[f64],
    (at_limit, deviations): (&[bool], &Deviations),
    certainty: Certainty,
    too_far: Option<bool>,
) -> Result<Inferred, InferError> {
    let case = question.case;
    let covariance = plausible(deviations, certainty.variance);
    let error_of = |slopes: Vec<f64>| -> f64 {
        let slopes = DVector::from_vec(slopes);
        slopes.dot(&(&covariance * &slopes)).max(0.0).sqrt()
    };
    let lost = || InferError::Unsolved("the solution beside the answer failed".to_owned());
    let middle = question.solution(variables).ok_or_else(lost)?;
    let sides = question.sides(variables).ok_or_else(lost)?;
    let slopes_of = |number: &dyn Fn(&Solution) -> Option<f64>| -> Option<Vec<f64>> {
        sides.iter().map(|([low, high], by)| Some((number(high)? - number(low)?) / by)).collect()
    };
    let mut bands = Vec::new();
    for (k, path) in middle.paths.iter().enumerate() {
        let points = path.points.iter().filter_map(|point| {
            let at = |solution: &Solution| solution.paths.get(k)?.hoop().at(point.distance);
            let error = error_of(slopes_of(&at)?);
            Some([point.distance, point.stress.hoop, error])
        });
        bands.push(Band {
            hole: path.hole.clone(),
            angle_deg: path.angle_deg,
            points: points.collect(),
        });
    }
    let mut numbers = Vec::new();
    for (k, own) in middle.numbers.iter().enumerate() {
        let at = |solution: &Solution| solution.numbers.get(k)?.value;
        if let (Some(value), Some(slopes)) = (own.value, slopes_of(&at)) {
            let error = error_of(slopes);
            numbers.push(Banded { name: own.name.clone(), is_stress: own.is_stress, value, error });
        }
    }
    let (beyond_front, unknowns_asked) = (middle.all_points_elastic(), case.unknowns.len());
    let unknowns =
        case.unknowns.iter().zip(&question.start).enumerate().map(|(k, (table, start))| {
            let half = certainty.quantile * certainty.errors[k];
            let told =
                certainty.is_told(k) && !at_limit[k] && !(beyond_front && unknowns_asked > 1);
            let end = |by: f64| value(table.asked, *start, variables[k] + by);
            FoundUnknown {
                table: *table,
                value: end(0.0),
                interval: told.then(|| [end(-half), end(half)]),
                at_limit: at_limit[k],
            }
        });
    let unknowns = unknowns.collect();
    let life = life(question, variables, &middle, &sides);
    let slopes = life.as_ref().map(|(_, slopes)| slopes.clone());
    let (further, further_for_life) =
        furthers(&middle, &sides, question.stresses(), (&covariance, slopes));
    let life = life.map(|(value, slopes)| {
        let half = certainty.quantile * error_of(slopes);
        [value, value - half, value + half].map(f64::exp)
    });
    Ok(Inferred {
        unknowns,
        agreements: middle.agreements.clone(),
        gauges: middle.gauges.clone(),
        bands,
        numbers,
        further,
        further_for_life,
        life,
        points: question.data.len(),
        beyond_front,
        too_far,
        solutions: question.solutions.load(Ordering::SeqCst),
        certainty,
    })
}

/// Logarithm of the cycles to the end in the expanded part, and its slopes by the variables.
fn life(
    question: &Question<'_>,
    variables: &[f64],
    middle: &Solution,
    sides: &[Sides],
) -> Option<(f64, Vec<f64>)> {
    question.case.life.as_ref()?;
    let cycles = |solution: &Solution, variables: &[f64]| {
        let mut case = at_faces(question.case, &question.values_at(variables)).into_owned();
        case.job = solution.job.clone();
        let snapshots = std::slice::from_ref(&solution.snapshot);
        let report = lives(&case, plan(&case).ok()?, snapshots, &[], question.stop).ok()?;
        let cycles = report.expanded_life();
        (cycles.is_finite() && cycles > 0.0).then(|| cycles.ln())
    };
    let value = cycles(middle, variables)?;
    let slopes = sides
        .iter()
        .enumerate()
        .map(|(k, ([low, high], by))| {
            let [below, above] = question.ends(variables, k);
            Some((cycles(high, &above)? - cycles(low, &below)?) / by)
        })
        .collect::<Option<Vec<f64>>>()?;
    Some((value, slopes))
}
