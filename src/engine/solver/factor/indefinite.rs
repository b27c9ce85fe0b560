//! Sparse factorization `A = L B Lᵀ` of a symmetric matrix that need not be positive definite: `B` has
//! blocks of one and two, chosen inside every front for size.
//!
//! It says how many eigenvalues of the matrix are negative: as many as those of `B` (Sylvester's law of inertia).
//! All of it is the `faer` library's. It is slower than the factor of a positive definite matrix and
//! works on one thread; only a part that would bifurcate needs it.
//!
//! Source: J. R. Bunch and L. Kaufman, Math. Comput. 31 (1977) 163–179, for the blocks (from memory).

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::lblt::factor::LbltParams;
use faer::perm::PermRef;
use faer::sparse::linalg::cholesky::supernodal::SupernodalIntranodeLbltRef;
use faer::sparse::linalg::cholesky::{IntranodeLbltRef, SymbolicCholesky, SymbolicCholeskyRaw};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side, Spec};
use nalgebra_sparse::CscMatrix;

use crate::solver::factor::plan::TooLarge;
use crate::solver::factor::supernodes::supernodes;

/// A factorization bound to one sparsity pattern.
#[derive(Debug)]
pub struct Indefinite {
    symbolic: SymbolicCholesky<usize>,
    values: Vec<f64>,
    beside: Vec<f64>,
    /// Exchanges inside the fronts, and back.
    order: [Vec<usize>; 2],
    negative: usize,
}

impl Indefinite {
    /// Analyses the pattern of `matrix` (lower triangle).
    ///
    /// # Errors
    ///
    /// [`TooLarge`] when the factor cannot be indexed.
    pub fn new(matrix: &CscMatrix<f64>) -> Result<Self, TooLarge> {
        let symbolic = supernodes(pattern(matrix))?;
        let n = matrix.nrows();
        Ok(Self {
            values: vec![0.0; symbolic.len_val()],
            beside: vec![0.0; n],
            order: [vec![0; n], vec![0; n]],
            negative: 0,
            symbolic,
        })
    }

    /// Factorizes `matrix`, which has the pattern analysed; returns how many of its eigenvalues are
    /// negative, or none when a pivot is zero or no number.
    pub fn factorize(&mut self, matrix: &CscMatrix<f64>) -> Option<usize> {
        let (_, _, values) = matrix.csc_data();
        let params = Spec::<LbltParams, f64>::default();
        let need = self.symbolic.factorize_numeric_intranode_lblt_scratch::<f64>(Par::Seq, params);
        let [forward, back] = &mut self.order;
        self.symbolic.factorize_numeric_intranode_lblt(
            &mut self.values,
            &mut self.beside,
            forward,
            back,
            SparseColMatRef::new(pattern(matrix), values),
            Side::Lower,
            Par::Seq,
            MemStack::new(&mut MemBuffer::new(need)),
            params,
        );
        self.negative = self.count()?;
        Some(self.negative)
    }

    /// Negative eigenvalues of the matrix that was factorized last.
    #[must_use]
    pub fn negative(&self) -> usize {
        self.negative
    }

