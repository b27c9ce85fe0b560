//! Order of elimination and fronts of a pattern, by the library.

use faer::Side;
use faer::sparse::SymbolicSparseColMatRef;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};

use crate::solver::factor::plan::TooLarge;

/// Analyses a lower triangle for a factor made of fronts.
///
/// # Errors
///
/// [`TooLarge`] when the factor cannot be indexed.
pub(super) fn supernodes(
    pattern: SymbolicSparseColMatRef<'_, usize>,
) -> Result<SymbolicCholesky<usize>, TooLarge> {
    let params = CholeskySymbolicParams {
        supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SUPERNODAL,
        ..CholeskySymbolicParams::default()
    };
    factorize_symbolic_cholesky(pattern, Side::Lower, SymmetricOrdering::Amd, params)
        .map_err(|_| TooLarge)
}
