//! Reams and countersinks of a section: where the cutter meets the displaced metal, and the state
//! on the mesh of what is left.
//!
//! The new bore lies, row by row, where the displaced metal is on the cutter. The columns at the bore
//! are laid anew between it and a line beyond the cut; all others stay where they are, so that
//! nothing of their state is interpolated. Stresses follow from the carried histories. What is out
//! of balance then is held by nodal forces, which the run gives up in increments.

use crate::mesh::section::SectionPlan;
use crate::mesh::section_grid::{Recess, SectionGrid, between};
use crate::numeric::root::bracketed_newton;
use crate::process::section::Face;
use crate::process::section::standing::{SectionCut, Standing};
use crate::process::stage_error::StageError;

/// Least width of the space that is meshed anew beyond the cut, over the radius of the cut.
pub const BEYOND: f64 = 0.15;

/// Least metal that a cut must take everywhere on the bore it makes, mm.
const CLEAN: f64 = 1e-6;

/// Slope of the bore to its axis above which it is a cone: the sharpest is 15° to the axis, lips have a tenth.
const CONE: f64 = 0.2;

/// The tool of a cut. Lengths in mm of the part as it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cutter {
    /// A cylinder through the whole thickness.
    Cylinder {
        /// Its radius.
        radius: f64,
    },
    /// A cone whose surface meets the bore at a depth below a face.
    Cone {
        /// The face that it enters.
        face: Face,
        /// Depth below that face, or the floor of its spotface, at which it meets the bore.
        depth: f64,
        /// Half of its angle, radians.
        half_angle: f64,
    },
}

