//! Corrections with an old factor, made better by what the last ones did.
//!
//! With a factor that is not quite that of the tangent, corrections `s = P r` shrink by a constant
//! rate. From the last few, the combination is found whose residual would be least if the metal
//! answered linearly,
//!
//! ```text
//! min |r − Σ γⱼ Δrⱼ|        s ← s − Σ γⱼ (Δxⱼ + Δsⱼ)
//! ```
//!
//! with `Δrⱼ`, `Δsⱼ` the changes of residual and raw correction while the unknowns moved by `Δxⱼ`.
//!
//! Source: D. G. Anderson, J. ACM 12 (1965) 547–560 (from memory).

use nalgebra::{SMatrix, SVector};

use crate::solver::factor::scalar::Scalar;

/// Past corrections that are looked at: more brought nothing.
const MEMORY: usize = 5;

/// Part of a change of the residual, squared, that must not be a combination of the others.
const OWN_PART: f64 = 1e-8;

/// The last corrections made with one factor.
#[derive(Debug, Default)]
pub(crate) struct Acceleration {
    /// The last residual, raw correction and applied correction.
    residual: Vec<f64>,
    raw: Vec<f64>,
    applied: Vec<f64>,
    known: bool,
    /// Changes of the residual, and of unknowns and correction together.
    changes: [Change; MEMORY],
    /// How many of them there are, the newest first.
    count: usize,
}

/// In single precision: shares good to five digits are as good as the factor.
#[derive(Debug, Default)]
struct Change {
    residual: Vec<f32>,
    unknowns: Vec<f32>,
}

impl Acceleration {
    /// Forgets everything: the factor is another one, or the last correction was not taken as it
    /// was.
    pub(crate) fn forget(&mut self) {
        self.known = false;
        self.count = 0;
    }

    /// Improves the correction `step`, the answer to `residual`.
    pub(crate) fn improve(&mut self, residual: &[f64], step: &mut [f64]) {
        if self.known {
            self.changes.rotate_right(1);
            let Change { residual: of_residual, unknowns } = &mut self.changes[0];
            of_residual.clear();
            let apart = residual.iter().zip(&self.residual);
            of_residual.extend(apart.map(|(new, old)| f32::of(new - old)));
            unknowns.clear();
            let moved = step.iter().zip(&self.raw).zip(&self.applied);
            unknowns.extend(moved.map(|((new, old), applied)| f32::of(applied + new - old)));
            self.count = (self.count + 1).min(MEMORY);
        }
        self.residual.clear();
        self.residual.extend_from_slice(residual);
        self.raw.clear();
        self.raw.extend_from_slice(step);
        self.known = true;
        let shares = self.shares(residual);
        for (change, share) in self.changes.iter().zip(shares.iter()).take(self.count) {
            for (s, change) in step.iter_mut().zip(&change.unknowns) {
                *s -= share * f64::from(*change);
            }
        }
        self.applied.clear();
        self.applied.extend_from_slice(step);
    }

    /// The shares `γ` of the changes, newest first; changes that say nothing of their own have
    /// none.
    fn shares(&self, residual: &[f64]) -> SVector<f64, MEMORY> {
        let changes = &self.changes[..self.count];
        let mut matrix = SMatrix::<f64, MEMORY, MEMORY>::identity();
        let mut right = SVector::<f64, MEMORY>::zeros();
        for (i, a) in changes.iter().enumerate() {
            right[i] = a.residual.iter().zip(residual).map(|(a, r)| f64::from(*a) * r).sum();
            for (j, b) in changes.iter().enumerate().take(i + 1) {
                matrix[(i, j)] = dot(&a.residual, &b.residual);
                matrix[(j, i)] = matrix[(i, j)];
            }
        }
        // Eliminated from the newest on: a change that lies almost in the newer ones is left out.
        let mut shares = SVector::zeros();
        let mut used = [false; MEMORY];
        let whole = matrix.diagonal();
        let mut reduced = matrix;
        let mut rest = right;
        for k in 0..self.count {
            let own = reduced[(k, k)];
            if own.is_nan() || own <= OWN_PART * whole[k] {
                continue;
            }
            used[k] = true;
            for i in k + 1..self.count {
                let factor = reduced[(i, k)] / own;
                for j in k + 1..self.count {
                    reduced[(i, j)] -= factor * reduced[(k, j)];
                }
                rest[i] -= factor * rest[k];
            }
        }
        for k in (0..self.count).rev().filter(|&k| used[k]) {
            let beyond: f64 = (k + 1..self.count).map(|j| reduced[(k, j)] * shares[j]).sum();
            shares[k] = (rest[k] - beyond) / reduced[(k, k)];
        }
        shares
    }
}

fn dot(a: &[f32], b: &[f32]) -> f64 {
    a.iter().zip(b).map(|(a, b)| f64::from(*a) * f64::from(*b)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three modes that a wrong factor leaves at 0.5, −0.2 and 0.1: three changes know them all,
    /// so the fifth residual is nothing but rounding, that of single precision.
    #[test]
    fn a_linear_answer_is_found_once_every_mode_was_seen() {
        let left = [0.5, -0.2, 0.1];
        let mut unknowns = [0.0; 3];
        let wanted = [1.0, 2.0, -3.0];
        let mut acceleration = Acceleration::default();
        let mut size = 0.0;
        for _ in 0..5 {
            // Stiffness one in every mode; the factor answers (1 − left) times what it should.
            let residual: [f64; 3] = std::array::from_fn(|i| wanted[i] - unknowns[i]);
            size = residual.iter().map(|r| r.abs()).sum::<f64>();
            let mut step: [f64; 3] = std::array::from_fn(|i| (1.0 - left[i]) * residual[i]);
            acceleration.improve(&residual, &mut step);
            for (u, s) in unknowns.iter_mut().zip(step) {
                *u += s;
            }
        }
        assert!(size < 1e-6, "{size:e}");
    }

    #[test]
    fn a_change_that_repeats_another_has_no_share() {
        let mut acceleration = Acceleration::default();
        let mut unknown = [0.0, 0.0];
        for _ in 0..4 {
            let residual = [1.0 - unknown[0], 0.0];
            let mut step = [0.5 * residual[0], 0.0];
            acceleration.improve(&residual, &mut step);
            unknown[0] += step[0];
            assert!(unknown[0].is_finite());
        }
        assert!((unknown[0] - 1.0).abs() < 1e-12);
    }
}
