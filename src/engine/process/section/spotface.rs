//! A spotface: a flat floor round the hole, cut below a face, and the wall that it ends at.
//!
//! The grid has a column line where the wall is drawn and a row at the depth of the floor. That row is bent to lie
//! where the displaced metal is level with its end at the wall; the rows on either side of it are drawn along with it.
//! Columns stay where they are: in the flat elements at a face, what a displacement read between their nodes is off by
//! would be a strain of some tenths of a per cent. The corner of floor and wall is sharp.

use crate::element::edge;
use crate::mesh::section_grid::{Recess, SectionGrid};
use crate::process::section::Face;
use crate::process::section::standing::{SectionCut, Standing};
use crate::process::stage_error::StageError;

/// Least radius of a spotface over that of the hole.
const LEAST: f64 = 1.05;

/// Steps at most in which a drawn place is found from where it is now. Each takes off what the strain leaves, a tenth.
const STEPS: usize = 60;

/// The tool of a spotface. Lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spotface {
    /// The face that it enters.
    pub(super) face: Face,
    /// Depth of the floor below the face, as drawn at the wall.
    pub(super) depth: f64,
    /// Its radius, as drawn.
    pub(super) radius: f64,
}

/// Half rows that a floor moves: those that stay at either end, and the one that becomes the floor.
struct Moved {
    ends: [usize; 2],
    floor: usize,
}

impl Moved {
    /// Depth of half row `j` at radius `r` once the floor is at `floor` there, mm.
    fn depth(&self, grid: &SectionGrid, j: usize, r: f64, floor: f64) -> f64 {
        let was = grid.depth_at(j, r);
        if j < self.ends[0] || j > self.ends[1] {
            return was;
        }
        let stays = grid.depth_at(self.ends[usize::from(j > self.floor)], r);
        stays + (was - stays) * (floor - stays) / (grid.depth_at(self.floor, r) - stays)
    }
}

/// Cuts a spotface round hole `name`, which stands as `standing` and is laid out in `grid`.
///
/// # Errors
///
/// [`StageError`] when the face has a spotface, the new one is no wider than the hole, or its floor leaves no bore.
pub(super) fn cut(
    (grid, standing): (&SectionGrid, &Standing<'_>),
    name: &str,
    tool: Spotface,
) -> Result<SectionCut, StageError> {
    let [columns, rows] = grid.size();
    let through = grid.bore_rows();
    let (side, depth, ends) = match tool.face {
        Face::Entry => (0, grid.place(2 * columns, 0)[1] + tool.depth, [0, 2 * through.end]),
        Face::Exit => {
            let exit = grid.place(2 * columns, 2 * rows)[1];
            (1, exit - tool.depth, [2 * through.start, 2 * rows])
        }
    };
    let mut recesses = grid.recesses();
    if recesses[side].rows > 0 {
        return Err(StageError::Spotfaced { hole: name.to_owned() });
    }
    let off = |column: &usize| (grid.place(2 * column, 2 * through.start)[0] - tool.radius).abs();
    let column = (1..columns).min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(1);
    // One row at least reaches the bore on either side of the floor.
    let off = |row: &usize| (grid.place(2 * column, 2 * row)[1] - depth).abs();
    let row = (through.start + 1..through.end).min_by(|a, b| off(a).total_cmp(&off(b)));
    let row = row.unwrap_or(through.start);
    let [wall, level] = standing.displaced(grid.place(2 * column, 2 * row))?;
    let corner = bore_at(grid, standing, level)?;
    let hole = standing.displaced(corner)?[0];
    if wall < LEAST * hole {
        return Err(StageError::NotCleanedUp {
            hole: name.to_owned(),
            cutter: 2.0 * tool.radius,
            needed: 2.0 * LEAST * hole,
        });
    }
    let taken = if side == 0 { row } else { rows - row };
    recesses[side] = Recess { columns: column, rows: taken };
    let moved = Moved { ends, floor: 2 * row };
    let mut floor = vec![corner[1]];
    for i in 1..2 * column {
        floor.push(level_at(grid, standing, grid.place(i, moved.floor)[0], level)?);
    }
    let place = |i: usize, j: usize| {
        let at = grid.place(i, j);
        let Some(&floor) = floor.get(i) else { return at };
        let bore = grid.place(0, j)[0];
        // A bore that is not straight has another radius where its row is now.
        let widened = bore_radius(grid, moved.depth(grid, j, bore, corner[1])) - bore;
        let wall = grid.place(2 * column, j)[0];
        let reaches_bore = (2 * through.start..=2 * through.end).contains(&j);
        let by = if reaches_bore { widened * (wall - at[0]) / (wall - bore) } else { 0.0 };
        [at[0] + by, moved.depth(grid, j, at[0], floor)]
    };
    standing.carry(SectionGrid::new([columns, rows], recesses, place))
}

/// Drawn depth of the metal drawn at radius `r` that is at depth `level` now, mm.
fn level_at(
    grid: &SectionGrid,
    standing: &Standing<'_>,
    r: f64,
    level: f64,
) -> Result<f64, StageError> {
    let rows = grid.bore_rows();
    let [top, bottom] = [rows.start, rows.end].map(|row| grid.depth_at(2 * row, r));
    let mut z = level.clamp(top, bottom);
    for _ in 0..STEPS {
        let next = (z + level - standing.displaced([r, z])?[1]).clamp(top, bottom);
        let step = (next - z).abs();
        z = next;
        if step < 1e-14 * standing.rim {
            break;
        }
    }
    Ok(z)
}

/// Drawn place of the bore that is at depth `level` now.
fn bore_at(
    grid: &SectionGrid,
    standing: &Standing<'_>,
    level: f64,
) -> Result<[f64; 2], StageError> {
    let rows = grid.bore_rows();
    let [mut top, mut bottom] = [rows.start, rows.end].map(|row| grid.place(0, 2 * row)[1]);
    let at = |z: f64| [bore_radius(grid, z), z];
    // By halves: at a lip the displacement is far from even.
    for _ in 0..STEPS {
        let middle = 0.5 * (top + bottom);
        if standing.displaced(at(middle))?[1] < level {
            top = middle;
        } else {
            bottom = middle;
        }
    }
    Ok(at(0.5 * (top + bottom)))
}

/// Drawn radius of the bore at the drawn depth `z`, mm: a parabola in every row, as its elements have it.
fn bore_radius(grid: &SectionGrid, z: f64) -> f64 {
    let rows = grid.bore_rows();
    let row = (rows.start..rows.end - 1).find(|&row| grid.place(0, 2 * row + 2)[1] >= z);
    let row = row.unwrap_or(rows.end - 1);
    let side = [0, 1, 2].map(|k| grid.place(0, 2 * row + k));
    let [top, bottom] = [side[0][1], side[2][1]];
    let share = ((z - top) / (bottom - top)).clamp(0.0, 1.0);
    side.iter().zip(edge::values(2.0 * share - 1.0)).map(|(at, value)| at[0] * value).sum()
}
