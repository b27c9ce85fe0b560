//! How much each axis of a study moves each number.
//!
//! - **Rank correlation** (C. Spearman, Am. J. Psychol. 15 (1904) 72–101, from memory): the correlation of
//!   the ranks of axis and number, equal values sharing their mean rank. −1 and 1 for a number that only
//!   falls or only grows; it sees neither a maximum inside nor an axis of words.
//! - **Main effect** `S = V(E(y|x)) / V(y)`: the share of the variance of the number that goes with the
//!   axis alone.
//! - **Total effect** `T = E(V(y|all others)) / V(y)`: the share that the axis has a part in, alone or together
//!   with others. `T − S` is interaction.
//!
//! Source of both: T. Homma, A. Saltelli, Reliab. Eng. Syst. Saf. 52 (1996) 1–17 (from memory). On a grid
//! without gaps they are sums over its cases, each value of an axis with equal weight: exact for the
//! grid, and they depend on its values. Of a Latin hypercube the main effect is estimated from as many groups
//! as the root of the number of cases, corrected for its bias (T. L. Kelley, Proc. Natl. Acad. Sci.
//! 21 (1935) 554–559, from memory), and the total effect is not: it needs cases that differ in one axis
//! alone.

use crate::study::sweep::points::Points;

/// Groups that an axis of a Latin hypercube is cut into, at most.
const MOST_GROUPS: usize = 20;

/// The effect of one axis on one number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Effect {
    /// Rank correlation; `None` for an axis of words, or without variance.
    pub rank: Option<f64>,
    /// Main effect, a share of the variance.
    pub main: Option<f64>,
    /// Total effect, a share of the variance; `None` when the design does not allow it.
    pub total: Option<f64>,
}

/// The effects of all axes on a number with these values, one for every case, `None` where the case has
/// none.
#[must_use]
pub fn effects(points: &Points, values: &[Option<f64>]) -> Vec<Effect> {
    let known: Vec<(usize, f64)> =
        values.iter().enumerate().filter_map(|(case, value)| Some((case, (*value)?))).collect();
    let all: Vec<f64> = known.iter().map(|(_, value)| *value).collect();
    let variance = variance(&all);
    let moves = variance > 1e-24 * all.iter().map(|value| value * value).fold(0.0, f64::max);
    (0..points.axes().len())
        .map(|axis| {
            if !moves {
                return Effect::default();
            }
            let places: Vec<f64> =
                known.iter().map(|(case, _)| place(points, *case, axis)).collect();
            let numeric = points.axes()[axis].is_numeric();
            let main = if points.is_grid() {
                Some(grid_main(&places, &all) / variance)
            } else {
                sampled_main(&places, &all, numeric)
            };
            let whole = points.is_grid() && known.len() == points.len();
            Effect {
                rank: if numeric { correlation(&ranks(&places), &ranks(&all)) } else { None },
                main,
                total: whole.then(|| grid_total(points, &all, axis) / variance),
            }
        })
        .collect()
}

/// A number for the value of an axis: itself, or its number in the list.
fn place(points: &Points, case: usize, axis: usize) -> f64 {
    let level = &points.levels(case)[axis];
    let index = || points.axes()[axis].levels.iter().position(|known| known == level);
    level.number().unwrap_or_else(|| index().unwrap_or(0) as f64)
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

/// Mean square distance from the mean.
fn variance(values: &[f64]) -> f64 {
    let middle = mean(values);
    values.iter().map(|value| (value - middle) * (value - middle)).sum::<f64>()
        / values.len().max(1) as f64
}

/// Values in groups of equal `places`.
fn groups(places: &[f64], values: &[f64]) -> Vec<Vec<f64>> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|a, b| places[*a].total_cmp(&places[*b]));
    let mut groups: Vec<(f64, Vec<f64>)> = Vec::new();
    for index in order {
        match groups.last_mut() {
            Some((place, group)) if place.total_cmp(&places[index]).is_eq() => {
                group.push(values[index]);
            }
            _ => groups.push((places[index], vec![values[index]])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

/// Variance of the means of groups, each group with equal weight.
fn grid_main(places: &[f64], values: &[f64]) -> f64 {
    let means: Vec<f64> = groups(places, values).iter().map(|group| mean(group)).collect();
    variance(&means)
}

/// Mean, over all other axes, of the variance along one axis of a whole grid.
fn grid_total(points: &Points, values: &[f64], axis: usize) -> f64 {
    let count = points.axes()[axis].levels.len();
    let (mut sum, mut lines) = (0.0, 0);
    for case in 0..points.len() {
        let mut digits = points.digits(case);
        if digits[axis] != 0 {
            continue;
        }
        let line: Vec<f64> = (0..count)
            .map(|digit| {
                digits[axis] = digit;
                values[points.index(&digits)]
            })
            .collect();
        sum += variance(&line);
        lines += 1;
    }
    sum / f64::from(lines.max(1))
}

/// Share of the variance between groups of neighbours, corrected for the bias of groups of finite size.
fn sampled_main(places: &[f64], values: &[f64], numeric: bool) -> Option<f64> {
    let count = values.len();
    let grouped: Vec<Vec<f64>> = if numeric {
        let mut order: Vec<usize> = (0..count).collect();
        order.sort_by(|a, b| places[*a].total_cmp(&places[*b]));
        let size = count.div_ceil(count.isqrt().clamp(2, MOST_GROUPS));
        order.chunks(size.max(1)).map(|c| c.iter().map(|k| values[*k]).collect()).collect()
    } else {
        groups(places, values)
    };
    if count <= grouped.len() + 1 {
        return None;
    }
    let within: f64 = grouped.iter().map(|group| variance(group) * group.len() as f64).sum();
    let all = variance(values) * count as f64;
    let ratio = within / all * (count - 1) as f64 / (count - grouped.len()) as f64;
    Some((1.0 - ratio).max(0.0))
}

/// Ranks from 0; equal values share their mean rank.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    let mut start = 0;
    while start < order.len() {
        let first = values[order[start]];
        let same =
            order[start..].iter().take_while(|k| values[**k].total_cmp(&first).is_eq()).count();
        let shared = start as f64 + 0.5 * (same - 1) as f64;
        order[start..start + same].iter().for_each(|k| ranks[*k] = shared);
        start += same;
    }
    ranks
}

/// Correlation of two lists; `None` when one does not vary.
fn correlation(a: &[f64], b: &[f64]) -> Option<f64> {
    let (mean_a, mean_b) = (mean(a), mean(b));
    let products: f64 = a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum();
    let size = (variance(a) * variance(b)).sqrt() * a.len() as f64;
    (size > 0.0).then(|| products / size)
}
