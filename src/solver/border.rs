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
//! The part of the matrix ([`Border::condense`], [`Border::renew`]) is kept apart from what
//! belongs to one right-hand side ([`Border::correct`]), so that a factor can serve several.

use nalgebra::{DMatrix, Dyn, SymmetricEigen};

/// Border unknowns of one tool: centre x, centre y, radius. Those of all tools come first,
/// the strain through the thickness last.
pub const OF_TOOL: usize = 3;

/// Marks a displacement that is tied to nothing.
const FREE: u32 = u32::MAX;

/// Of what solutions may be wrong by, a direction of the border must resist so much more to count:
/// one that nothing resists may seem to by a few times the error.
const CLEAR: f64 = 100.0;

/// Error of solutions from which better ones say nothing new: real contact stiffnesses differ by a
/// few powers of ten.
const SURE: f64 = 1e-7;

/// Approaches that are enough from nothing.
const MOST_APPROACHES: usize = 2;

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
pub struct Border {
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
    /// `r_b`, and the border unknowns.
    right: Vec<f64>,
    moves: Vec<f64>,
}

impl Border {
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
    pub fn forget(&mut self) {
        self.shaped.clear();
    }

    /// Which border unknowns take part.
    #[must_use]
    pub fn active(&self) -> &[bool] {
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
    pub fn follows_tool(&self, dof: usize) -> bool {
        self.tie_of[dof] != FREE && self.tied[self.tie_of[dof] as usize] == dof
    }

    /// Whether displacement `dof` is tied to nothing.
    #[must_use]
    pub fn is_held(&self, dof: usize) -> bool {
        self.tie_of[dof] != FREE && !self.follows_tool(dof)
    }

    /// Brings weights and offset of every tie up to date for the next right-hand side, by its
    /// displacement.
    pub fn update_ties(&mut self, now: impl Fn(usize) -> ([f64; OF_TOOL], f64)) {
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
    pub fn add_coupling(&mut self, dof: usize, k: usize, value: f64) {
        if self.active[k] {
            self.couplings[self.column_of[k] * self.unknowns + dof] += value;
        }
    }

    /// Adds `value` to the stiffness between two border unknowns.
    pub fn add_stiffness(&mut self, k: usize, m: usize, value: f64) {
        self.stiffness[(k, m)] += value;
    }

    /// Takes the ties out of the lower triangle given by its columns.
    pub fn condense(&mut self, (offsets, rows, values): (&[usize], &[usize], &mut [f64])) {
        self.silence();
        for (index, &dof) in self.tied.iter().enumerate().filter(|(_, dof)| **dof != usize::MAX) {
            // A coupling put on a tied displacement acts on the border itself.
            let tie = self.ties[index];
            for k in (0..self.active.len()).filter(|&k| self.active[k]) {
                let at = self.column_of[k] * self.unknowns + dof;
                let coupling = std::mem::take(&mut self.couplings[at]);
                if coupling == 0.0 {
                    continue;
                }
                self.taken_couplings.push((k, index, coupling));
                for (m, weight) in tie.weights.into_iter().enumerate() {
                    self.stiffness[(tie.first + m, k)] += weight * coupling;
                    self.stiffness[(k, tie.first + m)] += weight * coupling;
                }
            }
        }
        for column in 0..self.unknowns {
            let of_column = self.tie_of[column];
            for entry in offsets[column]..offsets[column + 1] {
                let row = rows[entry];
                let of_row = self.tie_of[row];
                if of_column == FREE && of_row == FREE {
                    continue;
                }
                let value = std::mem::replace(&mut values[entry], f64::from(row == column));
                self.taken.push((row, column, value));
                match (of_row, of_column) {
                    (FREE, tie) => self.couple(row, tie, value),
                    (tie, FREE) => self.couple(column, tie, value),
                    (a, b) => self.stiffen(a, b, value, row == column),
                }
            }
        }
        // What is held moves nothing else.
        let (tie_of, tied) = (&self.tie_of, &self.tied);
        let follows = |dof: usize| tie_of[dof] != FREE && tied[tie_of[dof] as usize] == dof;
        self.taken.retain(|&(row, column, _)| follows(row) || follows(column));
        for k in (0..self.active.len()).filter(|&k| self.active[k]) {
            let at = self.column_of[k] * self.unknowns;
            for (coupling, &tie) in self.couplings[at..].iter_mut().zip(&self.tie_of) {
                if tie != FREE {
                    *coupling = 0.0;
                }
            }
        }
    }

    fn couple(&mut self, free: usize, tie: u32, value: f64) {
        let Tie { first, weights, .. } = self.ties[tie as usize];
        for (k, weight) in weights.into_iter().enumerate() {
            if self.active[first + k] {
                self.couplings[self.column_of[first + k] * self.unknowns + free] += value * weight;
            }
        }
    }

    fn stiffen(&mut self, a: u32, b: u32, value: f64, diagonal: bool) {
        let (a, b) = (self.ties[a as usize], self.ties[b as usize]);
        for k in 0..OF_TOOL {
            for m in 0..OF_TOOL {
                let both = value * a.weights[k] * b.weights[m];
                self.stiffness[(a.first + k, b.first + m)] += both;
                if !diagonal {
                    self.stiffness[(b.first + m, a.first + k)] += both;
                }
            }
        }
    }

    /// Prepares the Schur complement from a new factor of `K_ff`.
    pub fn renew(&mut self, factor: &mut impl Solve) {
        let n = self.unknowns;
        self.used.clear();
        let (active, stiffness) = (&self.active, &self.stiffness);
        let resisted = |&k: &usize| active[k] && stiffness[(k, k)] > 0.0;
        self.used.extend((0..active.len()).filter(resisted));
        let size = self.used.len();
        self.scale.clear();
        self.scale.extend(self.used.iter().map(|&k| stiffness[(k, k)].sqrt()));
        if size == 0 {
            self.inverse = DMatrix::zeros(0, 0);
            return;
        }
        // Columns of unused unknowns make room, in their order.
        for (to, &k) in self.used.iter().enumerate() {
            let from = self.column_of[k];
            if from != to {
                self.couplings.copy_within(from * n..(from + 1) * n, to * n);
            }
        }
        self.couplings.truncate(size * n);
        if self.shaped != self.used || self.shapes.len() != size * n {
            self.shapes.clear();
            self.shapes.resize(size * n, 0.0);
            self.shaped.clone_from(&self.used);
        }
        for _ in 0..MOST_APPROACHES {
            let error = factor.approach(&self.couplings, size, &mut self.shapes);
            let eigen = SymmetricEigen::new(self.schur());
            let largest = eigen.eigenvalues.amax();
            let doubtful = CLEAR * error * largest;
            self.inverse = pseudo_inverse(&eigen, doubtful);
            let all_resisted = eigen.eigenvalues.iter().all(|value| value.abs() > doubtful);
            if all_resisted || error <= SURE {
                break;
            }
        }
    }

    /// `S − Bᵀ K_ff⁻¹ B` of the unknowns in use, scaled.
    fn schur(&self) -> DMatrix<f64> {
        let n = self.unknowns;
        let size = self.used.len();
        let dot = |i: usize, j: usize| -> f64 {
            let coupling = &self.couplings[i * n..(i + 1) * n];
            let shape = &self.shapes[j * n..(j + 1) * n];
            coupling.iter().zip(shape).map(|(a, b)| a * b).sum()
        };
        DMatrix::from_fn(size, size, |i, j| {
            let own = self.stiffness[(self.used[i], self.used[j])];
            (own - 0.5 * (dot(i, j) + dot(j, i))) / (self.scale[i] * self.scale[j])
        })
    }

    /// Solves for one right-hand side. `column` holds what is out of balance in every displacement
    /// (external less internal) and becomes the displacements; `right` what acts on the border
    /// unknowns beside the tied displacements. Returns the border unknowns.
    pub fn correct(
        &mut self,
        column: &mut [f64],
        right: &[f64],
        factor: &mut impl Solve,
    ) -> &[f64] {
        let n = self.unknowns;
        self.right.clear();
        self.right.extend_from_slice(right);
        for (dof, value) in column.iter_mut().enumerate() {
            if self.tie_of[dof] != FREE {
                let tie = &self.ties[self.tie_of[dof] as usize];
                for (m, weight) in tie.weights.into_iter().enumerate() {
                    self.right[tie.first + m] += weight * *value;
                }
                *value = 0.0;
            }
        }
        for &(k, tie, coupling) in &self.taken_couplings {
            self.right[k] -= coupling * self.ties[tie].offset;
        }
        for &(row, at, value) in &self.taken {
            let tie = |dof: usize| self.ties.get(self.tie_of[dof] as usize);
            match (tie(row), tie(at)) {
                (Some(tie), None) => column[at] -= value * tie.offset,
                (None, Some(tie)) => column[row] -= value * tie.offset,
                (Some(a), Some(b)) => {
                    for k in 0..OF_TOOL {
                        self.right[a.first + k] -= value * a.weights[k] * b.offset;
                        if row != at {
                            self.right[b.first + k] -= value * b.weights[k] * a.offset;
                        }
                    }
                }
                (None, None) => {}
            }
        }
        factor.solve(column, 1);
        self.moves.clear();
        self.moves.resize(self.active.len(), 0.0);
        for (i, (&k, scale)) in self.used.iter().zip(&self.scale).enumerate() {
            let coupling = &self.couplings[i * n..(i + 1) * n];
            let dot: f64 = coupling.iter().zip(&*column).map(|(a, b)| a * b).sum();
            let part = (self.right[k] - dot) / scale;
            for (j, &m) in self.used.iter().enumerate() {
                self.moves[m] += self.inverse[(j, i)] * part / self.scale[j];
            }
        }
        for (i, &k) in self.used.iter().enumerate() {
            let shape = &self.shapes[i * n..(i + 1) * n];
            for (x, shape) in column.iter_mut().zip(shape) {
                *x -= shape * self.moves[k];
            }
        }
        for (dof, &tie) in self.tie_of.iter().enumerate() {
            if let Some(tie) = self.ties.get(tie as usize) {
                let moved = tie.weights.iter().zip(&self.moves[tie.first..]);
                column[dof] = moved.map(|(w, b)| w * b).sum::<f64>() + tie.offset;
            }
        }
        &self.moves
    }
}

/// The inverse of a small symmetric matrix, which leaves directions at zero whose stiffness is not
/// above `doubtful`.
fn pseudo_inverse(eigen: &SymmetricEigen<f64, Dyn>, doubtful: f64) -> DMatrix<f64> {
    let size = eigen.eigenvalues.len();
    let mut inverse = DMatrix::zeros(size, size);
    for (value, vector) in eigen.eigenvalues.iter().zip(eigen.eigenvectors.column_iter()) {
        if value.abs() > doubtful {
            inverse += vector * vector.transpose() / *value;
        }
    }
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use nalgebra::{DVector, LU};

    struct Dense(LU<f64, Dyn, Dyn>);

    impl Solve for Dense {
        fn solve(&mut self, right: &mut [f64], columns: usize) {
            let n = right.len() / columns;
            for column in right.chunks_mut(n) {
                let x = self.0.solve(&DVector::from_row_slice(column)).expect("regular");
                column.copy_from_slice(x.as_slice());
            }
        }

        fn approach(&mut self, right: &[f64], columns: usize, near: &mut [f64]) -> f64 {
            near.copy_from_slice(right);
            self.solve(near, columns);
            1e-15
        }
    }

    /// A dense reference: minimise ½uᵀKu − rᵀu over free displacements and border.
    #[test]
    fn elimination_agrees_with_the_dense_bordered_system() {
        let n = 5;
        let dense = DMatrix::from_fn(n, n, |i, j| {
            let near = (i as f64 - j as f64).abs();
            if i == j { 4.0 + i as f64 } else { 0.7 / (1.0 + near) }
        });
        let residual = [0.3, -0.2, 0.5, 0.1, -0.4];
        let ties = [
            Tie { first: 0, weights: [0.6, 0.8, 0.0], offset: 0.01 },
            Tie { first: 0, weights: [-0.8, 0.6, 0.0], offset: -0.02 },
        ];
        let (mut offsets, mut rows, mut values) = (vec![0], vec![], vec![]);
        for j in 0..n {
            for i in j..n {
                rows.push(i);
                values.push(dense[(i, j)]);
            }
            offsets.push(rows.len());
        }
        let mut border = Border::default();
        // The second time everything is there already.
        for _ in 0..2 {
            let mut values = values.clone();
            border.begin(n, &[true, true, false, false]);
            border.hold(|dof| dof == 4);
            border.tie(1, Tie { offset: 0.0, ..ties[0] });
            border.tie(3, Tie { offset: 0.0, ..ties[1] });
            border.condense((&offsets, &rows, &mut values));
            let mut reduced = DMatrix::zeros(n, n);
            for j in 0..n {
                for entry in offsets[j]..offsets[j + 1] {
                    reduced[(rows[entry], j)] = values[entry];
                    reduced[(j, rows[entry])] = values[entry];
                }
            }
            let mut factor = Dense(reduced.lu());
            border.renew(&mut factor);
            border.update_ties(|dof| {
                let tie = ties[usize::from(dof == 3)];
                (tie.weights, tie.offset)
            });
            let mut free = residual;
            let b = border.correct(&mut free, &[0.0; 4], &mut factor).to_vec();
            // u = T z + d with z = (free 0, free 2, b0, b1)
            let mut t = DMatrix::zeros(n, 4);
            t[(0, 0)] = 1.0;
            t[(2, 1)] = 1.0;
            for k in 0..2 {
                t[(1, 2 + k)] = ties[0].weights[k];
                t[(3, 2 + k)] = ties[1].weights[k];
            }
            let d = DVector::from_row_slice(&[0.0, 0.01, 0.0, -0.02, 0.0]);
            let right = t.transpose() * (DVector::from_row_slice(&residual) - &dense * &d);
            let z = (t.transpose() * &dense * &t).lu().solve(&right).expect("regular");
            let u = &t * &z + d;
            assert_relative_eq!(b[0], z[2], epsilon = 1e-13);
            assert_relative_eq!(b[1], z[3], epsilon = 1e-13);
            for dof in 0..n {
                assert_relative_eq!(free[dof], u[dof], epsilon = 1e-13);
            }
        }
    }

    #[test]
    fn a_direction_that_nothing_resists_stays() {
        let matrix = DMatrix::from_row_slice(2, 2, &[1.0, 0.0, 0.0, 1e-15]);
        let x =
            pseudo_inverse(&matrix.symmetric_eigen(), 1e-10) * DVector::from_row_slice(&[2.0, 1.0]);
        assert_relative_eq!(x[0], 2.0);
        assert_relative_eq!(x[1], 0.0);
    }
}
