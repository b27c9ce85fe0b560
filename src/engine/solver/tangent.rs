//! The factor of the tangent, and what is kept of it from one correction to the next.

use std::sync::Arc;

use nalgebra_sparse::CscMatrix;
use rayon::prelude::*;

use crate::solver::bordered::{BorderedSystem, Solve};
use crate::solver::factor::indefinite::Indefinite;
use crate::solver::factor::plan::Plan;
use crate::solver::factor::{Factor, NotPositiveDefinite};

/// Relative error of an answer of a single-precision factor; measured: up to 4e-4.
const ROUGH: f64 = 1e-3;

/// Relative error after refinement of such answers: a direction that is resisted keeps a hundredth of
/// the raw stiffness of its nodes, far above.
const REFINED: f64 = 1e-7;

/// Relative error of an answer of a double-precision factor.
const FINE: f64 = 1e-12;

/// Arithmetic of a factor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Precision {
    /// Five good digits: half the time and memory.
    Single,
    /// Where single precision finds no factor, or the user wants Newton's method as it stands.
    Double,
}

/// The last tangent that was factorized, its bordered system, and how well they still serve.
#[derive(Debug)]
pub(crate) struct Tangent {
    plan: Arc<Plan>,
    factor: Held,
    /// Whether the factor may still be used.
    stands: bool,
    pub(crate) bordered: BorderedSystem,
    /// Branches of the factor where the matrix is another one than it was made of.
    stale: Vec<bool>,
    /// Displacements that were held when it was made.
    held: Vec<bool>,
    difference: Vec<f64>,
    count: usize,
    /// Whether the factor of a matrix that is not positive definite is taken too.
    saddles: bool,
    /// Negative eigenvalues of the last matrix without what is tied.
    negative: usize,
}

impl Tangent {
    pub(crate) fn new(plan: Arc<Plan>) -> Self {
        Self {
            stale: vec![true; plan.branch_count()],
            plan,
            factor: Held::default(),
            stands: false,
            bordered: BorderedSystem::default(),
            held: Vec::new(),
            difference: Vec::new(),
            count: 0,
            saddles: false,
            negative: 0,
        }
    }

    /// Says whether the factor of a matrix that is not positive definite is taken too.
    pub(crate) fn take_saddles(&mut self, saddles: bool) {
        self.saddles = saddles;
    }

    /// Negative eigenvalues of the tangent that was factorized last, the unknowns of the border
    /// included.
    pub(crate) fn negative(&self) -> usize {
        self.negative + self.bordered.negative()
    }

    /// Takes the plan of another pattern; everything else is asked for as before.
    pub(crate) fn reconnect(&mut self, plan: Arc<Plan>) {
        *self = Self { count: self.count, saddles: self.saddles, ..Self::new(plan) };
    }

    /// Gives back all memory; nothing will be solved any more.
    pub(crate) fn retire(&mut self) {
        *self = Self { count: self.count, ..Self::new(Arc::new(Plan::default())) };
    }

    /// Numeric factorizations so far.
    pub(crate) fn count(&self) -> usize {
        self.count
    }

    /// Values stored in the factor.
    pub(crate) fn size(&self) -> usize {
        self.plan.factor_size()
    }

    /// Whether a factor stands that may be used again.
    pub(crate) fn stands(&self) -> bool {
        self.stands
    }

    /// Says that the factor has nothing to do with what comes.
    pub(crate) fn forget(&mut self) {
        self.stands = false;
        self.negative = 0;
        self.bordered.forget();
    }

    /// Says that the matrix has another value in a column or row of `unknown`.
    pub(crate) fn touch(&mut self, unknown: usize) {
        if let Some(branch) = self.plan.branch_of(unknown) {
            self.stale[branch] = true;
        }
    }

    /// Says that the matrix may have other values anywhere.
    pub(crate) fn touch_all(&mut self) {
        self.stale.fill(true);
    }

    /// Factorizes `matrix`, whose ties the bordered system has taken out, and prepares that. Where
    /// single precision does not do, double precision is tried.
    pub(crate) fn renew(
        &mut self,
        matrix: &CscMatrix<f64>,
        precision: Precision,
    ) -> Result<(), NotPositiveDefinite> {
        self.stands = false;
        self.count += 1;
        // What a tool ties has its elements computed anew in any case; what is held need not.
        let now = || (0..matrix.nrows()).map(|dof| self.bordered.is_held(dof));
        if !now().eq(self.held.iter().copied()) {
            self.held = now().collect();
            self.stale.fill(true);
        }
        // Where the last one had negative eigenvalues this one will.
        let saddle = self.negative > 0;
        if saddle || self.factorize(matrix, precision).is_err() {
            self.negative = 0;
            if !self.saddles {
                return Err(NotPositiveDefinite);
            }
            self.count += usize::from(!saddle);
            self.negative = self.factor.saddle(matrix).ok_or(NotPositiveDefinite)?;
            self.stale.fill(true);
        } else {
            self.stale.fill(false);
        }
        self.stands = true;
        let (bordered, mut factor) = self.parts(matrix);
        bordered.renew(&mut factor);
        Ok(())
    }

