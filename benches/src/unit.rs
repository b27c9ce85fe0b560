//! One numeric Cholesky factorization of a matrix, by several hands. Seconds, best of a few.

use std::sync::Arc;
use std::time::Instant;

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Par, Side, Spec};
use hoopset::solver::factor::Factor;
use hoopset::solver::factor::plan::Plan;
use hoopset::solver::factor::scalar::Scalar;
use nalgebra_sparse::CscMatrix;

/// Best of at least three, for at most a few seconds.
pub fn best(mut run: impl FnMut()) -> f64 {
    let (mut best, begin) = (f64::INFINITY, Instant::now());
    let mut count = 0;
    while count < 3 || (count < 15 && begin.elapsed().as_secs_f64() < 3.0) {
        let clock = Instant::now();
        run();
        best = best.min(clock.elapsed().as_secs_f64());
        count += 1;
    }
    best
}

/// Stock supernodal factorization of `faer`, in sequence and in parallel: the faster.
pub fn faer(matrix: &CscMatrix<f64>, threads: usize) -> f64 {
    let (offsets, rows, values) = matrix.csc_data();
    let n = matrix.nrows();
    let pattern = SymbolicSparseColMatRef::new_checked(n, n, offsets, None, rows);
    let symbolic = factorize_symbolic_cholesky(
        pattern,
        Side::Lower,
        SymmetricOrdering::Amd,
        CholeskySymbolicParams::default(),
    )
    .expect("the matrix fits");
    let mut factor = vec![0.0; symbolic.len_val()];
    let mut ways = vec![Par::Seq];
    if threads > 1 {
        ways.push(Par::rayon(threads));
    }
    let time = |par: Par| {
        let mut memory =
            MemBuffer::new(symbolic.factorize_numeric_llt_scratch::<f64>(par, Spec::default()));
        best(|| {
            symbolic
                .factorize_numeric_llt(
                    &mut factor,
                    SparseColMatRef::new(pattern, values),
                    Side::Lower,
                    LltRegularization::default(),
                    par,
                    MemStack::new(&mut memory),
                    Spec::default(),
                )
                .expect("positive definite");
        })
    };
    ways.into_iter().map(time).fold(f64::INFINITY, f64::min)
}

/// The factorization of hoopset.
pub fn own<T: Scalar>(matrix: &CscMatrix<f64>) -> f64 {
    // The two displacements of a node together, as in a run.
    let plan = Plan::new(matrix, 2).expect("the matrix fits");
    let mut factor = Factor::<T>::with_plan(Arc::new(plan));
    best(|| factor.factorize(matrix).expect("positive definite"))
}

/// CHOLMOD of the system, when it is built in.
pub fn cholmod(matrix: &CscMatrix<f64>) -> Option<f64> {
    #[cfg(feature = "cholmod")]
    return crate::cholmod::time(matrix);
    #[cfg(not(feature = "cholmod"))]
    {
        let _ = matrix;
        None
    }
}
