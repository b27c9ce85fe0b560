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
//! positive definite; `b` follows from the Schur complement. Directions of `b` that nothing
//! resists (a centre that no node touches) stay where they are.
//!
//! Floor 3, `solver`.

use nalgebra::{DMatrix, DVector, SymmetricEigen};

/// Border unknowns of one tool: centre x, centre y, radius. Those of all tools come first,
/// the strain through the thickness last.
pub const OF_TOOL: usize = 3;

/// Share of the stiffest border direction below which a direction counts as unresisted.
/// Real contact stiffnesses differ by a few powers of ten, rounding lies below 1e-13.
const UNRESISTED: f64 = 1e-10;

/// A displacement that follows one tool: `du = weights · db + offset`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Tie {
    /// First border unknown of the tool.
    pub first: usize,
    /// Share of each border unknown of the tool.
    pub weights: [f64; OF_TOOL],
    /// What it moves by itself, mm.
    pub offset: f64,
}

/// The system with ties eliminated; see the head of this module.
#[derive(Clone, Debug)]
pub struct Border {
    /// Which border unknowns take part.
    pub active: Vec<bool>,
    /// Right-hand side of the free unknowns, then the columns of `B`: column-major, each
    /// as long as there are unknowns.
    pub columns: Vec<f64>,
    /// `S`.
    pub stiffness: DMatrix<f64>,
    /// `r_b`.
    pub right: DVector<f64>,
}

impl Border {
    /// An empty border over `unknowns` displacements.
    #[must_use]
    pub fn new(unknowns: usize, active: Vec<bool>) -> Self {
        let size = active.len();
        Self {
            active,
            columns: vec![0.0; unknowns * (size + 1)],
            stiffness: DMatrix::zeros(size, size),
            right: DVector::zeros(size),
        }
    }

    fn unknowns(&self) -> usize {
        self.columns.len() / (self.active.len() + 1)
    }

    /// Adds `value` to the coupling of displacement `dof` with border unknown `k`.
    pub fn add_coupling(&mut self, dof: usize, k: usize, value: f64) {
        let at = (k + 1) * self.unknowns() + dof;
        self.columns[at] += value;
    }

    /// Takes the ties out of the lower triangle given by its columns.
    ///
    /// `residual` is what is out of balance (external less internal) in every displacement;
    /// `tie_of[dof]` names its tie in `ties`, if it has one.
    pub fn condense(
        &mut self,
        (offsets, rows, values): (&[usize], &[usize], &mut [f64]),
        residual: &[f64],
        tie_of: &[Option<u32>],
        ties: &[Tie],
    ) {
        let n = self.unknowns();
        let tie = |dof: usize| tie_of[dof].map(|index| &ties[index as usize]);
        for (dof, &residual) in residual.iter().enumerate() {
            match tie(dof) {
                None => self.columns[dof] += residual,
                Some(tie) => {
                    for (m, weight) in tie.weights.into_iter().enumerate() {
                        self.right[tie.first + m] += weight * residual;
                    }
                    // A coupling put on a tied displacement acts on the border itself.
                    for k in 0..self.active.len() {
                        let coupling = std::mem::take(&mut self.columns[(k + 1) * n + dof]);
                        if coupling == 0.0 {
                            continue;
                        }
                        self.right[k] -= coupling * tie.offset;
                        for (m, weight) in tie.weights.into_iter().enumerate() {
                            self.stiffness[(tie.first + m, k)] += weight * coupling;
                            self.stiffness[(k, tie.first + m)] += weight * coupling;
                        }
                    }
                }
            }
        }
        for column in 0..n {
            let of_column = tie(column);
            for entry in offsets[column]..offsets[column + 1] {
                let row = rows[entry];
                let of_row = tie(row);
                if of_column.is_none() && of_row.is_none() {
                    continue;
                }
                let value = std::mem::replace(&mut values[entry], f64::from(row == column));
                match (of_row, of_column) {
                    (Some(tie), None) => self.free_to_tied(column, tie, value),
                    (None, Some(tie)) => self.free_to_tied(row, tie, value),
                    (Some(a), Some(b)) => self.tied_to_tied(a, b, value, row == column),
                    (None, None) => {}
                }
            }
        }
    }

    fn free_to_tied(&mut self, free: usize, tie: &Tie, value: f64) {
        let n = self.unknowns();
        self.columns[free] -= value * tie.offset;
        for (k, weight) in tie.weights.into_iter().enumerate() {
            self.columns[(tie.first + k + 1) * n + free] += value * weight;
        }
    }

    fn tied_to_tied(&mut self, a: &Tie, b: &Tie, value: f64, diagonal: bool) {
        for k in 0..OF_TOOL {
            self.right[a.first + k] -= value * a.weights[k] * b.offset;
            if !diagonal {
                self.right[b.first + k] -= value * b.weights[k] * a.offset;
            }
            for m in 0..OF_TOOL {
                let both = value * a.weights[k] * b.weights[m];
                self.stiffness[(a.first + k, b.first + m)] += both;
                if !diagonal {
                    self.stiffness[(b.first + m, a.first + k)] += both;
                }
            }
        }
    }

