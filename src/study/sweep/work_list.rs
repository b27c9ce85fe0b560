//! Which cases are worked one after the other by one thread, so that they share stages.
//!
//! An axis that changes nothing before stage `k` is late: cases that differ in late axes alone have the
//! stages before `k` in common. Such cases form a unit of work, those that part last next to each other. A
//! long family is cut into several units, so that no thread waits for another.
//!
//! The list depends on the study alone. Where a unit is begun anew after an interruption, its first stages
//! are computed once more; the answers are the same.

use crate::case::study::{Level, Study, Target};
use crate::study::sweep::points::Points;

/// Cases in a unit, at most: a first stage is then computed once for so many, and a hundred cases still
/// keep several cores busy.
const MOST_IN_A_UNIT: usize = 16;

/// Units of work, each a list of cases.
#[derive(Clone, Debug)]
pub struct WorkList {
    /// Number of values of every axis, in the order in which units are counted: early axes, then late
    /// ones by their stage.
    order: Vec<usize>,
    sizes: Vec<usize>,
    /// Cases of a family, and how many go into a unit.
    family: usize,
    in_a_unit: usize,
    points: Points,
}

impl WorkList {
    /// The units of `study`.
    #[must_use]
    pub fn new(study: &Study, points: &Points) -> Self {
        let stages: Vec<usize> =
            (0..study.axes.len()).map(|axis| first_stage(study, axis)).collect();
        let mut order: Vec<usize> = (0..study.axes.len()).collect();
        if points.is_grid() {
            order.sort_by_key(|axis| stages[*axis]);
        }
        let sizes: Vec<usize> = order.iter().map(|axis| study.axes[*axis].levels.len()).collect();
        let late = order.iter().zip(&sizes).filter(|(axis, _)| stages[**axis] > 1);
        let family = if points.is_grid() { late.map(|(_, size)| size).product() } else { 1 };
        Self { order, sizes, family, in_a_unit: family.min(MOST_IN_A_UNIT), points: points.clone() }
    }

    /// How many units there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.points.len() / self.family * self.units_of_a_family()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    fn units_of_a_family(&self) -> usize {
        self.family.div_ceil(self.in_a_unit)
    }

    /// The cases of unit `unit`, in the order in which they are worked.
    #[must_use]
    pub fn unit(&self, unit: usize) -> Vec<usize> {
        let (family, part) = (unit / self.units_of_a_family(), unit % self.units_of_a_family());
        let start = part * self.in_a_unit;
        let end = (start + self.in_a_unit).min(self.family);
        (start..end).map(|member| self.case(family * self.family + member)).collect()
    }

    /// The case at `place` of the order of work.
    fn case(&self, place: usize) -> usize {
        if !self.points.is_grid() {
            return place;
        }
        let mut rest = place;
        let mut digits = vec![0; self.order.len()];
        for (axis, size) in self.order.iter().zip(&self.sizes).rev() {
            digits[*axis] = rest % size;
            rest /= size;
        }
        self.points.index(&digits)
    }
}

/// The first stage that `axis` of `study` changes, from 1; 0 when it changes the plate or its metal.
pub(super) fn first_stage(study: &Study, axis: usize) -> usize {
    keys(study, axis).map(|stage| stage.unwrap_or(0)).min().unwrap_or(0)
}

/// For every key that `axis` of `study` sets, its stage, from 1; `None` when it belongs to the plate or its
/// metal.
pub(super) fn keys(study: &Study, axis: usize) -> impl Iterator<Item = Option<usize>> {
    let name = &study.axes[axis].name;
    let own = study.axes[axis].target.iter().map(Target::stage);
    let variants = study.axes[axis].levels.iter().flat_map(|level| match level {
        Level::Variant { set, .. } => set.iter().map(|one| one.target.stage()).collect(),
        Level::One(_) => Vec::new(),
    });
    // A tie follows the axis when its expression, or a value in it, does.
    let mut followers = vec![name.clone()];
    for value in &study.values {
        if value.expression.names().iter().any(|used| followers.contains(used)) {
            followers.push(value.name.clone());
        }
    }
    let follows = move |names: &[String]| names.iter().any(|used| followers.contains(used));
    let ties = study.ties.iter().filter(move |tie| follows(tie.to.names()));
    own.chain(variants).chain(ties.map(|tie| tie.key.stage()))
}
