//! Sparse Cholesky factorization `A = L Lᵀ`, multifrontal: symbolic once for a mesh, numeric
//! into the same memory.
//!
//! The elimination tree is cut into *branches*, each small against the whole, and the *crown*
//! above them. Branches are eliminated side by side; the fronts of the crown one after another,
//! but split into tiles. Where the tree is cut and how large tiles are depends on the matrix
//! alone, so the bytes of the result are the same for any number of threads.
//!
//! Order (approximate minimum degree), symbolic analysis and dense kernels are those of the
//! `faer` library. Its own supernodal factorization walks the tree in sequence and was measured
//! slower (`verification/performance.md`).
//!
//! Source: I. S. Duff and J. K. Reid, ACM Trans. Math. Softw. 9 (1983) 302–325, for the method
//! (from memory).

mod branch;
mod crown;
mod front;
pub mod indefinite;
pub mod plan;
pub mod scalar;
mod supernodes;
mod sweep;

use std::sync::{Arc, Mutex};

use nalgebra_sparse::CscMatrix;
use rayon::prelude::*;

use crate::solver::factor::branch::{Branch, Workshop};
use crate::solver::factor::crown::Crown;
pub use crate::solver::factor::front::NotPositiveDefinite;
use crate::solver::factor::plan::{Plan, TooLarge};
use crate::solver::factor::scalar::Scalar;

/// A factorization bound to one sparsity pattern, in the arithmetic of `T`.
///
/// In single precision it is half as large and takes half the time; its answers are good to about
/// five digits, which a correction of Newton's method does not notice.
#[derive(Debug)]
pub struct Factor<T> {
    plan: Arc<Plan>,
    branches: Vec<Branch<T>>,
    crown: Crown<T>,
    /// One for every thread.
    workshops: Vec<Mutex<Workshop<T>>>,
}

impl<T: Scalar> Factor<T> {
    /// Analyses the pattern of `matrix` (lower triangle).
    ///
    /// # Errors
    ///
    /// [`TooLarge`] when the factor cannot be indexed.
    pub fn new(matrix: &CscMatrix<f64>) -> Result<Self, TooLarge> {
        Ok(Self::with_plan(Arc::new(Plan::new(matrix, 1)?)))
    }

    /// A factorization along a plan that another one may share.
    #[must_use]
    pub fn with_plan(plan: Arc<Plan>) -> Self {
        let branches: Vec<Branch<T>> =
            plan.branches.iter().map(|range| Branch::new(&plan, range.clone())).collect();
        let crown = Crown::new(&plan);
        let largest = branches.iter().map(|branch| branch.room(&plan)).max().unwrap_or(0);
        let widest = plan.widest();
        let threads = rayon::current_num_threads().min(branches.len()).max(1);
        let workshops = (0..threads).map(|_| Mutex::new(Workshop::new(largest, widest))).collect();
        Self { plan, branches, crown, workshops }
    }

    /// The plan it follows.
    #[must_use]
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Factorizes `matrix`, which has the pattern analysed.
    ///
    /// # Errors
    ///
    /// [`NotPositiveDefinite`] when a pivot is not positive in the arithmetic of `T`.
    ///
    /// # Panics
    ///
    /// When `matrix` has another number of entries than the one analysed.
    pub fn factorize(&mut self, matrix: &CscMatrix<f64>) -> Result<(), NotPositiveDefinite> {
        self.refactorize(matrix, |_| true)
    }

    /// Factorizes `matrix` where no value in a column or row of an unknown of a branch is another
    /// one than the last time, unless the branch is `stale`: branches that are not stay as they are.
    ///
    /// # Errors
    ///
    /// [`NotPositiveDefinite`] when a pivot is not positive in the arithmetic of `T`.
    ///
    /// # Panics
    ///
    /// When `matrix` has another number of entries than the one analysed.
    pub(crate) fn refactorize(
        &mut self,
        matrix: &CscMatrix<f64>,
        stale: impl Fn(usize) -> bool + Sync,
    ) -> Result<(), NotPositiveDefinite> {
        let Self { plan, branches, crown, workshops } = self;
        let (offsets, _, values) = matrix.csc_data();
        assert_eq!(values.len(), plan.entries(), "a matrix of another pattern");
        let matrix = (offsets, values);
        branches.par_iter_mut().enumerate().with_max_len(1).try_for_each(|(index, branch)| {
            if branch.stands() && !stale(index) {
                return Ok(());
            }
            let mine = rayon::current_thread_index().unwrap_or(0) % workshops.len();
            let mut workshop = workshops[mine].lock().map_err(|_| NotPositiveDefinite)?;
            branch.eliminate(plan, matrix, &mut workshop)
        })?;
        crown.eliminate(plan, matrix, branches)
    }

