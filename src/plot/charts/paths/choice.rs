//! Which stages and which directions a chart of paths shows.

use crate::geometry::hole::Hole;
use crate::result::path::StressPath;
use crate::result::stage::StageResult;

/// Lines that a reader can still tell apart.
const MOST_LINES: usize = 8;
/// How far values of two paths that mirror each other may part, over their largest.
const SAME: f64 = 1e-9;

/// Labels of the snapshots that `hoop_paths` draws, so that no overlay stands there alone.
#[must_use]
pub fn drawn_stages(stages: &[StageResult], hole: &Hole) -> Vec<String> {
    let all = with_paths(stages, hole);
    let (shown, _) = choose(&all, &sides(&all));
    shown.iter().map(|(stage, _)| stage.label.clone()).collect()
}

/// The stages with paths of `hole`.
pub(super) fn with_paths<'a>(stages: &'a [StageResult], hole: &Hole) -> Shown<'a> {
    let paths = |stage: &'a StageResult| -> Vec<&'a StressPath> {
        let of_hole = |path: &&StressPath| path.hole == hole.name && !path.points.is_empty();
        stage.paths.iter().filter(of_hole).collect()
    };
    let all = stages.iter().map(|stage| (stage, paths(stage)));
    all.filter(|(_, paths)| !paths.is_empty()).collect()
}

pub(super) type Shown<'a> = Vec<(&'a StageResult, Vec<&'a StressPath>)>;

/// The angles of each line: those whose paths agree in every stage, rising.
pub(super) type Sides = Vec<Vec<f64>>;

/// Joins the angles whose paths carry the same hoop stress at the same distances.
pub(super) fn sides(all: &Shown) -> Sides {
    let mut angles: Vec<f64> =
        all.iter().flat_map(|(_, paths)| paths.iter().map(|path| path.angle_deg)).collect();
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    let at = |paths: &[&StressPath], angle: f64| {
        paths.iter().find(|path| path.angle_deg.total_cmp(&angle).is_eq()).map(|path| path.hoop())
    };
    let mirror = |one: f64, other: f64| {
        all.iter().all(|(_, paths)| match (at(paths, one), at(paths, other)) {
            (Some(one), Some(other)) => {
                agree(one.distances(), other.distances()) && agree(one.values(), other.values())
            }
            (None, None) => true,
            _ => false,
        })
    };
    let mut sides: Sides = Vec::new();
    for angle in angles {
        match sides.iter_mut().find(|side| mirror(side[0], angle)) {
            Some(side) => side.push(angle),
            None => sides.push(vec![angle]),
        }
    }
    sides
}

/// Whether two lists are equal up to rounding, measured by their largest value.
fn agree(one: &[f64], other: &[f64]) -> bool {
    let size = one.iter().fold(0.0, |size: f64, value| size.max(value.abs()));
    one.len() == other.len() && one.iter().zip(other).all(|(p, q)| (p - q).abs() <= SAME * size)
}

/// The paths to draw of one stage, with the number of their line.
pub(super) fn lines<'a>(
    paths: &'a [&'a StressPath],
    sides: &'a Sides,
) -> impl Iterator<Item = (usize, &'a StressPath)> {
    sides.iter().enumerate().filter_map(|(k, side)| {
        let first = |path: &&&StressPath| path.angle_deg.total_cmp(&side[0]).is_eq();
        paths.iter().find(first).map(|path| (k, *path))
    })
}

/// The stages to draw and how many were left out.
pub(super) fn choose<'a>(all: &Shown<'a>, sides: &Sides) -> (Shown<'a>, usize) {
    let lines =
        |shown: &Shown| shown.iter().map(|(_, paths)| lines(paths, sides).count()).sum::<usize>();
    let mut shown = all.clone();
    if lines(&shown) > MOST_LINES && shown.iter().any(|(stage, _)| !stage.loaded) {
        shown.retain(|(stage, _)| !stage.loaded);
    }
    while lines(&shown) > MOST_LINES && shown.len() > 1 {
        shown.remove(0);
    }
    let left_out = all.len() - shown.len();
    (shown, left_out)
}
