//! The smallest or largest value of an axis at which a condition holds, for every combination of the other
//! axes.
//!
//! A few evenly spread values are solved first. Where the condition begins to hold between two of
//! them, that interval is halved until it is narrow enough. The answer is the interval: its end on the
//! side where the condition holds, and the last value at which it did not. A condition that stops holding again
//! further on (more expansion leaves more compression, until a ream no longer cleans up), or that holds in
//! several places, is noticed only when the first values show it.

use std::collections::BTreeMap;

use crate::case::study::{Level, Made, Scalar, Search, Wanted};
use crate::study::sweep::solve::{Solver, Task};
use crate::study::sweep::{Outcome, PointStatus};

/// Values that are solved before any interval is halved.
const FIRST: usize = 5;

/// One value that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The value of the axis.
    pub at: f64,
    /// Result of the case.
    pub outcome: Outcome,
    /// Whether the condition holds; `None` for a case that failed, was skipped, or lacks a number.
    pub holds: Option<bool>,
    /// The same with all numbers of the case smaller, and larger, by the error stated.
    pub either_way: [Option<bool>; 2],
}

/// How a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// Between two values.
    Bracketed,
    /// The condition holds as far as the end of the range, which is the answer.
    AtTheEnd,
    /// It holds at no value that was tried.
    Nowhere,
    /// The case that it is compared with could not be solved.
    NoReference,
}

impl Found {
    /// The word in tables.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Bracketed => "bracketed",
            Self::AtTheEnd => "whole range",
            Self::Nowhere => "nowhere",
            Self::NoReference => "no reference",
        }
    }
}

/// The answer for one combination of the other axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// Number of that combination, from 0.
    pub row: usize,
    /// The value of every axis; that of the searched axis is the answer, when there is one.
    pub levels: Vec<Level>,
    /// How it ended.
    pub found: Found,
    /// The value nearest to the border at which the condition holds.
    pub holds_at: Option<f64>,
    /// The value nearest to the border at which it does not.
    pub fails_at: Option<f64>,
    /// Between these the border lies when numbers may be off by the error stated, as far as the values tried
    /// tell.
    pub with_error: Option<[f64; 2]>,
    /// Where it stops holding again on its good side: the last value at which it holds and the next that was tried.
    /// `None` where it holds to the end of the range.
    pub until: Option<[f64; 2]>,
    /// Whether it also held somewhere on the other side of the border.
    pub several: bool,
    /// All values tried, rising.
    pub trials: Vec<Trial>,
}

/// The combinations of all axes but the searched one, counted like the cases of a grid.
#[must_use]
pub(crate) fn combinations(task: &Task, search: &Search) -> usize {
    let others = task.study.axes.iter().enumerate().filter(|(k, _)| *k != search.of);
    others.map(|(_, axis)| axis.levels.len()).product()
}

/// The levels of combination `row`; the searched axis has its first.
fn levels_of(task: &Task, search: &Search, row: usize) -> Vec<Level> {
    let mut rest = row;
    let mut levels: Vec<Level> = Vec::new();
    for (index, axis) in task.study.axes.iter().enumerate().rev() {
        let count = if index == search.of { 1 } else { axis.levels.len() };
        levels.push(axis.levels[rest % count].clone());
        rest /= count;
    }
    levels.reverse();
    levels
}

/// A combination under way.
struct Row<'t, 's> {
    task: &'t Task,
    search: &'t Search,
    solver: &'s mut Solver<'t>,
    levels: Vec<Level>,
    reference: BTreeMap<String, f64>,
    trials: Vec<Trial>,
}

impl Row<'_, '_> {
    /// Solves the case with the searched axis at `at`. `None` when the work was stopped.
    fn try_at(&mut self, at: f64) -> Option<()> {
        let mut levels = self.levels.clone();
        levels[self.search.of] = Level::One(Scalar::Number(at));
        let outcome = self.solver.solve_at(self.trials.len(), &levels, true)?;
        let judge = |factor: f64| self.judge(&levels, &outcome, factor);
        let error = self.search.error;
        let (holds, either_way) = (judge(1.0), [judge(1.0 - error), judge(1.0 + error)]);
        let place = self.trials.partition_point(|trial| trial.at < at);
        self.trials.insert(place, Trial { at, outcome, holds, either_way });
        Some(())
    }

    /// Whether the condition holds for `outcome`, its numbers times `factor`.
    fn judge(&self, levels: &[Level], outcome: &Outcome, factor: f64) -> Option<bool> {
        if outcome.status != PointStatus::Done {
            return None;
        }
        let Ok(Made::Wanted(mut known)) = self.task.study.make(levels) else { return None };
        known.extend(named(self.task, outcome, factor));
        known.extend(self.reference.clone());
        self.search.such_that.holds(|name| known.get(name).copied())
    }