    /// The factor of a positive definite matrix.
    fn factorize(
        &mut self,
        matrix: &CscMatrix<f64>,
        precision: Precision,
    ) -> Result<(), NotPositiveDefinite> {
        let Self { plan, factor, stale, .. } = self;
        let stale = |branch: usize| stale[branch];
        if precision == Precision::Double {
            return factor.double(plan).refactorize(matrix, stale);
        }
        if factor.single(plan).refactorize(matrix, stale).is_ok() {
            return Ok(());
        }
        self.count += 1;
        factor.double(plan).refactorize(matrix, stale)
    }

    /// Solves for one right-hand side; see [`BorderedSystem::correct`]. Returns the border unknowns.
    ///
    /// The factor must stand; with none the right-hand side comes back as it is.
    pub(crate) fn correct<'a>(
        &'a mut self,
        matrix: &'a CscMatrix<f64>,
        column: &mut [f64],
        right: &[f64],
    ) -> &'a [f64] {
        let (bordered, mut factor) = self.parts(matrix);
        bordered.correct(column, right, &mut factor)
    }

    fn parts<'a>(
        &'a mut self,
        matrix: &'a CscMatrix<f64>,
    ) -> (&'a mut BorderedSystem, Standing<'a>) {
        let Self { factor, bordered, difference, .. } = self;
        (bordered, Standing { factor, matrix, difference })
    }
}

/// One factor, never two: each is most of the memory of a run.
#[derive(Debug, Default)]
enum Held {
    #[default]
    None,
    Single(Factor<f32>),
    Double(Factor<f64>),
    Saddle(Box<Indefinite>),
}

impl Held {
    fn single(&mut self, plan: &Arc<Plan>) -> &mut Factor<f32> {
        if !matches!(self, Self::Single(_)) {
            *self = Self::Single(Factor::with_plan(plan.clone()));
        }
        let Self::Single(factor) = self else { unreachable!("it was made above") };
        factor
    }

    fn double(&mut self, plan: &Arc<Plan>) -> &mut Factor<f64> {
        if !matches!(self, Self::Double(_)) {
            *self = Self::Double(Factor::with_plan(plan.clone()));
        }
        let Self::Double(factor) = self else { unreachable!("it was made above") };
        factor
    }

    /// Factorizes a matrix with eigenvalues of either sign; returns how many are negative.
    fn saddle(&mut self, matrix: &CscMatrix<f64>) -> Option<usize> {
        if !matches!(self, Self::Saddle(_)) {
            *self = Self::Saddle(Box::new(Indefinite::new(matrix).ok()?));
        }
        let Self::Saddle(factor) = self else { return None };
        factor.factorize(matrix)
    }

    /// Solves with the factor at hand; with none the right-hand side comes back as it is.
    fn solve(&mut self, right: &mut [f64], columns: usize) {
        match self {
            Self::None => {}
            Self::Single(factor) => factor.solve(right, columns),
            Self::Double(factor) => factor.solve(right, columns),
            Self::Saddle(factor) => factor.solve(right, columns),
        }
    }
}

/// The factor that stands, as the bordered system sees it.
struct Standing<'a> {
    factor: &'a mut Held,
    matrix: &'a CscMatrix<f64>,
    difference: &'a mut Vec<f64>,
}

impl Standing<'_> {
    /// Improves solutions by what they leave over; returns how much there was to improve, over
    /// the size of the solutions.
    fn refine(&mut self, right: &[f64], columns: usize, near: &mut [f64]) -> f64 {
        let n = self.matrix.nrows();
        self.difference.clear();
        self.difference.extend_from_slice(right);
        let matrix = self.matrix;
        let left = self.difference.par_chunks_mut(n).zip(near.par_chunks(n)).with_max_len(1);
        left.for_each(|(difference, x)| take_product(matrix, x, difference));
        self.factor.solve(self.difference, columns);
        let (mut change, mut size) = (0.0_f64, 0.0_f64);
        for (x, correction) in near.iter_mut().zip(&*self.difference) {
            *x += correction;
            change = change.max(correction.abs());
            size = size.max(x.abs());
        }
        if size > 0.0 { change / size } else { 0.0 }
    }
}

impl Solve for Standing<'_> {
    fn solve(&mut self, right: &mut [f64], columns: usize) {
        self.factor.solve(right, columns);
    }

    fn approach(&mut self, right: &[f64], columns: usize, near: &mut [f64]) -> f64 {
        match self.factor {
            Held::Double(factor) => {
                near.copy_from_slice(right);
                factor.solve(near, columns);
                return FINE;
            }
            Held::Saddle(factor) => {
                near.copy_from_slice(right);
                factor.solve(near, columns);
                return self.refine(right, columns, near).max(FINE);
            }
            Held::None | Held::Single(_) => {}
        }
        (ROUGH * self.refine(right, columns, near)).max(REFINED)
    }
}

/// Takes `matrix · x` from `target`; of the symmetric matrix the lower triangle is given.
fn take_product(matrix: &CscMatrix<f64>, x: &[f64], target: &mut [f64]) {
    let (offsets, rows, values) = matrix.csc_data();
    for (column, &of_column) in x.iter().enumerate() {
        let range = offsets[column]..offsets[column + 1];
        let mut sum = 0.0;
        for (&row, &value) in rows[range.clone()].iter().zip(&values[range]) {
            target[row] -= value * of_column;
            if row != column {
                sum += value * x[row];
            }
        }
        target[column] -= sum;
    }
}
