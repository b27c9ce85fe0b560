//! Forward and backward substitution through one front.
//!
//! `hand` holds what belongs to the rows below while the columns are gone through.

use faer::linalg::matmul::matmul;
use faer::{Accum, ColMut, ColRef, MatRef, Par};

use crate::solver::factor::scalar::Scalar;

/// Values below the own columns from which the library's product is faster than a plain loop.
const LARGE: usize = 256;

/// Rows that are summed side by side.
const LANES: usize = 16;

/// Solves for the own unknowns, which start at `first`, and takes their effect from the rows below.
pub(super) fn up<T: Scalar>(
    panel: &[T],
    (width, first): (usize, usize),
    rows: &[u32],
    unknowns: &mut [T],
    hand: &mut [T],
) {
    let height = width + rows.len();
    let hand = &mut hand[..rows.len()];
    let large = width * rows.len() >= LARGE;
    hand.fill(T::ZERO);
    for (j, column) in panel.chunks_exact(height).enumerate() {
        let (head, tail) = unknowns[first..first + width].split_at_mut(j + 1);
        let x = head[j] / column[j];
        head[j] = x;
        let (own, below) = column.split_at(width);
        for (y, &l) in tail.iter_mut().zip(&own[j + 1..]) {
            *y -= l * x;
        }
        if large {
            continue;
        }
        for (y, &l) in hand.iter_mut().zip(below) {
            *y += l * x;
        }
    }
    if large {
        let below = below(panel, width, height);
        let own = ColRef::from_slice(&unknowns[first..first + width]);
        let hand = ColMut::from_slice_mut(hand);
        matmul(hand, Accum::Replace, below, own, T::ONE, Par::Seq);
    }
    for (&row, &y) in rows.iter().zip(&*hand) {
        unknowns[row as usize] -= y;
    }
}

/// Solves for the own unknowns from those of the rows below.
pub(super) fn down<T: Scalar>(
    panel: &[T],
    (width, first): (usize, usize),
    rows: &[u32],
    unknowns: &mut [T],
    hand: &mut [T],
) {
    let height = width + rows.len();
    let hand = &mut hand[..rows.len()];
    for (&row, y) in rows.iter().zip(&mut *hand) {
        *y = unknowns[row as usize];
    }
    let large = width * rows.len() >= LARGE;
    if large {
        let below = below(panel, width, height);
        let own = ColMut::from_slice_mut(&mut unknowns[first..first + width]);
        let hand = ColRef::from_slice(hand);
        matmul(own, Accum::Add, below.transpose(), hand, T::MINUS_ONE, Par::Seq);
    }
    for (j, column) in panel.chunks_exact(height).enumerate().rev() {
        let (own, below) = column.split_at(width);
        let mut sum = dot(&own[j + 1..], &unknowns[first + j + 1..first + width]);
        if !large {
            sum += dot(below, hand);
        }
        unknowns[first + j] = (unknowns[first + j] - sum) / own[j];
    }
}

/// The rows of a panel below its own columns.
fn below<T: Scalar>(panel: &[T], width: usize, height: usize) -> MatRef<'_, T> {
    MatRef::from_column_major_slice(panel, height, width).split_at_row(width).1
}

/// A sum of products in a fixed order that the processor can take side by side.
fn dot<T: Scalar>(a: &[T], b: &[T]) -> T {
    let (whole_a, rest_a) = a.as_chunks::<LANES>();
    let (whole_b, rest_b) = b.as_chunks::<LANES>();
    let mut sums = [T::ZERO; LANES];
    for (a, b) in whole_a.iter().zip(whole_b) {
        for i in 0..LANES {
            sums[i] += a[i] * b[i];
        }
    }
    let mut sum = T::ZERO;
    for (&a, &b) in rest_a.iter().zip(rest_b) {
        sum += a * b;
    }
    sums.into_iter().fold(sum, |sum, part| sum + part)
}