    /// Trials from the side where the condition must hold to the other.
    fn good_side_first(&self) -> Vec<&Trial> {
        let mut trials: Vec<&Trial> = self.trials.iter().collect();
        if self.search.find == Wanted::Smallest {
            trials.reverse();
        }
        trials
    }

    /// How many trials from the good side on come before the first at which the condition holds.
    fn before(&self) -> usize {
        self.good_side_first().iter().take_while(|trial| trial.holds != Some(true)).count()
    }

    /// The last trial at which `holds` without a gap, from the first on that is no nearer to the good side than where
    /// the condition begins, and the one after it.
    fn border(&self, holds: impl Fn(&Trial) -> Option<bool>) -> [Option<f64>; 2] {
        let trials = self.good_side_first().split_off(self.before());
        let is = |trial: &&Trial| holds(trial) == Some(true);
        let Some(first) = trials.iter().position(is) else {
            return [None, trials.first().map(|trial| trial.at)];
        };
        let last = first + trials[first..].iter().take_while(|trial| is(trial)).count();
        [Some(trials[last - 1].at), trials.get(last).map(|trial| trial.at)]
    }

    /// Where the condition stops holding again on its good side.
    fn until(&self) -> Option<[f64; 2]> {
        let trials = self.good_side_first();
        let first = self.before();
        Some([trials.get(first)?.at, trials[first.checked_sub(1)?].at])
    }
}

/// Numbers of an outcome by name, times `factor`.
fn named(task: &Task, outcome: &Outcome, factor: f64) -> BTreeMap<String, f64> {
    let numbers = task.numbers.iter().zip(&outcome.numbers);
    numbers.filter_map(|(number, value)| Some((number.name.clone(), factor * (*value)?))).collect()
}

/// Searches combination `row`. `None` when the work was stopped.
#[must_use]
pub fn answer<'t>(
    task: &'t Task,
    search: &'t Search,
    solver: &mut Solver<'t>,
    row: usize,
) -> Option<Answer> {
    let levels = levels_of(task, search, row);
    let mut answer = Answer {
        row,
        levels: levels.clone(),
        found: Found::Nowhere,
        holds_at: None,
        fails_at: None,
        with_error: None,
        until: None,
        several: false,
        trials: Vec::new(),
    };
    let mut reference = BTreeMap::new();
    if !search.reference.is_empty() {
        let mut compared = levels.clone();
        for (axis, level) in &search.reference {
            compared[*axis] = level.clone();
        }
        let outcome = solver.solve_at(row, &compared, false)?;
        if outcome.status != PointStatus::Done {
            answer.found = Found::NoReference;
            return Some(answer);
        }
        let prefixed = named(task, &outcome, 1.0);
        reference.extend(prefixed.into_iter().map(|(name, n)| (format!("reference_{name}"), n)));
    }
    let Some(range) = task.study.axes[search.of].range else { return Some(answer) };
    let mut state = Row { task, search, solver, levels, reference, trials: Vec::new() };
    for k in 0..FIRST {
        state.try_at(match k {
            0 => range.ends[0],
            k if k + 1 == FIRST => range.ends[1],
            k => range.at(k as f64 / (FIRST - 1) as f64),
        })?;
    }
    let least = search.within * (range.ends[1] - range.ends[0]);
    let (holds_at, fails_at) = loop {
        let [good, bad] = state.border(|trial| trial.holds);
        let (Some(inside), Some(outside)) = (good, bad) else { break (good, bad) };
        if (inside - outside).abs() <= least {
            break (good, bad);
        }
        state.try_at(0.5 * (inside + outside))?;
    };
    (answer.holds_at, answer.fails_at) = (holds_at, fails_at);
    answer.until = state.until();
    answer.found = match (holds_at, fails_at) {
        (Some(_), Some(_)) => Found::Bracketed,
        (Some(_), None) => Found::AtTheEnd,
        (None, _) => Found::Nowhere,
    };
    if let (Some(inside), Some(outside)) = (holds_at, fails_at) {
        answer.several = state.trials.iter().any(|trial| {
            let beyond = (trial.at - inside) * (outside - inside) > 0.0;
            beyond && trial.holds == Some(true)
        });
        // Sure where it holds both ways; possible where it holds one way or the other.
        let both = |t: &Trial| Some(t.either_way[0]? && t.either_way[1]?);
        let either = |t: &Trial| Some(t.either_way[0]? || t.either_way[1]?);
        let [sure, _] = state.border(both);
        let [_, impossible] = state.border(either);
        let [low, high] = range.ends;
        let ends = if search.find == Wanted::Smallest { [high, low] } else { [low, high] };
        let farthest = answer.until.map_or(ends[0], |[last, _]| last);
        let ends = [sure.unwrap_or(farthest), impossible.unwrap_or(ends[1])];
        answer.with_error = Some([ends[0].min(ends[1]), ends[0].max(ends[1])]);
    }
    if let Some(at) = holds_at {
        answer.levels[search.of] = Level::One(Scalar::Number(at));
    }
    answer.trials = state.trials;
    Some(answer)
}
