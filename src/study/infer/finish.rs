//! The answer at the best values: bands, numbers, life and further points with their uncertainty.

use std::sync::atomic::Ordering;

use nalgebra::DVector;

use crate::fit::certainty::Certainty;
use crate::fit::least_squares::Deviations;
use crate::study::infer::answer::{Band, Banded, FoundUnknown, Inferred};
use crate::study::infer::change::{at_faces, value};
use crate::study::infer::infer_error::InferError;
use crate::study::infer::next::{furthers, plausible};
use crate::study::infer::question::{Question, Sides};
use crate::study::infer::solution::Solution;
use crate::study::lives::{plan, shortest_lives};

/// The answer at the best variables.
///
/// # Errors
///
/// [`InferError::Unsolved`] when a solution beside the answer failed.
pub(super) fn finish(
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
    for (k, line) in middle.lines.iter().enumerate() {
        let rows = line.hoop.distances().iter().zip(line.hoop.values());
        let points = rows.filter_map(|(distance, hoop)| {
            let at = |solution: &Solution| solution.lines.get(k)?.hoop.at(*distance);
            Some([*distance, *hoop, error_of(slopes_of(&at)?)])
        });
        bands.push(Band { hole: line.hole.clone(), way: line.way, points: points.collect() });
    }
    let mut numbers = Vec::new();
    for (k, own) in middle.numbers.iter().enumerate() {
        let at = |solution: &Solution| solution.numbers.get(k)?.value;
        if let (Some(value), Some(slopes)) = (own.value, slopes_of(&at)) {
            let error = error_of(slopes);
            numbers.push(Banded { name: own.name.clone(), quantity: own.quantity, value, error });
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
        singles: middle.singles.clone(),
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
        let mut plan = plan(&case).ok()?;
        plan.sections.clone_from(&solution.sections);
        let snapshots = solution.snapshot.as_slice();
        let [_, cycles] =
            shortest_lives(&case, &plan, snapshots, false, question.stop).ok()?.through;
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
