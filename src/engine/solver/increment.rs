//! A phase in increments: how large, when to halve, when to grow again.
//!
//! A phase prescribes the unloaded radius of the tool and the external forces as straight
//! lines over its share, 0 to 1. One [`State`] holds everything an increment changes, so
//! commit and roll-back are assignments, and an increment that had to be halved gives the
//! same bytes as one that was asked for at that size.

use std::ops::ControlFlow;

use crate::solver::control::Care;
use crate::solver::equations::Equations;
use crate::solver::increment_error::{Cause, IncrementError};
use crate::solver::newton::IterationRecord;
use crate::solver::pace::{Grip, Pace};
use crate::solver::prescribed::{Drive, Loads, mean_work, prescribe};
use crate::solver::state::{Rate, State};
use crate::solver::system::System;

/// Halvings of one increment before a phase gives up.
pub(crate) const MOST_HALVINGS: usize = 10;

/// Smallest increment over the planned one. A wall that yields through to its last point under a
/// tool passes that point in increments of a billionth and then goes on; beyond a limit load they
/// shrink for ever, and below this the share could no longer tell them apart.
const SMALLEST: f64 = 1e-12;

/// Iterations up to which an increment counts as easy and the next may grow.
const EASY: usize = 8;

/// An increment in equilibrium.
#[derive(Clone, Debug)]
pub struct Increment {
    /// Share of the phase reached.
    pub share: f64,
    /// Record of the iterations.
    pub iterations: IterationRecord,
    /// Halvings before it went through.
    pub halvings: usize,
}

/// How a phase ended.
#[derive(Clone, Debug, PartialEq)]
pub enum PhaseEnd {
    /// At its end.
    Done,
    /// The observer asked to stop; the state is in equilibrium.
    Stopped,
    /// An increment failed; the state is the last one in equilibrium.
    Failed(IncrementError),
}

impl System {
    /// Runs one phase on `state`, which is always left in equilibrium.
    ///
    /// `observe` is called after each increment with the state and may stop the run.
    pub fn run_phase(
        &mut self,
        state: &mut State,
        drive: &Drive,
        mut observe: impl FnMut(&mut Self, &State, &Increment) -> ControlFlow<()>,
    ) -> PhaseEnd {
        let start = Loads::of(state);
        let begun = Self::shifts(state);
        state.rate = Rate::default();
        let planned = drive.step.min(1.0);
        let grip = |system: &Self, state: &State| system.grip(state, drive);
        let mut pace = Pace::new(planned, drive.leap.is_some(), grip(self, state));
        let mut share = 0.0;
        let mut attempt = 0;
        let elastic: Vec<bool> = self.tools.iter().map(|tool| tool.compliance > 0.0).collect();
        // What a phase does must not depend on what was done before it.
        self.equations.tangent.forget();
        self.forget_stiffness();
        self.begin_parts();
        self.bend.clear();
        let mut care = Care::Usual;
        for (tool, contact) in state.tools.iter_mut().zip(&self.tools) {
            tool.begin_slip(contact, &state.displacement);
        }
        for (mated, edges) in state.mated.iter_mut().zip(&self.mated) {
            mated.begin_slip(edges, &state.displacement);
        }
        if let Err(cause) = self.slide_on(state, 0.0) {
            return PhaseEnd::Failed(IncrementError { done: 0.0, halvings: 0, cause });
        }
        let metal = &self.metal.material;
        let yield_strain = metal.yield_stress / metal.elasticity.youngs_modulus;
        let mut trial = state.clone();
        let mut halvings = 0;
        while share < 1.0 {
            pace.follow(share, drive);
            let target = pace.target(share);
            let size = target - share;
            self.predict(state, (size, care), &mut trial);
            self.bend.begin(size);
            prescribe(&mut trial, drive, &start, target, &elastic);
            if drive.travel.is_some() {
                self.hang(&mut trial, &begun);
            }
            let outcome = self.equilibrate(state, &mut trial, &mut care);
            let refused = drive.refused_attempts.contains(&attempt);
            attempt += 1;
            let most = drive.leap.filter(|_| pace.leaps(size));
            if most.is_some_and(|most| yields(state, &trial, &outcome, most)) {
                pace.no_leap(size);
                self.forget(state, &mut trial);
                continue;
            }
            match outcome {
                Ok(iterations) if !refused => {
                    // Not where springback turns into reverse yielding, nor where the strain is heat.
                    if self.method.bends && !drive.until_open && drive.free_strain.is_none() {
                        let mut bend = std::mem::take(&mut self.bend);
                        let turn = bend.turn((state, &trial), self.elasticities(), size);
                        self.bend = bend;
                        if pace.turns(size, turn / yield_strain) {
                            self.forget(state, &mut trial);
                            continue;
                        }
                        self.bend.accept();
                    }
                    self.conclude(&mut trial);
                    self.account(state, &mut trial, size);
                    self.accept_parts();
                    std::mem::swap(state, &mut trial);
                    pace.note_grip(size, grip(self, state));
                    if halvings == 0 {
                        care = Care::Usual;
                        if iterations.residuals.len() <= EASY {
                            pace.grow();
                        }
                    }
                    share = if is_open(state, drive) { 1.0 } else { target };
                    let increment = Increment { share, iterations, halvings };
                    halvings = 0;
                    if observe(self, state, &increment).is_break() && share < 1.0 {
                        return PhaseEnd::Stopped;
                    }
                    if let Err(cause) = self.slide_on(state, pace.target(share) - share) {
                        return PhaseEnd::Failed(IncrementError { done: share, halvings, cause });
                    }
                    continue;
                }
                Err(cause) if halvings >= MOST_HALVINGS || 0.5 * size < SMALLEST * planned => {
                    let halvings = halvings_to(planned, size);
                    return PhaseEnd::Failed(IncrementError { done: share, halvings, cause });
                }
                // A rough factor may be what failed: from here on none is used.
                Err(_) => care = Care::Careful,
                Ok(_) => {}
            }
            halvings += 1;
            pace.halve(size);
            self.forget(state, &mut trial);
        }
        PhaseEnd::Done
    }