    /// Solves for every column of `right` (column-major, `columns` of them) in place.
    pub fn solve(&self, right: &mut [f64], columns: usize) {
        let n = self.symbolic.nrows();
        let [forward, back] = &self.order;
        let order = PermRef::new_checked(forward, back, n);
        let factor = IntranodeLbltRef::new(&self.symbolic, &self.values, &self.beside, order);
        let need = self.symbolic.solve_in_place_scratch::<f64>(columns, Par::Seq);
        factor.solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(right, n, columns),
            Par::Seq,
            MemStack::new(&mut MemBuffer::new(need)),
        );
    }

    /// Negative eigenvalues of `B`.
    fn count(&self) -> Option<usize> {
        let mut negative = 0;
        let SymbolicCholeskyRaw::Supernodal(fronts) = self.symbolic.raw() else {
            // A matrix of a diagonal alone.
            let sound = self.values.iter().all(|pivot| pivot.is_finite() && *pivot != 0.0);
            return sound.then(|| self.values.iter().filter(|pivot| **pivot < 0.0).count());
        };
        let [forward, back] = &self.order;
        let order = PermRef::new_checked(forward, back, self.symbolic.nrows());
        let factor = SupernodalIntranodeLbltRef::new(fronts, &self.values, &self.beside, order);
        for front in 0..fronts.n_supernodes() {
            let front = factor.supernode(front);
            let (block, width) = (front.val(), front.val().ncols());
            let beside = &self.beside[front.start()..front.start() + width];
            let mut at = 0;
            while at < width {
                let (a, b) = (block[(at, at)], beside[at]);
                if b == 0.0 {
                    negative += usize::from(a < 0.0);
                    if !a.is_finite() || a == 0.0 {
                        return None;
                    }
                    at += 1;
                    continue;
                }
                let c = block[(at + 1, at + 1)];
                let determinant = a * c - b * b;
                if !determinant.is_finite() || determinant == 0.0 {
                    return None;
                }
                negative += if determinant < 0.0 { 1 } else { 2 * usize::from(a < 0.0) };
                at += 2;
            }
        }
        Some(negative)
    }
}

fn pattern(matrix: &CscMatrix<f64>) -> SymbolicSparseColMatRef<'_, usize> {
    let (offsets, rows, _) = matrix.csc_data();
    let n = matrix.nrows();
    SymbolicSparseColMatRef::new_checked(n, n, offsets, None, rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use nalgebra_sparse::CooMatrix;

    /// A grid of springs of either sign, lower triangle.
    fn grid(side: usize, shift: f64) -> CscMatrix<f64> {
        let n = side * side;
        let mut lower = CooMatrix::new(n, n);
        for y in 0..side {
            for x in 0..side {
                let here = y * side + x;
                let own = ((here * 37 + 11) % 19) as f64 / 19.0;
                lower.push(here, here, 4.0 - shift + own);
                if x + 1 < side {
                    lower.push(here + 1, here, -1.0);
                }
                if y + 1 < side {
                    lower.push(here + side, here, -1.0);
                }
            }
        }
        CscMatrix::from(&lower)
    }

    /// Source: the dense eigenvalues and solutions of a general library.
    #[test]
    fn it_counts_negative_eigenvalues_and_solves_what_a_dense_factorization_solves() {
        for (side, shift) in [(1, 0.0), (1, 9.0), (5, 0.0), (9, 1.7), (16, 4.4), (13, 9.5)] {
            let matrix = grid(side, shift);
            let n = matrix.nrows();
            let lower = DMatrix::from(&matrix);
            let whole =
                DMatrix::from_fn(n, n, |i, j| if i >= j { lower[(i, j)] } else { lower[(j, i)] });
            let expected = whole.clone().symmetric_eigenvalues();
            let negative = expected.iter().filter(|value| **value < 0.0).count();
            let mut factor = Indefinite::new(&matrix).expect("small");
            for _ in 0..2 {
                assert_eq!(factor.factorize(&matrix), Some(negative), "{side} {shift}");
                let given: Vec<f64> = (0..2 * n).map(|i| ((i * 37 + 5) % 19) as f64).collect();
                let mut found = given.clone();
                factor.solve(&mut found, 2);
                for (given, found) in given.chunks(n).zip(found.chunks(n)) {
                    let left = &whole * DVector::from_row_slice(found);
                    let off = (left - DVector::from_row_slice(given)).amax();
                    let size = found.iter().fold(1.0_f64, |top, x| top.max(x.abs()));
                    assert!(off < 1e-11 * size, "{side} {shift}: {off}");
                }
            }
        }
    }

    #[test]
    fn a_matrix_without_a_factor_is_refused() {
        let mut lower = CooMatrix::new(2, 2);
        lower.push(0, 0, 0.0);
        lower.push(1, 1, 1.0);
        lower.push(1, 0, 0.0);
        let matrix = CscMatrix::from(&lower);
        assert_eq!(Indefinite::new(&matrix).expect("small").factorize(&matrix), None);
    }
}