/// Cuts the bore of hole `name`, which stands as `standing` and is laid out in `grid`.
///
/// # Errors
///
/// [`StageError`] when the cutter misses part of the bore, or leaves nothing to mesh.
pub(super) fn cut(
    (grid, standing): (&SectionGrid, &Standing<'_>),
    name: &str,
    fineness: f64,
    cutter: Cutter,
) -> Result<SectionCut, StageError> {
    let bore = new_bore(grid, standing, name, cutter)?;
    let widest = bore.iter().map(|at| at[0]).fold(0.0, f64::max);
    let narrowest = bore.iter().map(|at| at[0]).fold(f64::INFINITY, f64::min);
    let [columns, rows] = grid.size();
    let first = 2 * grid.bore_rows().start;
    let line = |column: usize| grid.place(2 * column, first)[0];
    let keep = (0..columns).find(|&column| line(column) >= widest * (1.0 + BEYOND));
    // The last line that must stay: a wall of a spotface, or the last but the rim.
    let walls = grid.recesses().map(|recess| recess.columns).into_iter().filter(|&line| line > 0);
    let last = walls.min().unwrap_or(columns - 1);
    let keep = keep.filter(|&keep| keep <= last).ok_or_else(|| StageError::CutBeyondRings {
        hole: name.to_owned(),
        cutter: 2.0 * widest,
        largest: 2.0 * if last + 1 < columns { line(last) } else { standing.rim } / (1.0 + BEYOND),
    })?;
    let plan = SectionPlan { fineness, ..SectionPlan::ring(narrowest, standing.rim, 1.0) };
    let fractions = plan.fractions(narrowest, line(keep) - narrowest);
    let inside = fractions.len() - 1;
    let place = |i: usize, j: usize| {
        if i >= 2 * inside {
            return grid.place(i - 2 * inside + 2 * keep, j);
        }
        // In a recess there is no bore, and no metal.
        let from = j.checked_sub(first).and_then(|j| bore.get(j)).map_or(narrowest, |at| at[0]);
        let r = from + between(&fractions, i) * (grid.place(2 * keep, j)[0] - from);
        [r, grid.depth_at(j, r)]
    };
    let kept = |recess: Recess| Recess {
        columns: if recess.rows > 0 { recess.columns - keep + inside } else { 0 },
        ..recess
    };
    let size = [columns - keep + inside, rows];
    standing.carry(SectionGrid::new(size, grid.recesses().map(kept), place))
}

/// Drawn radius and depth of the new bore at every half row that reaches it, mm.
fn new_bore(
    grid: &SectionGrid,
    standing: &Standing<'_>,
    name: &str,
    cutter: Cutter,
) -> Result<Vec<[f64; 2]>, StageError> {
    let rows = grid.bore_rows();
    let half_rows = 2 * rows.start..=2 * rows.end;
    let displaced = half_rows.clone().map(|j| standing.displaced(grid.place(0, j)));
    let displaced = displaced.collect::<Result<Vec<_>, _>>()?;
    let beyond = |radius: f64| StageError::CutBeyondRings {
        hole: name.to_owned(),
        cutter: 2.0 * radius,
        largest: 2.0 * standing.rim,
    };
    match cutter {
        Cutter::Cylinder { radius } => {
            // A cone stays where it is wider than the cylinder.
            let stays = |(j, at): (usize, &[f64; 2])| on_cone(grid, j) && at[0] + CLEAN >= radius;
            let stays: Vec<bool> = half_rows.clone().zip(&displaced).map(stays).collect();
            let cut = displaced.iter().zip(&stays).filter(|(_, stays)| !**stays);
            let farthest = cut.map(|(at, _)| at[0]).fold(0.0, f64::max);
            if farthest + CLEAN >= radius {
                return Err(StageError::NotCleanedUp {
                    hole: name.to_owned(),
                    cutter: 2.0 * radius,
                    needed: 2.0 * farthest + 0.01,
                });
            }
            let on_cutter = half_rows.zip(&stays).map(|(j, &stays)| {
                if stays {
                    return Ok(grid.place(0, j));
                }
                meets(grid, standing, j, |_| radius)?.ok_or_else(|| beyond(radius))
            });
            let mut bore = on_cutter.collect::<Result<Vec<_>, _>>()?;
            // Where cone and cylinder meet within a row its side is straight: a curve through three places of both
            // would leave the metal.
            for corner in (0..bore.len() - 1).step_by(2) {
                let [one, middle, other] = [0, 1, 2].map(|k| stays[corner + k]);
                if one != middle || middle != other {
                    let ends = [bore[corner], bore[corner + 2]];
                    bore[corner + 1] = [0, 1].map(|k| 0.5 * (ends[0][k] + ends[1][k]));
                }
            }
            Ok(bore)
        }
        Cutter::Cone { face, depth, half_angle } => {
            // The face as it stands beyond the lip round the hole, or the floor of its spotface.
            let (row, sense) = match face {
                Face::Entry => (*half_rows.start(), 1.0),
                Face::Exit => (*half_rows.end(), -1.0),
            };
            let away = (2.0 * grid.place(0, *half_rows.start())[0]).min(0.5 * standing.rim);
            let level = standing.displaced([away, grid.depth_at(row, away)])?[1];
            let below = |z: f64| sense * (z - level);
            // The bore at the depth where the cone meets it.
            let off = |at: &&[f64; 2]| (below(at[1]) - depth).abs();
            let nearest = displaced.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            let radius = nearest.map_or(0.0, |at| at[0]);
            let cone = |z: f64| radius + (depth - below(z)) * half_angle.tan();
            let on_cutter = half_rows.zip(&displaced).map(|(j, at)| {
                if at[0] >= cone(at[1]) {
                    return Ok(grid.place(0, j));
                }
                meets(grid, standing, j, cone)?.ok_or_else(|| beyond(cone(at[1])))
            });
            on_cutter.collect()
        }
    }
}

/// Whether the bore at half row `j` is the cone of a countersink: one of the rows, without a gap from an end of the
/// bore, over which it widens towards that end as no lip does.
fn on_cone(grid: &SectionGrid, j: usize) -> bool {
    let rows = grid.bore_rows();
    let [first, last] = [2 * rows.start, 2 * rows.end];
    let steep = |inside: usize, outside: usize| {
        let ([r, z], [wide, end]) = (grid.place(0, inside), grid.place(0, outside));
        wide - r > CONE * (end - z).abs()
    };
    // A place is on the cone when the stretch from it outward is; the end itself when the one inward is.
    let towards_entry = |j: usize| (first..j.max(first + 1)).all(|k| steep(k + 1, k));
    let towards_exit = |j: usize| (j.min(last - 1)..last).all(|k| steep(k, k + 1));
    towards_entry(j) || towards_exit(j)
}

/// Drawn place on half row `j` at which the metal is as far out as `wanted` says of its displaced depth.
fn meets(
    grid: &SectionGrid,
    standing: &Standing<'_>,
    j: usize,
    wanted: impl Fn(f64) -> f64,
) -> Result<Option<[f64; 2]>, StageError> {
    let along = |r: f64| [r, grid.depth_at(j, r)];
    let mut failure = None;
    let from = grid.place(0, j)[0];
    let found = bracketed_newton(from, standing.rim, 1e-12 * standing.rim, |r| {
        match standing.displaced(along(r)) {
            // The displaced radius grows about as the drawn one does.
            Ok([radius, depth]) => (radius - wanted(depth), 1.0),
            Err(error) => {
                failure.get_or_insert(error);
                (f64::NAN, 1.0)
            }
        }
    });
    failure.map_or(Ok(found.map(along)), Err)
}