    /// Solves for the free displacements and the border. `solve` replaces the given
    /// column-major right-hand sides by their solutions with `K_ff`.
    ///
    /// Returns the displacements (tied ones zero) and the border unknowns.
    pub fn solve(mut self, mut solve: impl FnMut(&mut [f64], usize)) -> (Vec<f64>, Vec<f64>) {
        let n = self.unknowns();
        let used: Vec<usize> = (0..self.active.len())
            .filter(|&k| self.active[k] && self.stiffness[(k, k)] > 0.0)
            .collect();
        if used.is_empty() {
            self.columns.truncate(n);
            solve(&mut self.columns, 1);
            return (self.columns, vec![0.0; self.active.len()]);
        }
        let mut packed = Vec::with_capacity(n * (used.len() + 1));
        packed.extend_from_slice(&self.columns[..n]);
        for &k in &used {
            packed.extend_from_slice(&self.columns[(k + 1) * n..(k + 2) * n]);
        }
        let couplings = packed[n..].to_vec();
        solve(&mut packed, used.len() + 1);
        let dot = |k: usize, column: usize| -> f64 {
            let (a, b) = (&couplings[k * n..(k + 1) * n], &packed[column * n..(column + 1) * n]);
            a.iter().zip(b).map(|(a, b)| a * b).sum()
        };
        let size = used.len();
        let scale: Vec<f64> = used.iter().map(|&k| self.stiffness[(k, k)].sqrt()).collect();
        let schur = DMatrix::from_fn(size, size, |i, j| {
            (self.stiffness[(used[i], used[j])] - 0.5 * (dot(i, j + 1) + dot(j, i + 1)))
                / (scale[i] * scale[j])
        });
        let right = DVector::from_fn(size, |i, _| (self.right[used[i]] - dot(i, 0)) / scale[i]);
        let solution = pseudo_solve(schur, &right);
        let mut border = vec![0.0; self.active.len()];
        for (i, &k) in used.iter().enumerate() {
            border[k] = solution[i] / scale[i];
        }
        let (displacement, shapes) = packed.split_at_mut(n);
        for (i, &k) in used.iter().enumerate() {
            for (x, shape) in displacement.iter_mut().zip(&shapes[i * n..(i + 1) * n]) {
                *x -= shape * border[k];
            }
        }
        packed.truncate(n);
        (packed, border)
    }
}

/// Solves a small symmetric system, leaving unresisted directions at zero.
fn pseudo_solve(matrix: DMatrix<f64>, right: &DVector<f64>) -> DVector<f64> {
    let eigen = SymmetricEigen::new(matrix);
    let largest = eigen.eigenvalues.iter().fold(0.0_f64, |top, value| top.max(value.abs()));
    let mut solution = DVector::zeros(right.len());
    for (value, vector) in eigen.eigenvalues.iter().zip(eigen.eigenvectors.column_iter()) {
        if value.abs() > UNRESISTED * largest {
            solution += vector * (vector.dot(right) / value);
        }
    }
    solution
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

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
            Tie::default(),
        ];
        let tie_of = [None, Some(0), None, Some(1), Some(2)];
        let (mut offsets, mut rows, mut values) = (vec![0], vec![], vec![]);
        for j in 0..n {
            for i in j..n {
                rows.push(i);
                values.push(dense[(i, j)]);
            }
            offsets.push(rows.len());
        }
        let mut border = Border::new(n, vec![true, true, false, false]);
        border.condense((&offsets, &rows, &mut values), &residual, &tie_of, &ties);
        let mut reduced = DMatrix::zeros(n, n);
        for j in 0..n {
            for entry in offsets[j]..offsets[j + 1] {
                reduced[(rows[entry], j)] = values[entry];
                reduced[(j, rows[entry])] = values[entry];
            }
        }
        let lu = reduced.lu();
        let (free, b) = border.solve(|columns, count| {
            for column in columns.chunks_mut(n).take(count) {
                let x = lu.solve(&DVector::from_row_slice(column)).expect("regular");
                column.copy_from_slice(x.as_slice());
            }
        });
        // u = T z + d with z = (free 0, free 2, b0, b1)
        let mut t = DMatrix::zeros(n, 4);
        t[(0, 0)] = 1.0;
        t[(2, 1)] = 1.0;
        for k in 0..2 {
            t[(1, 2 + k)] = ties[0].weights[k];
            t[(3, 2 + k)] = ties[1].weights[k];
        }
        let d = DVector::from_row_slice(&[0.0, 0.01, 0.0, -0.02, 0.0]);
        let right = t.transpose() * (DVector::from_row_slice(&residual) - &dense * d);
        let z = (t.transpose() * &dense * &t).lu().solve(&right).expect("regular");
        assert_relative_eq!(free[0], z[0], epsilon = 1e-13);
        assert_relative_eq!(free[2], z[1], epsilon = 1e-13);
        assert_relative_eq!(b[0], z[2], epsilon = 1e-13);
        assert_relative_eq!(b[1], z[3], epsilon = 1e-13);
    }

    #[test]
    fn a_direction_that_nothing_resists_stays() {
        let matrix = DMatrix::from_row_slice(2, 2, &[1.0, 0.0, 0.0, 1e-15]);
        let x = pseudo_solve(matrix, &DVector::from_row_slice(&[2.0, 1.0]));
        assert_relative_eq!(x[0], 2.0);
        assert_relative_eq!(x[1], 0.0);
    }
}
