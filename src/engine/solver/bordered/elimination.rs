//! The elimination of ties from the matrix.

use crate::solver::bordered::{BorderedSystem, FREE, OF_TOOL, Tie};

impl BorderedSystem {
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
}