    /// Contact of the tool that a phase is to free the hole of, where errors are kept within a
    /// tolerance; none in any other phase.
    fn grip(&self, state: &State, drive: &Drive) -> Grip {
        let follows = drive.until_open && self.method.path_tolerance.is_some();
        let Some((index, _)) = drive.tool.filter(|_| follows) else {
            return Grip::default();
        };
        let tool = &state.tools[index];
        let touching = || {
            let pressures = tool.pressures(&self.tools[index]).zip(&tool.status);
            pressures.filter(|(_, status)| status.touches()).map(|(pressure, _)| pressure)
        };
        Grip {
            touching: tool.closed_count(),
            least: touching().reduce(f64::min).unwrap_or(0.0),
            most: touching().fold(0.0, f64::max),
        }
    }

    /// Takes note of an accepted increment in the parts of the elements.
    fn accept_parts(&mut self) {
        if let Some(tolerance) = self.method.path_tolerance {
            let Equations { quads, triangles, .. } = &mut self.equations;
            quads.parts.accept(tolerance);
            triangles.parts.accept(tolerance);
        }
    }

    /// Removes every trace of an attempt that was not taken.
    fn forget(&mut self, state: &State, trial: &mut State) {
        self.equations.tangent.forget();
        self.forget_stiffness();
        self.equations.quads.parts.restore();
        self.equations.triangles.parts.restore();
        self.scratch.parts.fill(0.0);
        trial.points.clone_from(&state.points);
        trial.backstress.clone_from(&state.backstress);
    }

    /// Makes `trial` the state with every unknown carried on at its last rate. Stresses and
    /// histories are left to the assembly.
    fn predict(&self, state: &State, (size, care): (f64, Care), trial: &mut State) {
        trial.take_unknowns(state);
        let rate = &state.rate;
        if rate.displacement.is_empty() {
            return;
        }
        let curve = if care == Care::Careful { 0.0 } else { rate.curve(size) };
        let along = |now: f64, before: f64| size * (now + curve * (now - before));
        for ((u, now), before) in
            trial.displacement.iter_mut().zip(&rate.displacement).zip(&rate.before.displacement)
        {
            u[0] += along(now[0], before[0]);
            u[1] += along(now[1], before[1]);
        }
        trial.axial_strain += along(rate.axial_strain, rate.before.axial_strain);
        let rates = rate.tools.iter().zip(&rate.before.tools);
        let contacts = self.tools.iter().enumerate();
        for ((tool, (index, contact)), (now, before)) in
            trial.tools.iter_mut().zip(contacts).zip(rates)
        {
            tool.centre[0] += along(now[0], before[0]);
            if !self.stays(state, index) {
                tool.centre[1] += along(now[1], before[1]);
            }
            if contact.compliance > 0.0 {
                tool.radius += along(now[2], before[2]);
            }
        }
    }

