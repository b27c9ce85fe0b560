//! The dense work on one front.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::{
    LltRegularization, cholesky_in_place, cholesky_in_place_scratch,
};
use faer::linalg::matmul::matmul;
use faer::linalg::matmul::triangular::{self, BlockStructure};
use faer::linalg::triangular_solve::solve_lower_triangular_in_place;
use faer::prelude::{Reborrow, ReborrowMut};
use faer::{Accum, MatMut, MatRef, Par, Spec};
use rayon::prelude::*;

use crate::solver::factor::plan::Plan;
use crate::solver::factor::scalar::Scalar;

/// Columns of a tile of the crown, and rows of a panel's tile.
const TILE: usize = 128;

/// Rows of a tile below the diagonal.
const LONG_TILE: usize = 512;

/// The matrix is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotPositiveDefinite;

/// Memory of the dense kernels.
pub(super) struct Scratch(MemBuffer);

impl std::fmt::Debug for Scratch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Scratch")
    }
}

impl Scratch {
    /// As much as the Cholesky kernel wants for a front of `width` columns.
    pub(super) fn new<T: Scalar>(width: usize) -> Self {
        Self(MemBuffer::new(cholesky_in_place_scratch::<T>(width, Par::Seq, Spec::default())))
    }
}

/// Puts the values of the matrix, given by column offsets and values, that belong to the panel of
/// `front` into it.
pub(super) fn load<T: Scalar>(
    plan: &Plan,
    front: usize,
    (offsets, values): (&[usize], &[f64]),
    panel: &mut [T],
) {
    let height = plan.width(front) + plan.below(front);
    let mut put = |source: usize, target: usize| panel[target] = T::of(values[source]);
    for block in plan.blocks_of(front) {
        if plan.together() == 2 {
            block.each::<2>(offsets, height, &mut put);
        } else {
            block.each::<1>(offsets, height, &mut put);
        }
    }
}

/// The lower triangle of a square, which lies in it or column by column without gaps.
#[derive(Clone, Copy)]
pub(super) enum Lower<'a, T> {
    Square(&'a [T]),
    Packed(&'a [T]),
}

impl<'a, T> Lower<'a, T> {
    /// Column `j` of a square of `size`, from the diagonal down.
    fn column(self, j: usize, size: usize) -> &'a [T] {
        match self {
            Self::Square(values) => &values[j * size + j..(j + 1) * size],
            Self::Packed(values) => {
                let start = packed(size) - packed(size - j);
                &values[start..start + size - j]
            }
        }
    }
}

/// Values of a packed lower triangle.
pub(super) fn packed(size: usize) -> usize {
    size * (size + 1) / 2
}

/// Packs the lower triangle of a square.
pub(super) fn pack<T: Scalar>(square: &[T], size: usize, into: &mut [T]) {
    let mut rest = into;
    for j in 0..size {
        let column = Lower::Square(square).column(j, size);
        let (own, others) = rest.split_at_mut(column.len());
        own.copy_from_slice(column);
        rest = others;
    }
}