    /// Solves for every column of `right` (column-major, `columns` of them) in place.
    pub fn solve(&mut self, right: &mut [f64], columns: usize) {
        let Self { plan, branches, crown, .. } = self;
        let unknowns = plan.unknowns();
        {
            let right = &*right;
            branches
                .par_iter_mut()
                .with_max_len(1)
                .for_each(|branch| branch.sweep_up(plan, right, columns));
        }
        crown.sweep(plan, right, columns, branches);
        {
            let crown = &*crown;
            branches
                .par_iter_mut()
                .enumerate()
                .with_max_len(1)
                .for_each(|(k, branch)| branch.sweep_down(plan, &crown.above(k), columns));
        }
        for column in 0..columns {
            let right = &mut right[column * unknowns..(column + 1) * unknowns];
            for branch in &*branches {
                branch.put(plan, column, right);
            }
            crown.put(plan, column, right);
        }
    }

    /// Values stored in the factor.
    #[must_use]
    pub fn size(&self) -> usize {
        self.plan.factor_size()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{Cholesky, DMatrix, DVector};
    use nalgebra_sparse::CooMatrix;

    /// A grid of springs with random-looking stiffness, `side²` nodes, lower triangle.
    fn grid(side: usize) -> CscMatrix<f64> {
        let n = side * side;
        let mut lower = CooMatrix::new(n, n);
        let mut state = 12345_u64;
        let mut random = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            0.1 + (state >> 40) as f64 / (1_u64 << 24) as f64
        };
        let mut spring = |lower: &mut CooMatrix<f64>, a: usize, b: usize| {
            let k = random();
            lower.push(a, a, k);
            lower.push(b, b, k);
            lower.push(a.max(b), a.min(b), -k);
        };
        for y in 0..side {
            for x in 0..side {
                let here = y * side + x;
                if x + 1 < side {
                    spring(&mut lower, here, here + 1);
                }
                if y + 1 < side {
                    spring(&mut lower, here, here + side);
                }
                if x + 1 < side && y + 1 < side {
                    spring(&mut lower, here, here + side + 1);
                }
            }
        }
        lower.push(0, 0, 1.0);
        CscMatrix::from(&lower)
    }

    fn loads(n: usize) -> Vec<f64> {
        (0..2 * n).map(|i| ((i * 37 + 11) % 19) as f64 - 9.0).collect()
    }

    fn largest_difference(a: &[f64], b: &[f64]) -> f64 {
        a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    }

    #[test]
    fn it_solves_what_a_dense_factorization_solves() {
        for side in [1, 2, 3, 7, 18, 34] {
            let matrix = grid(side);
            let n = matrix.nrows();
            let dense = DMatrix::from(&matrix);
            let whole =
                DMatrix::from_fn(n, n, |i, j| if i >= j { dense[(i, j)] } else { dense[(j, i)] });
            let reference = Cholesky::new(whole).expect("positive definite");
            let mut expected = Vec::new();
            for column in loads(n).chunks(n) {
                expected.extend_from_slice(
                    reference.solve(&DVector::from_row_slice(column)).as_slice(),
                );
            }
            let scale = expected.iter().fold(0.0_f64, |top, x| top.max(x.abs()));
            let mut factor = Factor::<f64>::new(&matrix).expect("small");
            let mut single = Factor::<f32>::with_plan(factor.plan().clone());
            for _ in 0..2 {
                factor.factorize(&matrix).expect("positive definite");
                let mut x = loads(n);
                factor.solve(&mut x, 2);
                assert!(largest_difference(&x, &expected) < 1e-12 * scale, "{side}");
                single.factorize(&matrix).expect("positive definite");
                let mut x = loads(n);
                single.solve(&mut x, 2);
                assert!(largest_difference(&x, &expected) < 1e-3 * scale, "{side}");
            }
        }
    }

