//! One increment: Newton's method on equilibrium and contact together.
//!
//! Every iteration integrates the metal, updates the contact status of the edge nodes
//! (a closed node that would pull opens, an open node inside the tool closes), and solves
//! for a correction. An increment is done when force *and* correction are small and no status
//! changed.
//!
//! A factor of the tangent is kept as long as it serves: a correction with it costs a fraction of
//! a factorization. [`Scheme::Newton`] makes a new one every time.
//!
//! Floor 3, `solver`.

use crate::solver::acceleration::Acceleration;
use crate::solver::assembly::Asked;
use crate::solver::correction::{Kinematics, Step};
use crate::solver::error::Cause;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::status::GAP_TOLERANCE;
use crate::solver::system::System;
use crate::solver::tangent::Precision;

/// Relative residual at which an increment is in equilibrium.
pub const RESIDUAL_TOLERANCE: f64 = 1e-8;

/// What the next correction would be, over the largest displacement change of the increment, if it
/// were smaller than the last by as much as the residual has become.
const CORRECTION_TOLERANCE: f64 = 1e-5;

/// Iterations after which a smaller increment is cheaper than going on.
const MOST_ITERATIONS: usize = 24;

/// Hole radii beyond which no correction makes sense.
const FLIES_AWAY: f64 = 1e3;

/// Halvings of one correction.
const MOST_HALVINGS: usize = 4;

/// Iterations that a factor may still need for its use to be worth while: a factorization with a
/// new tangent costs about as much as five corrections (`verification/performance.md`).
const WORTH_WHILE: f64 = 4.5;

/// Share of the elastic tangent where the consistent one has no factor: enough for one, little
/// enough to correct well all that resists.
const STIFFENED: f64 = 1e-3;

/// Residual from which Newton's method is in its fast range.
const SMALL: f64 = 1e-5;

/// Residual that rounding may leave.
const NOISE: f64 = 1e-10;

/// How tangents are come by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scheme {
    /// A factor, in single precision, serves as long as the residual falls fast enough.
    #[default]
    Economical,
    /// Newton's method as it stands: a new tangent at every iteration, in double precision.
    Newton,
}

/// What the iterations of one increment did.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IterationRecord {
    /// Relative residual after each iteration, oldest first.
    pub residuals: Vec<f64>,
    /// Contact states that changed.
    pub status_changes: usize,
}

/// Memory of the iterations, kept from one increment to the next.
#[derive(Debug, Default)]
pub(crate) struct Workspace {
    residual: Residual,
    step: Step,
    start: Kinematics,
    switches: Vec<Vec<usize>>,
    acceleration: Acceleration,
}

impl Workspace {
    /// Makes room for the iterations of one increment and forgets those of the last.
    fn begin(&mut self, trial: &State, nodes: usize) {
        let Self { step, switches, acceleration, .. } = self;
        acceleration.forget();
        switches.resize(trial.tools.len(), Vec::new());
        for (switches, tool) in switches.iter_mut().zip(&trial.tools) {
            switches.clear();
            switches.resize(tool.status.len(), 0);
        }
        step.fit(nodes);
    }
}

