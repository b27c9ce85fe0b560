//! One increment: Newton's method on equilibrium and contact together.
//!
//! Every iteration integrates the metal, updates the contact status of the edge nodes
//! (a closed node that would pull opens, an open node inside the tool closes), and solves
//! with the consistent tangent. An increment is done when force *and* correction are small
//! and no status changed.
//!
//! Floor 3, `solver`.

use std::time::Instant;

use crate::solver::correction::{Kinematics, Step};
use crate::solver::error::Cause;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::status::GAP_TOLERANCE;
use crate::solver::system::System;

/// Relative residual at which an increment is in equilibrium.
pub const RESIDUAL_TOLERANCE: f64 = 1e-8;

/// Last correction over the largest displacement change of the increment. Newton is
/// quadratic near the end, so the next correction would be of the order of its square.
const CORRECTION_TOLERANCE: f64 = 1e-4;

/// Iterations after which a smaller increment is cheaper than going on.
const MOST_ITERATIONS: usize = 24;

/// A correction of this many hole radii is the answer of a tangent that hardly resists.
const FLIES_AWAY: f64 = 1e3;

/// Halvings of one correction.
const MOST_HALVINGS: usize = 4;

/// What the iterations of one increment did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IterationRecord {
    /// Relative residual after each iteration, oldest first.
    pub residuals: Vec<f64>,
    /// Contact states that changed.
    pub status_changes: usize,
}

impl System {
    /// Brings `trial`, a guess with the new prescribed values, to equilibrium, starting from
    /// the histories of `old`.
    ///
    /// # Errors
    ///
    /// The [`Cause`] that stopped the iteration; `trial` is then worthless.
    pub(crate) fn equilibrate(
        &mut self,
        old: &State,
        trial: &mut State,
    ) -> Result<IterationRecord, Cause> {
        let mut record = IterationRecord::default();
        let mut switches: Vec<Vec<usize>> =
            trial.tools.iter().map(|tool| vec![0; tool.status.len()]).collect();
        let mut correction = f64::INFINITY;
        let mut before: Option<(Kinematics, Step, f64)> = None;
        let mut halvings = 0;
        for iteration in 0..=MOST_ITERATIONS {
            self.set_frames(trial);
            let clock = Instant::now();
            self.assemble(old, trial)?;
            self.times.assembly += clock.elapsed().as_secs_f64();
            let mut changed = self.update_status(trial, &mut switches, iteration > 0);
            let seated = self.seat(trial);
            if !seated.is_empty() {
                // The frames went with the pins.
                changed.extend(seated);
                self.set_frames(trial);
                self.assemble(old, trial)?;
            }
            record.status_changes += changed.len();
            let residual = self.residual(trial)?;

            // A correction that made things much worse is taken in part.
            if let Some((start, step, relative)) = before.take() {
                let worse = residual.relative > 10.0 * relative && residual.relative > 1e-3;
                if worse && changed.is_empty() && halvings < MOST_HALVINGS {
                    halvings += 1;
                    let half = step.scaled(0.5);
                    start.restore(trial);
                    half.apply(trial);
                    before = Some((start, half, relative));
                    continue;
                }
            }
            record.residuals.push(residual.relative);
            if changed.is_empty()
                && residual.relative <= RESIDUAL_TOLERANCE
                && correction <= CORRECTION_TOLERANCE * self.movement(old, trial)
                && self.closed_gap(trial) <= GAP_TOLERANCE * self.length
            {
                self.store_contact_forces(trial);
                return Ok(record);
            }
            if iteration == MOST_ITERATIONS {
                return Err(self.not_converged(&residual, record.residuals, changed));
            }
            let step = self.correct(trial, &residual)?;
            correction = step.largest();
            if !correction.is_finite() {
                return Err(Cause::NotFinite);
            }
            if correction > FLIES_AWAY * self.length {
                return Err(Cause::Singular);
            }
            let start = Kinematics::of(trial);
            step.apply(trial);
            halvings = 0;
            // The first correction carries the prescribed motion: it is not judged.
            before = (iteration > 0).then_some((start, step, residual.relative));
        }
        Err(Cause::NotFinite)
    }

    fn not_converged(&self, residual: &Residual, residuals: Vec<f64>, nodes: Vec<usize>) -> Cause {
        if nodes.is_empty() {
            let node = residual.worst / 2;
            Cause::NotConverged { residuals, node, position: self.mesh.nodes[node] }
        } else {
            Cause::ContactCycles { residuals, nodes }
        }
    }

    /// Largest displacement change since `old`, with a floor that a converged increment of no
    /// motion can meet, mm.
    fn movement(&self, old: &State, trial: &State) -> f64 {
        let moved = old.displacement.iter().zip(&trial.displacement);
        moved
            .map(|(a, b)| (b[0] - a[0]).abs().max((b[1] - a[1]).abs()))
            .fold(1e-7 * self.length, f64::max)
    }
}
