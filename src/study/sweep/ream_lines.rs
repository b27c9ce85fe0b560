//! Lines of the mesh for the reams of all cases that part after they are begun alike.
//!
//! A ream cuts along a line of the mesh that is laid for it. Were it laid for each case alone, cases that
//! differ in the ream would have different meshes and no stage in common. On a grid the mesh of a case
//! therefore has the lines of all cases that differ from it in *late* axes alone, those that change nothing
//! before their stage. Which lines these are follows from the study and the case, not from the cases that
//! happen to be solved side by side. A search along the ream has lines all over its range, of which the
//! nearest is moved to where it cuts.

use crate::case::study::{Level, Made, Scalar, Study};
use crate::mesh::plan::{HolePlan, MeshPlan};
use crate::process::plan::mesh_plan;
use crate::study::sweep::points::Points;
use crate::study::sweep::work_list::{first_stage, keys};

/// Cases whose lines go into one mesh, at most. All of them are read for it; those of a longer axis would
/// lie closer than the elements.
const MOST_CASES: usize = 64;

/// Lines over the range of a search.
const OVER_A_RANGE: u32 = 16;

/// Late axes that decide where a hole is reamed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ReamLines {
    /// Their numbers, and the values of each that get lines.
    axes: Vec<(usize, Vec<Level>)>,
}

impl ReamLines {
    /// The axes of `study` whose values get lines in every mesh; none where cases do not form a grid or
    /// are too many.
    #[must_use]
    pub fn new(study: &Study, points: &Points) -> Self {
        let searched = study.search.as_ref().map(|search| search.of);
        let late = |axis: &usize| {
            let shares = searched.map_or(points.is_grid(), |of| of == *axis);
            shares && first_stage(study, *axis) > 1 && works_a_hole(study, *axis)
        };
        let levels = |axis: usize| match study.axes[axis].range.filter(|_| searched.is_some()) {
            Some(range) => {
                let share = |step| f64::from(step) / f64::from(OVER_A_RANGE);
                let level = |step| Level::One(Scalar::Number(range.at(share(step))));
                (0..=OVER_A_RANGE).map(level).collect()
            }
            None => study.axes[axis].levels.clone(),
        };
        let axes: Vec<(usize, Vec<Level>)> =
            (0..study.axes.len()).filter(late).map(|axis| (axis, levels(axis))).collect();
        let cases: usize = axes.iter().map(|(_, levels)| levels.len()).product();
        if cases > MOST_CASES { Self::default() } else { Self { axes } }
    }

    /// Names of the axes of `study` whose reams have lines in every mesh.
    #[must_use]
    pub fn names(&self, study: &Study) -> Vec<String> {
        self.axes().map(|axis| study.axes[axis].name.clone()).collect()
    }

    /// The axes, by number.
    pub(super) fn axes(&self) -> impl Iterator<Item = usize> {
        self.axes.iter().map(|(axis, _)| *axis)
    }

    /// The plans of all cases that differ from the one with `levels` in these axes alone and are wanted.
    pub(super) fn plans(&self, study: &Study, levels: &[Level]) -> Vec<MeshPlan> {
        let mut plans = Vec::new();
        let mut others = levels.to_vec();
        let members: usize = self.axes.iter().map(|(_, levels)| levels.len()).product();
        for member in 0..members {
            let mut rest = member;
            for (axis, its) in &self.axes {
                others[*axis] = its[rest % its.len()].clone();
                rest /= its.len();
            }
            let Ok(Made::Wanted(variables)) = study.make(&others) else { continue };
            // A case that cannot be read has no mesh.
            let Ok(case) = study.case(&others, &variables) else { continue };
            plans.push(mesh_plan(&case.job));
        }
        plans
    }
}

/// Whether `axis` changes a stage that expands or reams.
fn works_a_hole(study: &Study, axis: usize) -> bool {
    let works = |stage| ["expand", "ream"].iter().any(|key| study.base.has_key(stage, key));
    keys(study, axis).any(|stage| stage.is_some_and(works))
}

/// `own` with the cuts of all `plans` that ask for the same mesh but for them in place of its own, which is
/// among them or near to one.
pub(super) fn with_lines(own: &MeshPlan, plans: &[MeshPlan]) -> MeshPlan {
    let uncut = |plan: &MeshPlan| {
        let bare = |hole: &HolePlan| HolePlan { cut_radii: Vec::new(), ..hole.clone() };
        MeshPlan { holes: plan.holes.iter().map(bare).collect(), ..plan.clone() }
    };
    let bare = uncut(own);
    let alike: Vec<&MeshPlan> = plans.iter().filter(|plan| uncut(plan) == bare).collect();
    if alike.is_empty() {
        return own.clone();
    }
    let mut shared = bare;
    for plan in alike {
        for (hole, its) in shared.holes.iter_mut().zip(&plan.holes) {
            hole.cut_radii.extend(&its.cut_radii);
        }
    }
    for hole in &mut shared.holes {
        hole.cut_radii.sort_by(f64::total_cmp);
        hole.cut_radii.dedup();
    }
    shared
}
