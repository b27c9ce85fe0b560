//! Which further measurement would narrow the field most.
//!
//! A point at which the hoop stress has slopes `g` by the variables, measured with error `s`, takes
//! `(C g)(C g)ᵀ / (s² + gᵀ C g)` off their covariance `C`. Candidates are compared by what that takes off
//! the mean variance of the hoop stress within one radius of the holes. What is plausible without any
//! measurement stands in for directions that are not told.

use nalgebra::{DMatrix, DVector};

use crate::fit::least_squares::Deviations;
use crate::study::infer::line::Way;
use crate::study::infer::question::Sides;
use crate::study::infer::solution::Solution;

/// Points a path that are compared.
const CANDIDATES: usize = 24;

/// Error of a point when none is stated, MPa: an X-ray point (common practice, no source).
const ERROR: f64 = 15.0;

/// A further measurement.
#[derive(Clone, Debug, PartialEq)]
pub struct Further {
    /// Name of the hole.
    pub hole: String,
    /// The line it lies on.
    pub way: Way,
    /// Distance from the edge, mm.
    pub distance: f64,
    /// Error that it is taken to have, MPa.
    pub error: f64,
    /// Share of the mean variance near the holes that would be left, 0 to 1.
    pub left: f64,
    /// Share of the variance of the logarithm of the life that would be left; `None` without a life.
    pub life_left: Option<f64>,
}

/// Covariance of the variables when what is plausible without any measurement, a standard error of 1,
/// is one more measurement of each; `variance` is that of the deviations.
pub(super) fn plausible(deviations: &Deviations, variance: f64) -> DMatrix<f64> {
    let columns = &deviations.columns;
    let n = columns.len();
    let information = DMatrix::from_fn(n, n, |i, j| {
        let both = columns[i].iter().zip(&columns[j]).map(|(a, b)| a * b).sum::<f64>();
        both / variance.max(f64::MIN_POSITIVE) + f64::from(u8::from(i == j))
    });
    // Positive definite: it has an inverse.
    information.try_inverse().unwrap_or_else(|| DMatrix::identity(n, n))
}

/// The best place on each path, the most useful first; and the place that narrows the life most, whose logarithm has the
/// slopes `life`.
#[must_use]
pub fn furthers(
    middle: &Solution,
    sides: &[Sides],
    data: &[(f64, f64)],
    (covariance, life): (&DMatrix<f64>, Option<Vec<f64>>),
) -> (Vec<Further>, Option<Further>) {
    let mean_scale = data.iter().map(|(_, scale)| scale).sum::<f64>() / data.len().max(1) as f64;
    let stated = data.iter().any(|(_, scale)| (scale - 1.0).abs() > 1e-12);
    let error = if stated { mean_scale.recip() } else { ERROR };
    let mut candidates = Vec::new();
    let mut near = Vec::new();
    for (k, line) in middle.lines.iter().enumerate() {
        let radius = line.radius;
        let reach = line.hoop.distances().last().map_or(0.0, |last| *last).min(3.0 * radius);
        for step in 0..CANDIDATES {
            let distance = reach * step as f64 / (CANDIDATES - 1) as f64;
            let slope = |([low, high], by): &Sides| {
                let at = |s: &Solution| s.lines.get(k).and_then(|line| line.hoop.at(distance));
                Some((at(high)? - at(low)?) / by)
            };
            let Some(slopes) = sides.iter().map(slope).collect::<Option<Vec<f64>>>() else {
                continue;
            };
            let slopes = DVector::from_vec(slopes);
            if distance <= radius {
                near.push(slopes.clone());
            }
            candidates.push((k, distance, slopes));
        }
    }
    let before: f64 = near.iter().map(|g| (g.transpose() * covariance * g)[(0, 0)]).sum();
    if before <= 0.0 {
        return (vec![], None);
    }
    let life = life.map(DVector::from_vec);
    let life_before = life.as_ref().map(|g| g.dot(&(covariance * g)));
    let mut best: Vec<Further> = Vec::new();
    let mut for_life: Option<Further> = None;
    for (k, distance, slopes) in candidates {
        let moved = covariance * &slopes;
        let by = error * error + slopes.dot(&moved);
        let taken: f64 = near.iter().map(|g| g.dot(&moved).powi(2)).sum::<f64>() / by;
        let line = &middle.lines[k];
        let left = (1.0 - taken / before).clamp(0.0, 1.0);
        let life_left = life.as_ref().zip(life_before).filter(|(_, before)| *before > 0.0);
        let life_left = life_left
            .map(|(g, before)| (1.0 - g.dot(&moved).powi(2) / by / before).clamp(0.0, 1.0));
        let (hole, way) = (line.hole.clone(), line.way);
        let one = Further { hole, way, distance, error, left, life_left };
        let narrower = |other: &Further| other.life_left > one.life_left;
        if one.life_left.is_some() && for_life.as_ref().is_none_or(narrower) {
            for_life = Some(one.clone());
        }
        let same = |other: &&mut Further| other.hole == one.hole && other.way == one.way;
        match best.iter_mut().find(same) {
            Some(other) if other.left > left => *other = one,
            Some(_) => {}
            None => best.push(one),
        }
    }
    best.sort_by(|a, b| a.left.total_cmp(&b.left));
    (best, for_life)
}
