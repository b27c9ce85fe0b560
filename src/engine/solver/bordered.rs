//! The few unknowns beside the displacements, and the elimination that ties nodes to them.
//!
//! A node in contact follows its tool: `du_n = −g + n·dc + dR`. Held displacements are ties
//! to nothing. Eliminating ties from the lower triangle `K`, column by column, leaves
//!
//! ```text
//! [ K_ff  B ] [ x ]   [ r_f ]
//! [ Bᵀ    S ] [ b ] = [ r_b ]
//! ```
//!
//! with identity rows in place of the tied unknowns, so the pattern never changes. `K_ff` is
//! positive definite; `b` follows from the Schur complement `S − Bᵀ K_ff⁻¹ B`. Directions of `b`
//! that nothing resists (a centre that no node touches) stay where they are.
//!
//! The part of the matrix ([`BorderedSystem::condense`], [`BorderedSystem::renew`]) is kept apart from what
//! belongs to one right-hand side ([`BorderedSystem::correct`]), so that a factor can serve several.

mod elimination;
mod schur;

use nalgebra::DMatrix;

/// Border unknowns of one tool: centre x, centre y, radius. Those of all tools come first,
/// the strain through the thickness last.
pub(crate) const OF_TOOL: usize = 3;

/// Marks a displacement that is tied to nothing.
const FREE: u32 = u32::MAX;

/// A displacement that follows one tool: `du = weights · db + offset`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tie {
    /// First border unknown of the tool.
    pub first: usize,
    /// Share of each border unknown of the tool.
    pub weights: [f64; OF_TOOL],
    /// Its own motion, mm.
    pub offset: f64,
}

/// Solves with the matrix of the free displacements.
pub trait Solve {
    /// Replaces the right-hand sides, column-major, by their solutions.
    fn solve(&mut self, right: &mut [f64], columns: usize);

    /// Brings `near`, solutions that are nearly right, or zeros, closer; returns what their error is
    /// now, over their size, at most about.
    fn approach(&mut self, right: &[f64], columns: usize, near: &mut [f64]) -> f64;
}

/// The system with ties eliminated; see the head of this module.
#[derive(Clone, Debug, Default)]
pub struct BorderedSystem {
    unknowns: usize,
    /// Which border unknowns take part.
    active: Vec<bool>,
    /// Tie of every displacement.
    tie_of: Vec<u32>,
    ties: Vec<Tie>,
    /// Displacement of every tie; that of the first, for all that is held, means nothing.
    tied: Vec<usize>,
    /// Entries taken out of the matrix: row, column, value.
    taken: Vec<(usize, usize, f64)>,
    /// Couplings that were put on tied displacements: border unknown, tie, value.
    taken_couplings: Vec<(usize, usize, f64)>,
    /// Columns of `B` for the active border unknowns, one after another.
    couplings: Vec<f64>,
    /// Where the column of each border unknown is among them.
    column_of: Vec<usize>,
    /// `S`.
    stiffness: DMatrix<f64>,
    /// Border unknowns that anything resists, and `K_ff⁻¹ B` of each.
    used: Vec<usize>,
    shapes: Vec<f64>,
    /// Which border unknowns the shapes belong to.
    shaped: Vec<usize>,
    /// Square roots of their own stiffness.
    scale: Vec<f64>,
    inverse: DMatrix<f64>,
    /// Negative eigenvalues of the Schur complement.
    negative: usize,
    /// `r_b`, and the border unknowns.
    right: Vec<f64>,
    moves: Vec<f64>,
}

impl BorderedSystem {
    /// Begins anew over `unknowns` displacements: nothing is tied, nothing coupled.
    pub fn begin(&mut self, unknowns: usize, active: &[bool]) {
        self.unknowns = unknowns;
        self.active.clear();
        self.active.extend_from_slice(active);
        self.tie_of.clear();
        self.tie_of.resize(unknowns, FREE);
        self.ties.clear();
        self.tied.clear();
        self.taken.clear();
        self.taken_couplings.clear();
        let size = active.len();
        self.column_of.clear();
        let mut columns = 0;
        for &takes_part in active {
            self.column_of.push(columns);
            columns += usize::from(takes_part);
        }
        self.couplings.clear();
        self.couplings.resize(columns * unknowns, 0.0);
        if self.stiffness.nrows() == size {
            self.stiffness.fill(0.0);
        } else {
            self.stiffness = DMatrix::zeros(size, size);
        }
    }

    /// Forgets the last solutions, so that the next ones do not depend on them.
    pub(crate) fn forget(&mut self) {
        self.shaped.clear();
    }

    /// Negative eigenvalues of the Schur complement.
    pub(crate) fn negative(&self) -> usize {
        self.negative
    }

    /// Which border unknowns take part.
    #[must_use]
    pub(crate) fn active(&self) -> &[bool] {
        &self.active
    }

    /// Ties displacement `dof`.
    ///
    /// # Panics
    ///
    /// With more than 2³² ties.
    pub fn tie(&mut self, dof: usize, tie: Tie) {
        self.tie_of[dof] = u32::try_from(self.ties.len()).expect("fewer ties than displacements");
        self.ties.push(tie);
        self.tied.push(dof);
    }

    /// Ties every displacement that `held` says to nothing.
    ///
    /// # Panics
    ///
    /// With more than 2³² ties.
    pub fn hold(&mut self, held: impl Fn(usize) -> bool) {
        let index = u32::try_from(self.ties.len()).expect("fewer ties than displacements");
        self.ties.push(Tie::default());
        self.tied.push(usize::MAX);
        for (dof, tie) in self.tie_of.iter_mut().enumerate() {
            if held(dof) {
                *tie = index;
            }
        }
    }

    /// Whether displacement `dof` is tied to a tool.
    #[must_use]
    pub(crate) fn follows_tool(&self, dof: usize) -> bool {
        self.tie_of[dof] != FREE && self.tied[self.tie_of[dof] as usize] == dof
    }

    /// Whether displacement `dof` is tied to nothing.
    #[must_use]
    pub(crate) fn is_held(&self, dof: usize) -> bool {
        self.tie_of[dof] != FREE && !self.follows_tool(dof)
    }

    /// Brings weights and offset of every tie up to date for the next right-hand side, by its
    /// displacement.
    pub(crate) fn update_ties(&mut self, now: impl Fn(usize) -> ([f64; OF_TOOL], f64)) {
        for (tie, &dof) in self.ties.iter_mut().zip(&self.tied) {
            if dof != usize::MAX {
                (tie.weights, tie.offset) = now(dof);
            }
        }
        self.silence();
    }

    /// Border unknowns that take no part have no weight.
    fn silence(&mut self) {
        for tie in &mut self.ties {
            for (k, weight) in tie.weights.iter_mut().enumerate() {
                if !self.active[tie.first + k] {
                    *weight = 0.0;
                }
            }
        }
    }

    /// Adds `value` to the coupling of displacement `dof` with border unknown `k`.
    pub(crate) fn add_coupling(&mut self, dof: usize, k: usize, value: f64) {
        if self.active[k] {
            self.couplings[self.column_of[k] * self.unknowns + dof] += value;
        }
    }

    /// Adds `value` to the stiffness between two border unknowns.
    pub(crate) fn add_stiffness(&mut self, k: usize, m: usize, value: f64) {
        self.stiffness[(k, m)] += value;
    }
}
