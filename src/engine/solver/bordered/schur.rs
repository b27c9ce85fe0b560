//! The solution by the Schur complement of the border.

use nalgebra::{DMatrix, Dyn, SymmetricEigen};

use crate::solver::bordered::{BorderedSystem, FREE, OF_TOOL, Solve};

/// Stiffness of a direction of the border over the error of the solutions, from which it counts: one
/// that nothing resists may seem to by a few times the error.
const CLEAR: f64 = 100.0;

/// Error of solutions from which better ones say nothing new: real contact stiffnesses differ by a
/// few powers of ten.
const SURE: f64 = 1e-7;

/// Approaches that are enough from nothing.
const MOST_APPROACHES: usize = 2;

impl BorderedSystem {
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
        self.negative = 0;
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
            self.negative = eigen.eigenvalues.iter().filter(|value| **value < -doubtful).count();
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
    use crate::solver::bordered::Tie;
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

    /// A dense reference: minimise ½uᵀKu − rᵀu over free displacements and bordered.
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
        let mut bordered = BorderedSystem::default();
        // The second time everything is there already.
        for _ in 0..2 {
            let mut values = values.clone();
            bordered.begin(n, &[true, true, false, false]);
            bordered.hold(|dof| dof == 4);
            bordered.tie(1, Tie { offset: 0.0, ..ties[0] });
            bordered.tie(3, Tie { offset: 0.0, ..ties[1] });
            bordered.condense((&offsets, &rows, &mut values));
            let mut reduced = DMatrix::zeros(n, n);
            for j in 0..n {
                for entry in offsets[j]..offsets[j + 1] {
                    reduced[(rows[entry], j)] = values[entry];
                    reduced[(j, rows[entry])] = values[entry];
                }
            }
            let mut factor = Dense(reduced.lu());
            bordered.renew(&mut factor);
            bordered.update_ties(|dof| {
                let tie = ties[usize::from(dof == 3)];
                (tie.weights, tie.offset)
            });
            let mut free = residual;
            let b = bordered.correct(&mut free, &[0.0; 4], &mut factor).to_vec();
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