/// A correction that was made.
#[derive(Clone, Copy)]
struct Made {
    /// Relative residual before it.
    before: f64,
    /// Whether its factor was that of the tangent there.
    exact: bool,
    /// Whether it carried the prescribed motion of the increment.
    first: bool,
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
        let mut workspace = std::mem::take(&mut self.workspace);
        let outcome = self.iterate(old, trial, &mut workspace);
        self.workspace = workspace;
        outcome
    }

    fn iterate(
        &mut self,
        old: &State,
        trial: &mut State,
        workspace: &mut Workspace,
    ) -> Result<IterationRecord, Cause> {
        workspace.begin(trial, self.mesh.nodes.len());
        let Workspace { residual, step, start, switches, acceleration } = workspace;
        let mut record = IterationRecord {
            residuals: Vec::with_capacity(MOST_ITERATIONS + 1),
            status_changes: 0,
        };
        let mut correction = f64::INFINITY;
        let mut made: Option<Made> = None;
        let mut halvings = 0;
        // What fails in small steps is tried as carefully as can be.
        let mut economical = self.scheme == Scheme::Economical && !self.careful;
        let mut doubted = false;
        let mut serves = economical;
        for iteration in 0..=MOST_ITERATIONS {
            self.set_frames(trial);
            serves &= self.factor_fits(trial);
            let asked = if serves { Asked::Stress } else { Asked::Tangent };
            self.assemble(old, trial, asked)?;
            let mut changed = self.update_status(trial, switches, iteration > 0);
            self.hand_on_forces(trial);
            let seated = self.seat(trial);
            if !seated.is_empty() {
                // The frames went with the pins.
                changed.extend(seated);
                self.set_frames(trial);
                self.assemble(old, trial, asked)?;
            }
            record.status_changes += changed.len();
            self.residual(trial, residual)?;

            // A correction that made things much worse is taken in part, or taken back when it
            // came from an old tangent.
            if let Some(Made { before, exact, first }) = made.take()
                && changed.is_empty()
            {
                let worse = residual.relative > before;
                if worse && !exact && halvings < MOST_HALVINGS {
                    halvings += 1;
                    start.restore(trial);
                    acceleration.forget();
                    serves = false;
                    continue;
                }
                let much = residual.relative > 10.0 * before && residual.relative > 1e-3;
                if much && !first && halvings < MOST_HALVINGS {
                    halvings += 1;
                    step.halve();
                    start.restore(trial);
                    step.apply(trial);
                    acceleration.forget();
                    made = Some(Made { before, exact, first });
                    continue;
                }
                correction *= (residual.relative / before).min(1.0);
                serves &= still_serves(before, residual.relative);
                if economical && exact && !first && is_beyond(before, residual.relative) {
                    // Points that change from yielding to elastic do it once, arithmetic again.
                    (economical, self.careful) = (!doubted, doubted);
                    (doubted, serves) = (true, false);
                    // What looked converged may not be.
                    correction = f64::INFINITY;
                }
            }
            record.residuals.push(residual.relative);
            if changed.is_empty() && self.is_settled(old, trial, residual.relative, correction) {
                self.store_contact_forces(trial);
                return Ok(record);
            }
            if iteration == MOST_ITERATIONS {
                return Err(self.not_converged(residual, record.residuals, changed));
            }
            let exact = !(serves && changed.is_empty());
            if exact {
                // A tangent that is hard to solve with may be beyond five digits.
                let precision = if economical && 2 * iteration < MOST_ITERATIONS {
                    Precision::Single
                } else {
                    Precision::Double
                };
                self.new_tangent(old, trial, residual, (asked, precision))?;
            }
            serves = economical;
            self.correct(trial, residual, step);
            if flies_away(step, self.length) {
                // A factor was found, of rounding alone.
                self.stiffen_tangent(old, trial, residual)?;
                self.correct(trial, residual, step);
            }
            if exact {
                acceleration.forget();
            }
            if serves {
                acceleration.improve(&residual.free, step.parts_mut());
            }
            correction = step.largest();
            if !correction.is_finite() {
                return Err(Cause::NotFinite);
            }
            if flies_away(step, self.length) {
                return Err(Cause::Singular);
            }
            start.note(trial);
            step.apply(trial);
            halvings = 0;
            // The first correction carries the prescribed motion.
            made = Some(Made { before: residual.relative, exact, first: iteration == 0 });
        }
        Err(Cause::NotFinite)
    }

    /// Whether `trial`, whose next correction would be about `correction` mm, is in equilibrium.
    fn is_settled(&self, old: &State, trial: &State, residual: f64, correction: f64) -> bool {
        residual <= RESIDUAL_TOLERANCE
            && correction <= CORRECTION_TOLERANCE * self.movement(old, trial)
            && self.closed_gap(trial) <= GAP_TOLERANCE * self.length
    }

    /// Makes a factor of the tangent of `trial`, of which the last assembly gave what is said.
    fn new_tangent(
        &mut self,
        old: &State,
        trial: &mut State,
        residual: &Residual,
        (assembled, precision): (Asked, Precision),
    ) -> Result<(), Cause> {
        if assembled == Asked::Stress {
            self.assemble(old, trial, Asked::Tangent)?;
        }
        if self.renew_tangent(trial, residual, precision).is_err() {
            self.stiffen_tangent(old, trial, residual)?;
        }
        Ok(())
    }

    /// Makes a factor of a tangent that has a share of the elastic one: at a limit load the
    /// consistent tangent resists some directions not at all, and what the contact force takes from
    /// them as it turns, which is left out here, makes them negative.
    fn stiffen_tangent(
        &mut self,
        old: &State,
        trial: &mut State,
        residual: &Residual,
    ) -> Result<(), Cause> {
        self.elastic_share = STIFFENED;
        let outcome = self
            .assemble(old, trial, Asked::Tangent)
            .and_then(|()| self.renew_tangent(trial, residual, Precision::Double));
        self.elastic_share = 0.0;
        outcome
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

/// Whether a correction is the answer of a tangent that hardly resists.
fn flies_away(step: &Step, length: f64) -> bool {
    let largest = step.largest();
    !largest.is_finite() || largest > FLIES_AWAY * length
}

/// Whether a factor that took the residual from `before` to `after` will bring it to its tolerance
/// in fewer iterations than a new one is worth.
fn still_serves(before: f64, after: f64) -> bool {
    let to_go = (after / RESIDUAL_TOLERANCE).ln();
    let each = (before / after).ln();
    to_go <= 0.0 || to_go <= WORTH_WHILE * each
}

/// Whether the factor of a new tangent left so much of a small residual that it must be the
/// arithmetic: near a limit load, five digits are too few and a small residual says little.
fn is_beyond(before: f64, after: f64) -> bool {
    before <= SMALL && after > 0.3 * before && after > NOISE
}
