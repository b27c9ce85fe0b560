//! The solved cases of a study as its charts see them, and the words on these: quantities, titles, what is
//! held fixed.

use crate::case::study::{Chart, Number, Study, with_unit};
use crate::study::sweep::points::Points;

/// How a case ended, for a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It has numbers.
    Done,
    /// It failed.
    Failed,
    /// It was not wanted.
    Skipped,
}

/// A case for a chart.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// How it ended.
    pub status: Status,
    /// Its numbers, in the order of the numbers wanted.
    pub numbers: Vec<Option<f64>>,
}

/// A whole study for its charts.
#[derive(Clone, Copy, Debug)]
pub struct Grid<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its cases.
    pub points: &'a Points,
    /// The numbers wanted.
    pub numbers: &'a [Number],
    /// Results, case by case.
    pub cases: &'a [Solved],
}

pub(super) fn number<'g>(grid: &'g Grid<'_>, name: &str) -> Option<(usize, &'g Number)> {
    grid.numbers.iter().enumerate().find(|(_, number)| number.name == name)
}

pub(super) fn quantity(grid: &Grid<'_>, chart: &Chart) -> String {
    match number(grid, &chart.numbers[0]) {
        Some((_, number)) => with_unit(&number.label, &number.unit),
        None => chart.numbers[0].clone(),
    }
}

pub(super) fn title(grid: &Grid<'_>, chart: &Chart) -> String {
    let made = || match number(grid, &chart.numbers[0]) {
        Some((_, number)) => number.label.clone(),
        None => chart.numbers[0].clone(),
    };
    chart.title.clone().unwrap_or_else(made)
}

pub(super) fn caption(grid: &Grid<'_>, chart: &Chart) -> String {
    let over = [Some(chart.x), chart.y, chart.family, chart.panel];
    let names: Vec<&str> =
        over.into_iter().flatten().map(|k| grid.study.axes[k].label.as_str()).collect();
    format!("{} over {}{}", title(grid, chart), names.join(", "), fixed(grid, chart, "; "))
}

/// The axes that a chart does not show, with the value they have in it: their first.
pub(super) fn fixed(grid: &Grid<'_>, chart: &Chart, before: &str) -> String {
    let shown = [Some(chart.x), chart.y, chart.family, chart.panel];
    let rest: Vec<String> = (0..grid.study.axes.len())
        .filter(|k| !shown.contains(&Some(*k)) && grid.study.axes[*k].levels.len() > 1)
        .map(|k| format!("{} {}", grid.study.axes[k].label, grid.study.axes[k].levels[0].text()))
        .collect();
    if rest.is_empty() { String::new() } else { format!("{before}{}", rest.join(", ")) }
}

/// The values of an axis in words, or one empty word without an axis.
pub(super) fn names(grid: &Grid<'_>, axis: Option<usize>) -> Vec<String> {
    let Some(axis) = axis else { return vec![String::new()] };
    let axis = &grid.study.axes[axis];
    let unit = if axis.unit.is_empty() { String::new() } else { format!(" {}", axis.unit) };
    let words = |level: &crate::case::study::Level| match level.number() {
        Some(_) => format!("{} {}{unit}", axis.label, level.text()),
        None => level.text(),
    };
    axis.levels.iter().map(words).collect()
}
