//! One increment: Newton's method on equilibrium and contact together.
//!
//! Every iteration integrates the metal, updates the contact status of the edge nodes
//! (a closed node that would pull opens, an open node inside the tool closes), and solves
//! for a correction. An increment is done when force *and* correction are small and no status
//! changed.
//!
//! A factor of the tangent is kept as long as it serves: a correction with it costs a fraction of
//! a factorization. [`Scheme::Newton`] makes a new one every time. The rules are those of
//! `control`; this file carries them out.

use std::ops::Range;

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::solver::control::{Care, Controller, Decision, MOST_ITERATIONS, MOST_SLIDING, Seen};
use crate::solver::elements::Asked;
use crate::solver::equations::Equations;
use crate::solver::increment_error::Cause;
use crate::solver::mated::PAIR_TOLERANCE;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::step::Step;
use crate::solver::switching::GAP_TOLERANCE;
use crate::solver::system::System;
use crate::solver::tangent::Precision;
use crate::solver::workspace::Workspace;

pub use crate::solver::control::{RESIDUAL_TOLERANCE, Scheme};

/// Hole radii beyond which no correction makes sense.
const FLIES_AWAY: f64 = 1e3;

/// Share of the elastic tangent where the consistent one has no factor: enough for one, little
/// enough to correct well all that resists.
const STIFFENED: f64 = 1e-3;

/// Relative residual from which the forces of an iterate tell whether edges that slide touch, stick and slip: some tens of
/// newtons in all, of some thousand that they bear. Most of their contacts change with the forces along them, and those of an
/// iterate far from balance would turn all of them over.
const SAYS_SOMETHING: f64 = 1e-4;

/// Relative residuals between which a section gives elements more parts on the way: the error that their parts make is
/// nearly that of the answer by then, and the corrections that more parts ask for are to be made anyway. Of the increments
/// of a draw with a path tolerance two in three would go on after they are in equilibrium, with six more corrections.
const REFINED_ON_THE_WAY: Range<f64> = 1e-6..1e-4;

/// Record of the iterations of one increment.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IterationRecord {
    /// Relative residual after each iteration, oldest first.
    pub residuals: Vec<f64>,
    /// Contact states that changed.
    pub contact_changes: usize,
    /// Negative eigenvalues of the last tangent that was factorized: directions in which the part
    /// would give way by itself.
    pub unstable: usize,
}

impl System {
    /// Brings `trial`, a guess with the new prescribed values, to equilibrium, starting from
    /// the histories of `old`. `care` says whether rough factors are trusted, and is told whether
    /// they can be from here on.
    ///
    /// # Errors
    ///
    /// The [`Cause`] that stopped the iteration; `trial` is then worthless.
    pub(crate) fn equilibrate(
        &mut self,
        old: &State,
        trial: &mut State,
        care: &mut Care,
    ) -> Result<IterationRecord, Cause> {
        let mut workspace = std::mem::take(&mut self.scratch.workspace);
        workspace.begin(trial, self.mesh.nodes.len());
        let mut control = Controller::new(self.method.scheme, *care);
        if self.method.watchful {
            // A factor that serves well says nothing of what has become of the part since.
            control.begin_anew();
        }
        if self.slides() {
            control.allow(MOST_SLIDING);
        }
        let outcome = self.iterate((old, trial), &mut control, &mut workspace);
        *care = control.care();
        self.scratch.workspace = workspace;
        outcome
    }

    fn iterate(
        &mut self,
        (old, trial): (&State, &mut State),
        control: &mut Controller,
        workspace: &mut Workspace,
    ) -> Result<IterationRecord, Cause> {
        let mut record = IterationRecord {
            residuals: Vec::with_capacity(MOST_ITERATIONS + 1),
            contact_changes: 0,
            unstable: 0,
        };
        loop {
            let (changed, assembled) = self.look(old, trial, control, workspace)?;
            record.contact_changes += changed.len();
            let relative = workspace.residual.relative;
            let decision = control.decide(&Seen {
                residual: relative,
                tolerance: self.residual_tolerance(),
                changed: !changed.is_empty(),
                fits: self.closed_gap(trial) <= GAP_TOLERANCE * self.scale.length
                    && self.pair_gap(trial) <= PAIR_TOLERANCE * self.scale.length,
                movement: self.movement(old, trial),
            });
            let Workspace { step, start, acceleration, .. } = workspace;
            match decision {
                Decision::TakeBack => {
                    start.restore(trial);
                    acceleration.forget();
                    continue;
                }
                Decision::Halve => {
                    step.halve();
                    start.restore(trial);
                    step.apply(trial);
                    acceleration.forget();
                    continue;
                }
                _ => record.residuals.push(relative),
            }
            let corrects = matches!(decision, Decision::Keep | Decision::Renew(_));
            if corrects
                && changed.is_empty()
                && self.is_section()
                && REFINED_ON_THE_WAY.contains(&relative)
                && self.refine_parts()
            {
                // What the next residual shows is not the effect of the correction alone.
                acceleration.forget();
                control.do_not_judge();
            }
            match decision {
                // Not before, but for what was done above: which elements are off must not depend on how far the
                // iterations have come.
                Decision::Accept if self.refine_parts() => {
                    // The residual jumps, and no correction has done that.
                    acceleration.forget();
                    control.go_on();
                    continue;
                }
                Decision::Accept => {
                    self.store_contact_forces(trial);
                    record.unstable = self.unstable((old, trial), &workspace.residual);
                    return Ok(record);
                }
                Decision::Renew(precision) => {
                    // Friction that follows the pressure converges by a rate that no factor mends.
                    if !self.slides() || !changed.is_empty() {
                        acceleration.forget();
                    }
                    self.new_tangent((old, trial), &workspace.residual, (assembled, precision))?;
                }
                Decision::Keep => {}
                _ => {
                    return Err(self.not_converged(&workspace.residual, record.residuals, changed));
                }
            }
            self.take_step((old, trial), control, workspace)?;
        }
    }