    /// Two nets of springs, tied at every node: unknowns in pairs that couple alike.
    fn two_grids(side: usize) -> CscMatrix<f64> {
        let single = grid(side);
        let n = single.nrows();
        let mut lower = CooMatrix::new(2 * n, 2 * n);
        for (row, column, value) in single.triplet_iter() {
            for (i, j, share) in [(0, 0, 1.0), (1, 1, 1.3), (1, 0, 0.2), (0, 1, 0.2)] {
                if 2 * row + i >= 2 * column + j {
                    lower.push(2 * row + i, 2 * column + j, share * value);
                }
            }
        }
        CscMatrix::from(&lower)
    }

    #[test]
    fn unknowns_in_pairs_make_no_difference() {
        let matrix = two_grids(23);
        let n = matrix.nrows();
        let mut one = Factor::<f64>::new(&matrix).expect("small");
        let plan = Plan::new(&matrix, 2).expect("small");
        let mut two = Factor::<f64>::with_plan(Arc::new(plan));
        one.factorize(&matrix).expect("positive definite");
        two.factorize(&matrix).expect("positive definite");
        let (mut x, mut y) = (loads(n), loads(n));
        one.solve(&mut x, 2);
        two.solve(&mut y, 2);
        let scale = x.iter().fold(0.0_f64, |top, x| top.max(x.abs()));
        assert!(largest_difference(&x, &y) < 1e-12 * scale);
    }

    /// Values change about one unknown: where none of its neighbours is eliminated, nothing is
    /// done again, and the result is that of a new factorization to the last bit.
    #[test]
    fn branches_that_no_change_reaches_stand() {
        let matrix = two_grids(40);
        let plan = Arc::new(Plan::new(&matrix, 2).expect("small"));
        let changed = (0..matrix.nrows()).find(|&u| plan.branch_of(u).is_some()).expect("some");
        let mut other = matrix.clone();
        let at = other.csc_data().0[changed];
        other.values_mut()[at] *= 1.5;
        let mut kept = Factor::<f64>::with_plan(plan.clone());
        let mut anew = Factor::<f64>::with_plan(plan.clone());
        kept.factorize(&matrix).expect("positive definite");
        anew.factorize(&other).expect("positive definite");
        let answer = |factor: &mut Factor<f64>| {
            let mut x = loads(matrix.nrows());
            factor.solve(&mut x, 2);
            x
        };
        let before = answer(&mut kept);
        kept.refactorize(&other, |_| false).expect("positive definite");
        assert!(answer(&mut kept) == before, "the branch was to stand");
        let stale = plan.branch_of(changed).expect("chosen so");
        assert!(plan.branch_count() > 4);
        kept.refactorize(&other, |branch| branch == stale).expect("positive definite");
        assert!(answer(&mut kept) == answer(&mut anew));
    }

    #[test]
    fn the_bytes_do_not_depend_on_the_number_of_threads() {
        let matrix = grid(60);
        let n = matrix.nrows();
        let answer = |threads: usize| {
            let pool =
                rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| {
                let mut factor = Factor::<f64>::new(&matrix).expect("small");
                factor.factorize(&matrix).expect("positive definite");
                let mut x = loads(n);
                factor.solve(&mut x, 2);
                x
            })
        };
        let one = answer(1);
        assert!([2, 3, 5].into_iter().all(|threads| answer(threads) == one));
    }

    #[test]
    fn a_matrix_that_is_not_positive_definite_is_refused_and_the_next_one_taken() {
        let matrix = grid(12);
        let mut broken = matrix.clone();
        let middle = broken.csc_data().0[70];
        broken.values_mut()[middle] *= -1.0;
        let mut factor = Factor::<f64>::new(&matrix).expect("small");
        assert_eq!(factor.factorize(&broken), Err(NotPositiveDefinite));
        assert_eq!(factor.factorize(&matrix), Ok(()));
    }
}