/// Adds the update of a child to the panel and the update of its parent.
pub(super) fn extend<T: Scalar>(
    plan: &Plan,
    (child, given): (usize, Lower<'_, T>),
    front: usize,
    panel: &mut [T],
    update: &mut [T],
) {
    let (width, below) = (plan.width(front), plan.below(front));
    let height = width + below;
    let places = plan.in_parent(child);
    for (j, &column) in places.iter().enumerate() {
        let column = column as usize;
        let rows = places[j..].iter().zip(given.column(j, places.len()));
        if column < width {
            let target = &mut panel[column * height..(column + 1) * height];
            for (&row, &value) in rows {
                target[row as usize] += value;
            }
        } else {
            let target = &mut update[(column - width) * below..(column - width + 1) * below];
            for (&row, &value) in rows {
                target[row as usize - width] += value;
            }
        }
    }
}

/// Eliminates the columns of a panel and takes their effect from `update`, which holds nothing yet
/// when it is `fresh`.
pub(super) fn eliminate<T: Scalar>(
    (width, below): (usize, usize),
    panel: &mut [T],
    update: &mut [T],
    fresh: bool,
    scratch: &mut Scratch,
) -> Result<(), NotPositiveDefinite> {
    let panel = MatMut::from_column_major_slice_mut(panel, width + below, width);
    let (mut top, mut low) = panel.split_at_row_mut(width);
    cholesky(top.rb_mut(), scratch)?;
    solve_lower_triangular_in_place(top.rb(), low.rb_mut().transpose_mut(), Par::Seq);
    if below > 0 {
        let update = MatMut::from_column_major_slice_mut(update, below, below);
        let how = if fresh { Accum::Replace } else { Accum::Add };
        take_square(update, how, low.rb());
    }
    Ok(())
}

/// The same in tiles, side by side.
pub(super) fn eliminate_in_tiles<T: Scalar>(
    (width, below): (usize, usize),
    panel: &mut [T],
    update: &mut [T],
    scratch: &mut Scratch,
) -> Result<(), NotPositiveDefinite> {
    let mut panel = MatMut::from_column_major_slice_mut(panel, width + below, width);
    for done in (0..width).step_by(TILE) {
        let now = TILE.min(width - done);
        let rest = panel.rb_mut().split_at_row_mut(done).1.split_at_col_mut(done).1;
        let (left, right) = rest.split_at_col_mut(now);
        let (mut top, mut low) = left.split_at_row_mut(now);
        cholesky(top.rb_mut(), scratch)?;
        let top = top.rb();
        low.rb_mut().par_row_chunks_mut(TILE).for_each(|tile| {
            solve_lower_triangular_in_place(top, tile.transpose_mut(), Par::Seq);
        });
        take_in_tiles(right.split_at_row_mut(now).1, low.rb());
    }
    if below > 0 {
        let update = MatMut::from_column_major_slice_mut(update, below, below);
        take_in_tiles(update, panel.rb().split_at_row(width).1);
    }
    Ok(())
}

fn cholesky<T: Scalar>(
    block: MatMut<'_, T>,
    scratch: &mut Scratch,
) -> Result<(), NotPositiveDefinite> {
    let stack = MemStack::new(&mut scratch.0);
    cholesky_in_place(block, LltRegularization::default(), Par::Seq, stack, Spec::default())
        .map(|_| ())
        .map_err(|_| NotPositiveDefinite)
}

/// Takes `low · lowᵀ` from the lower triangle of `target`.
fn take_square<T: Scalar>(target: MatMut<'_, T>, how: Accum, low: MatRef<'_, T>) {
    triangular::matmul(
        target,
        BlockStructure::TriangularLower,
        how,
        low,
        BlockStructure::Rectangular,
        low.transpose(),
        BlockStructure::Rectangular,
        T::MINUS_ONE,
        Par::Seq,
    );
}

/// Takes `low · lowᵀ` from the lower trapezium of `target`, whose rows are those of `low` and
/// whose columns are the first of them.
fn take_in_tiles<T: Scalar>(target: MatMut<'_, T>, low: MatRef<'_, T>) {
    target.par_col_chunks_mut(TILE).enumerate().for_each(|(index, tile)| {
        let (first, columns) = (index * TILE, tile.ncols());
        let (diagonal, below) = tile.split_at_row_mut(first).1.split_at_row_mut(columns);
        let own = low.subrows(first, columns);
        take_square(diagonal, Accum::Add, own);
        below.par_row_chunks_mut(LONG_TILE).enumerate().for_each(|(index, tile)| {
            let rows = low.subrows(first + columns + index * LONG_TILE, tile.nrows());
            matmul(tile, Accum::Add, rows, own.transpose(), T::MINUS_ONE, Par::Seq);
        });
    });
}
