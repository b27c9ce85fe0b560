//! The question that measurements ask of a case, as the search sees it.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use crate::case::Case;
use crate::case::unknown::Asked;
use crate::fit::least_squares::{Deviations, Model};
use crate::study::infer::change::{at_faces, changed, limits, value};
use crate::study::infer::solution::{Solution, solve};

/// Step of a variable to either side, for differences of solutions.
const STEP: f64 = 0.02;

/// The question while it is worked on.
pub(super) struct Question<'a> {
    pub(super) case: &'a Case,
    pub(super) start: Vec<f64>,
    /// Points of all measurements that lie on paths: measured stress and what one MPa counts; then the
    /// gauges: strain, and what a strain of 1 counts; then the single readings of sections.
    pub(super) data: Vec<(f64, f64)>,
    /// Which of all points those are.
    pub(super) compared: Vec<bool>,
    pub(super) stop: &'a AtomicBool,
    pub(super) solutions: AtomicUsize,
    pub(super) watch: &'a (dyn Fn(usize) + Sync),
    /// The last solutions, by the bits of their variables: the search asks for some of them twice.
    pub(super) last: Mutex<Vec<(Vec<u64>, Arc<Solution>)>>,
}

/// Solutions to either side of a variable, and the distance between the two.
pub(super) type Sides = ([Arc<Solution>; 2], f64);

impl Question<'_> {
    /// The data that are stresses.
    pub(super) fn stresses(&self) -> &[(f64, f64)] {
        let others = self.case.gauges.len() + self.case.readings.single.len();
        &self.data[..self.data.len() - others]
    }

    /// The values of the unknowns at `variables`.
    pub(super) fn values_at(&self, variables: &[f64]) -> Vec<(Asked, f64)> {
        let unknowns = self.case.unknowns.iter().zip(&self.start).zip(variables);
        unknowns
            .map(|((table, start), variable)| (table.asked, value(table.asked, *start, *variable)))
            .collect()
    }

    pub(super) fn solution(&self, variables: &[f64]) -> Option<Arc<Solution>> {
        let key: Vec<u64> = variables.iter().map(|variable| variable.to_bits()).collect();
        // A panic elsewhere ends the program; what is kept is whole.
        let last = || self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, known)) = last().iter().find(|(known, _)| *known == key) {
            return Some(Arc::clone(known));
        }
        let values = self.values_at(variables);
        let case = at_faces(self.case, &values);
        let found = Arc::new(solve(&case, &changed(&case.job, &values), self.stop).ok()?);
        (self.watch)(self.solutions.fetch_add(1, Ordering::SeqCst) + 1);
        let mut last = last();
        // Those of the best point so far and of the one that is tried.
        let most = 2 * (1 + 2 * variables.len());
        if last.len() >= most {
            last.remove(0);
        }
        last.push((key, Arc::clone(&found)));
        Some(found)
    }

    /// Deviations of points, and of unknowns from what is expected of them.
    fn of(&self, solution: &Solution, variables: &[f64]) -> Option<Vec<f64>> {
        let all = solution.computed();
        let computed = all.iter().zip(&self.compared).filter(|(_, on)| **on).map(|(c, _)| *c);
        let points = computed
            .zip(&self.data)
            .map(|(computed, (measured, scale))| Some(scale * (computed? - measured)));
        let mut found = points.collect::<Option<Vec<f64>>>()?;
        for ((table, start), variable) in self.case.unknowns.iter().zip(&self.start).zip(variables)
        {
            if let Some([expected, error]) = table.expected {
                found.push((value(table.asked, *start, *variable) - expected) / error);
            }
        }
        Some(found)
    }

    /// Variables to either side of variable `k`.
    pub(super) fn ends(&self, variables: &[f64], k: usize) -> [Vec<f64>; 2] {
        let [low, high] = limits(self.case.unknowns[k].asked, self.start[k]);
        [-STEP, STEP].map(|by| {
            let mut moved = variables.to_vec();
            moved[k] = (moved[k] + by).clamp(low, high);
            moved
        })
    }

    /// Solutions to either side of every variable.
    pub(super) fn sides(&self, variables: &[f64]) -> Option<Vec<Sides>> {
        let ends: Vec<[Vec<f64>; 2]> =
            (0..variables.len()).map(|k| self.ends(variables, k)).collect();
        let flat: Vec<&Vec<f64>> = ends.iter().flatten().collect();
        let solved: Vec<Option<Arc<Solution>>> =
            flat.par_iter().with_max_len(1).map(|moved| self.solution(moved)).collect();
        let mut solved = solved.into_iter();
        ends.iter()
            .enumerate()
            .map(|(k, [low, high])| Some(([solved.next()??, solved.next()??], high[k] - low[k])))
            .collect()
    }
}

impl Model for Question<'_> {
    fn points(&self) -> usize {
        self.data.len() + self.case.unknowns.iter().filter(|u| u.expected.is_some()).count()
    }

    fn values(&self, variables: &[f64]) -> Option<Vec<f64>> {
        self.of(self.solution(variables)?.as_ref(), variables)
    }

    fn deviations(&self, variables: &[f64]) -> Option<Deviations> {
        let (middle, sides) = rayon::join(|| self.solution(variables), || self.sides(variables));
        let sides = sides?;
        let values = self.of(middle?.as_ref(), variables)?;
        let columns = sides
            .iter()
            .enumerate()
            .map(|(k, ([low, high], between))| {
                let moved = self.ends(variables, k);
                let (low, high) = (self.of(low, &moved[0])?, self.of(high, &moved[1])?);
                Some(low.iter().zip(high).map(|(low, high)| (high - low) / between).collect())
            })
            .collect::<Option<_>>()?;
        Some(Deviations { values, columns })
    }

    fn stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }
}