    /// Integrates the metal of `trial`, updates the contact, and finds what is out of balance.
    /// Returns the nodes whose contact changed, and what was assembled.
    fn look(
        &mut self,
        old: &State,
        trial: &mut State,
        control: &mut Controller,
        workspace: &mut Workspace,
    ) -> Result<(Vec<usize>, Asked), Cause> {
        self.set_frames(trial);
        let serves = control.serves(self.factor_fits(trial));
        let wanted = !serves || self.is_section() && control.expects_renewal();
        let asked = if wanted { Asked::Tangent } else { Asked::Stress };
        self.assemble(old, trial, asked)?;
        let may_open = !control.is_first();
        if self.slides() && may_open {
            self.residual(trial, &mut workspace.residual)?;
            if workspace.residual.relative > SAYS_SOMETHING {
                return Ok((Vec::new(), asked));
            }
        }
        let mut changed = self.update_status(trial, &mut workspace.switching, may_open);
        self.hand_on_forces(trial);
        let seated = self.seat(trial);
        if !seated.is_empty() {
            // The frames went with the pins.
            changed.extend(seated);
            self.set_frames(trial);
            self.assemble(old, trial, asked)?;
        }
        self.residual(trial, &mut workspace.residual)?;
        Ok((changed, asked))
    }

    /// Corrects `trial` with the factor that stands.
    fn take_step(
        &mut self,
        (old, trial): (&State, &mut State),
        control: &mut Controller,
        workspace: &mut Workspace,
    ) -> Result<(), Cause> {
        let Workspace { residual, step, start, acceleration, .. } = workspace;
        self.correct(trial, residual, step);
        if flies_away(step, self.scale.length) {
            // A factor was found, of rounding alone.
            self.stiffen_tangent((old, trial), residual)?;
            self.correct(trial, residual, step);
        }
        if control.is_economical() {
            acceleration.improve(&residual.free, step.parts_mut());
        }
        let largest = step.largest();
        if !largest.is_finite() {
            return Err(Cause::NotFinite);
        }
        if flies_away(step, self.scale.length) {
            return Err(Cause::Singular);
        }
        start.note(trial);
        step.apply(trial);
        control.corrected(largest);
        Ok(())
    }

    /// Gives elements more parts where the error they make asks for it; returns whether there are
    /// any.
    fn refine_parts(&mut self) -> bool {
        let Some(tolerance) = self.method.path_tolerance else { return false };
        let each = self.method.most_parts();
        let split = each * QUAD_POINTS * self.mesh.quads.len();
        let Self { equations: Equations { quads, triangles, .. }, scratch, .. } = self;
        let (of_quads, of_triangles) = scratch.parts.split_at_mut(split);
        // What was found for fewer parts says little of more.
        let anew = |parts: &mut [f64], size: usize, element: usize| {
            parts[size * element..size * (element + 1)].fill(0.0);
        };
        let refined = [
            quads.parts.refine(tolerance, |k| anew(of_quads, each * QUAD_POINTS, k)),
            triangles.parts.refine(tolerance, |k| anew(of_triangles, each * TRIANGLE_POINTS, k)),
        ];
        refined.contains(&true)
    }

    /// Makes a factor of the tangent of `trial`, of which the last assembly gave what is said.
    fn new_tangent(
        &mut self,
        (old, trial): (&State, &mut State),
        residual: &Residual,
        (assembled, precision): (Asked, Precision),
    ) -> Result<(), Cause> {
        if assembled == Asked::Stress {
            self.assemble(old, trial, Asked::Tangent)?;
        }
        if self.renew_tangent(trial, residual, (Asked::Tangent, precision)).is_err() {
            self.stiffen_tangent((old, trial), residual)?;
        }
        Ok(())
    }

    /// Makes a factor of a tangent that has a share of the elastic one: at a limit load the
    /// consistent tangent resists some directions not at all, and what the contact force takes from
    /// them as it turns, which is left out here, makes them negative.
    fn stiffen_tangent(
        &mut self,
        (old, trial): (&State, &mut State),
        residual: &Residual,
    ) -> Result<(), Cause> {
        let asked = Asked::Stiffened(STIFFENED);
        self.assemble(old, trial, asked)?;
        self.renew_tangent(trial, residual, (asked, Precision::Double))
    }

    /// Directions in which the part of `trial`, in equilibrium, would give way by itself.
    fn unstable(&mut self, (old, trial): (&State, &mut State), residual: &Residual) -> usize {
        let Some(loose) = self.loose.clone() else { return self.equations.tangent.negative() };
        let kept = std::mem::replace(&mut self.supports, loose);
        let asked = Asked::Tangent;
        let found = self
            .assemble(old, trial, asked)
            .and_then(|()| self.renew_tangent(trial, residual, (asked, Precision::Double)));
        self.supports = kept;
        let negative = self.equations.tangent.negative();
        // It is the factor of a part that is held otherwise.
        self.equations.tangent.forget();
        // Without a factor the part is about to give way.
        if found.is_ok() { negative } else { 1 }
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
            .fold(1e-7 * self.scale.length, f64::max)
    }
}

/// Whether a correction is the answer of a tangent that hardly resists.
fn flies_away(step: &Step, length: f64) -> bool {
    let largest = step.largest();
    !largest.is_finite() || largest > FLIES_AWAY * length
}
