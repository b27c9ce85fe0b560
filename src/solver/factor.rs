//! Sparse Cholesky factorization: symbolic once for a mesh, numeric into the same memory.
//!
//! The work is done by the `faer` library (supernodal `LLᵀ`, approximate minimum degree
//! order). One thread: with two it was measured slower up to 4·10⁵ unknowns, because only
//! its dense kernels are split, and the bytes of the result stay the same this way.
//!
//! Floor 3, `solver`.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::sparse::linalg::cholesky::{
    LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par, Side};
use nalgebra_sparse::CscMatrix;

/// A factorization bound to one sparsity pattern.
pub struct Factor {
    symbolic: SymbolicCholesky<usize>,
    values: Vec<f64>,
    scratch: MemBuffer,
    solve_scratch: MemBuffer,
    /// Right-hand sides that the scratch of the solve is made for.
    columns: usize,
    count: usize,
}

/// The matrix is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotPositiveDefinite;

impl std::fmt::Debug for Factor {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Factor")
            .field("unknowns", &self.symbolic.nrows())
            .field("values", &self.values.len())
            .field("count", &self.count)
            .finish_non_exhaustive()
    }
}

/// Reads the pattern of a matrix without copying it.
fn symbolic_view(matrix: &CscMatrix<f64>) -> SymbolicSparseColMatRef<'_, usize> {
    let (offsets, rows, _) = matrix.csc_data();
    SymbolicSparseColMatRef::new_checked(matrix.nrows(), matrix.ncols(), offsets, None, rows)
}

impl Factor {
    /// Analyses the pattern of `matrix` (lower triangle).
    ///
    /// # Errors
    ///
    /// [`NotPositiveDefinite`] stands for the one way this fails: the factor is too large
    /// to be indexed or allocated.
    pub fn new(matrix: &CscMatrix<f64>) -> Result<Self, NotPositiveDefinite> {
        let symbolic = factorize_symbolic_cholesky(
            symbolic_view(matrix),
            Side::Lower,
            SymmetricOrdering::Amd,
            faer::sparse::linalg::cholesky::CholeskySymbolicParams::default(),
        )
        .map_err(|_| NotPositiveDefinite)?;
        let scratch = MemBuffer::new(
            symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, faer::Spec::default()),
        );
        let solve_scratch = MemBuffer::new(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        let values = vec![0.0; symbolic.len_val()];
        Ok(Self { symbolic, values, scratch, solve_scratch, columns: 1, count: 0 })
    }

    /// Factorizes `matrix`, which has the pattern analysed.
    ///
    /// # Errors
    ///
    /// [`NotPositiveDefinite`] when a pivot is not positive.
    pub fn factorize(&mut self, matrix: &CscMatrix<f64>) -> Result<(), NotPositiveDefinite> {
        let (_, _, values) = matrix.csc_data();
        self.count += 1;
        self.symbolic
            .factorize_numeric_llt(
                &mut self.values,
                SparseColMatRef::new(symbolic_view(matrix), values),
                Side::Lower,
                LltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut self.scratch),
                faer::Spec::default(),
            )
            .map(|_| ())
            .map_err(|_| NotPositiveDefinite)
    }

    /// Solves for every column of `right` (column-major, `columns` of them) in place.
    pub fn solve(&mut self, right: &mut [f64], columns: usize) {
        let rows = self.symbolic.nrows();
        if columns > self.columns {
            let need = self.symbolic.solve_in_place_scratch::<f64>(columns, Par::Seq);
            self.solve_scratch = MemBuffer::new(need);
            self.columns = columns;
        }
        LltRef::new(&self.symbolic, &self.values).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(right, rows, columns),
            Par::Seq,
            MemStack::new(&mut self.solve_scratch),
        );
    }

    /// Numeric factorizations so far.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// Values stored in the factor.
    #[must_use]
    pub fn size(&self) -> usize {
        self.values.len()
    }
}