    /// Books the energies of an accepted increment and its rates.
    pub(crate) fn account(&mut self, old: &State, new: &mut State, size: f64) {
        let mut work = 0.0;
        let moved =
            |node: usize| [0, 1].map(|i| new.displacement[node][i] - old.displacement[node][i]);
        for node in 0..self.mesh.nodes.len() {
            work += mean_work(old.external[node], new.external[node], moved(node));
        }
        for ((contact, before), after) in self.tools.iter().zip(&old.tools).zip(&new.tools) {
            for (k, &node) in contact.nodes.iter().enumerate() {
                work += mean_work(before.force[k], after.force[k], moved(node));
            }
        }
        work += self.pair_work(old, new);
        work += self.path_work(old, new);
        work -= self.heat_work(old, new);
        let (mut plastic, mut elastic) = (0.0, 0.0);
        let points = self.tables.volumes().zip(self.elasticities()).enumerate();
        for (point, (volume, elasticity)) in points {
            let (young, nu) = (elasticity.youngs_modulus, elasticity.poissons_ratio);
            let flow = new.points[point].plastic_strain - old.points[point].plastic_strain;
            let s = &new.conjugate[point];
            plastic += 0.5 * volume * (old.conjugate[point] + s).dot(&flow);
            let direct = s[0] * s[0] + s[1] * s[1] + s[2] * s[2];
            let cross = s[0] * s[1] + s[1] * s[2] + s[2] * s[0];
            elastic +=
                0.5 * volume / young * (direct - 2.0 * nu * cross + 2.0 * (1.0 + nu) * s[3] * s[3]);
        }
        elastic += self.layer_energy(new);
        new.energy.external += work;
        new.energy.plastic += plastic;
        new.energy.elastic = elastic;
        new.rate.step_on(size);
        let Rate { displacement, tools, axial_strain, .. } = &mut new.rate;
        let moved = old.displacement.iter().zip(&new.displacement);
        displacement.clear();
        displacement.extend(moved.map(|(a, b)| [(b[0] - a[0]) / size, (b[1] - a[1]) / size]));
        *axial_strain = (new.axial_strain - old.axial_strain) / size;
        tools.clear();
        tools.extend(old.tools.iter().zip(&new.tools).map(|(before, after)| {
            [
                (after.centre[0] - before.centre[0]) / size,
                (after.centre[1] - before.centre[1]) / size,
                (after.radius - before.radius) / size,
            ]
        }));
        new.rate.settle();
    }
}

impl System {
    /// Work that the stresses do on the change of the free strains, N·mm of the modelled part: it is taken
    /// from, or becomes, heat and never was work of forces.
    fn heat_work(&self, old: &State, new: &State) -> f64 {
        if old.free_strain == new.free_strain {
            return 0.0;
        }
        let points = self.tables.volumes().enumerate();
        let work = points.map(|(point, volume)| {
            let region = self.mesh.region_of_point(point);
            let change = new.free_strain_of(region) - old.free_strain_of(region);
            let mean = 0.5 * (old.conjugate[point] + new.conjugate[point]);
            volume * change * (mean[0] + mean[1] + mean[2])
        });
        work.sum()
    }
}

/// Whether a leap was too long: it found no equilibrium, or some point yielded by more than `most`.
fn yields(old: &State, new: &State, outcome: &Result<IterationRecord, Cause>, most: f64) -> bool {
    let mut points = old.points.iter().zip(&new.points);
    outcome.is_err() || points.any(|(old, new)| new.equivalent - old.equivalent > most)
}

/// Whether a phase is over because its tool touches nothing any more.
fn is_open(state: &State, drive: &Drive) -> bool {
    let tool = drive.tool.map(|(tool, _)| tool).or(drive.travel.map(|(tool, _)| tool));
    drive.until_open && tool.is_some_and(|tool| state.tools[tool].closed_count() == 0)
}

/// How often the planned increment was halved to come down to `size`, growth in between taken off.
fn halvings_to(planned: f64, size: f64) -> usize {
    let mut count = 0;
    let mut halved = planned;
    while halved > 1.5 * size {
        halved *= 0.5;
        count += 1;
    }
    count
}
