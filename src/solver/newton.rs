//! One increment: Newton's method on equilibrium and contact together.
//!
//! Every iteration integrates the metal, updates the contact status of the edge nodes
//! (a closed node that would pull opens, an open node inside the tool closes), and solves
//! with the consistent tangent. An increment is done when force *and* correction are small
//! and no status changed.
//!
//! Residual: sum of absolute out-of-balance forces over the sum over elements of their absolute
//! nodal forces. That reference does not vanish when tool and load are gone, because the
//! residual stresses are exactly what it measures.
//!
//! Floor 3, `solver`.

use crate::material::idealisation::Idealisation;
use crate::solver::assembly::{into_frame, out_of_frame};
use crate::solver::border::{Border, MOST, Tie};
use crate::solver::contact::ContactStatus;
use crate::solver::error::Cause;
use crate::solver::state::State;
use crate::solver::system::System;

/// Relative residual at which an increment is in equilibrium.
pub const RESIDUAL_TOLERANCE: f64 = 1e-8;

/// Last correction over the largest displacement change of the increment. Newton is
/// quadratic near the end, so the next correction would be of the order of its square.
const CORRECTION_TOLERANCE: f64 = 1e-4;

/// Gap of a closed node over the radius: rounding of positions, far below any surface finish.
const GAP_TOLERANCE: f64 = 1e-10;

/// Iterations after which a smaller increment is cheaper than going on.
const MOST_ITERATIONS: usize = 24;

/// Changes of one node's status after which only the worst offender may change at a time.
const PATIENCE: usize = 4;

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

/// Out-of-balance forces of one iterate.
struct Residual {
    /// External less internal, by degree of freedom, in the frames of the nodes.
    force: Vec<f64>,
    /// The same for the border unknowns that are forces: centre x, y.
    relative: f64,
    worst: usize,
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
        let mut switches = vec![0_usize; trial.tool.as_ref().map_or(0, |tool| tool.status.len())];
        let mut correction = f64::INFINITY;
        let mut before: Option<(State, Step, f64)> = None;
        let mut halvings = 0;
        for iteration in 0..=MOST_ITERATIONS {
            self.set_frames(trial);
            self.assemble(old, trial)?;
            let changed = self.update_status(trial, &mut switches, iteration > 0);
            record.status_changes += changed.len();
            let residual = self.residual(trial)?;

            // A correction that made things much worse is taken in part.
            if let Some((start, step, relative)) = before.take() {
                let worse = residual.relative > 10.0 * relative && residual.relative > 1e-3;
                if worse && changed.is_empty() && halvings < MOST_HALVINGS {
                    halvings += 1;
                    let half = step.scaled(0.5);
                    *trial = start.clone();
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
            let start = trial.clone();
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

    /// Turns the frames of the tool's nodes to where the trial puts them.
    fn set_frames(&mut self, trial: &State) {
        if let (Some(contact), Some(tool)) = (&self.tool, &trial.tool) {
            for &node in &contact.nodes {
                let stance = contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]);
                self.frames[node] = Some(stance.normal);
            }
        }
    }

    /// Opens and closes edge nodes; returns those that changed.
    ///
    /// Forces mean nothing before the first correction, so nodes open only once
    /// `may_open`.
    fn update_status(
        &self,
        trial: &mut State,
        switches: &mut [usize],
        may_open: bool,
    ) -> Vec<usize> {
        let (Some(contact), Some(tool)) = (&self.tool, &mut trial.tool) else { return Vec::new() };
        let mut wanted: Vec<(usize, f64)> = Vec::new();
        for (k, &node) in contact.nodes.iter().enumerate() {
            let stance = contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]);
            match tool.status[k] {
                ContactStatus::Closed if may_open => {
                    let out =
                        [0, 1].map(|i| self.balance.internal[node][i] - trial.external[node][i]);
                    let [force, _] = into_frame(out, stance.normal);
                    if force < 0.0 {
                        wanted
                            .push((k, -force / (contact.areas[k] * self.material.elastic_limit())));
                    }
                }
                ContactStatus::Open if stance.gap < -GAP_TOLERANCE * self.length => {
                    wanted.push((k, -stance.gap / self.length));
                }
                _ => {}
            }
        }
        if wanted.iter().any(|&(k, _)| switches[k] >= PATIENCE) {
            // Going round in circles: let one node change at a time, the worst offender.
            wanted.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            wanted.truncate(1);
        }
        for &(k, _) in &wanted {
            switches[k] += 1;
            tool.status[k] = match tool.status[k] {
                ContactStatus::Open => ContactStatus::Closed,
                ContactStatus::Closed => ContactStatus::Open,
            };
        }
        wanted.into_iter().map(|(k, _)| contact.nodes[k]).collect()
    }

    /// Whether each node is a closed contact node.
    fn closed_nodes(&self, trial: &State) -> Vec<bool> {
        let mut closed = vec![false; self.mesh.nodes.len()];
        if let (Some(contact), Some(tool)) = (&self.tool, &trial.tool) {
            for (&node, status) in contact.nodes.iter().zip(&tool.status) {
                closed[node] = *status == ContactStatus::Closed;
            }
        }
        closed
    }

    fn residual(&self, trial: &State) -> Result<Residual, Cause> {
        let closed = self.closed_nodes(trial);
        let mut force = vec![0.0; 2 * self.mesh.nodes.len()];
        let (mut sum, mut largest, mut worst) = (0.0, -1.0, 0);
        let mut net = [0.0; 2];
        let mut radial = 0.0;
        for node in 0..self.mesh.nodes.len() {
            let out = [0, 1].map(|i| trial.external[node][i] - self.balance.internal[node][i]);
            let local = self.frames[node].map_or(out, |normal| into_frame(out, normal));
            force[2 * node..2 * node + 2].copy_from_slice(&local);
            for axis in 0..2 {
                if self.is_held(node, axis) {
                    continue;
                }
                if axis == 0 && closed[node] {
                    let push =
                        self.frames[node].map_or([0.0; 2], |n| out_of_frame([local[0], 0.0], n));
                    net[0] += push[0];
                    net[1] += push[1];
                    radial += local[0];
                    continue;
                }
                sum += local[axis].abs();
                if local[axis].abs() > largest {
                    largest = local[axis].abs();
                    worst = 2 * node + axis;
                }
            }
        }
        if let (Some(contact), Some(tool)) = (&self.tool, &trial.tool) {
            for axis in 0..2 {
                if contact.free[axis] {
                    sum += net[axis].abs();
                }
            }
            if contact.compliance > 0.0 {
                let push = (tool.unloaded_radius - tool.radius) / contact.compliance;
                sum += (push + radial).abs();
            }
        }
        if self.idealisation == Idealisation::GeneralisedPlaneStrain {
            sum += self.balance.axial_force.abs() / self.length;
        }
        let relative = sum / self.reference_force();
        if relative.is_finite() {
            Ok(Residual { force, relative, worst })
        } else {
            Err(Cause::NotFinite)
        }
    }

    /// Whether the displacement of `node` along `axis` of its frame is held.
    ///
    /// A contact node on a mirror line has its normal along the line, so what is held of it is
    /// the tangential displacement.
    fn is_held(&self, node: usize, axis: usize) -> bool {
        let held = self.supports.held[node];
        match self.frames[node] {
            Some(normal) => {
                let along_x = normal[0].abs() > normal[1].abs();
                // Frame axis 0 lies along x (or y), so axis 1 lies along y (or x).
                let global = if (axis == 0) == along_x { 0 } else { 1 };
                held[global]
            }
            None => held[axis],
        }
    }

    /// Solves for a correction with the tangent of the last assembly.
    fn correct(&mut self, trial: &State, residual: &Residual) -> Result<Step, Cause> {
        let nodes = self.mesh.nodes.len();
        let mut active = [false; MOST];
        if let Some(contact) = &self.tool {
            active = [contact.free[0], contact.free[1], contact.compliance > 0.0, false];
        }
        active[3] = self.idealisation == Idealisation::GeneralisedPlaneStrain;
        let mut border = Border::new(2 * nodes, active);

        // Ties: one for everything held, one for every closed node.
        let mut ties = vec![Tie::default()];
        let mut tie_of: Vec<Option<u32>> =
            (0..2 * nodes).map(|dof| self.is_held(dof / 2, dof % 2).then_some(0)).collect();
        if let (Some(contact), Some(tool)) = (&self.tool, &trial.tool) {
            for (k, &node) in contact.nodes.iter().enumerate() {
                if tool.status[k] == ContactStatus::Open {
                    continue;
                }
                let stance = contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]);
                let [nx, ny] = stance.normal;
                let share = |k: usize, value: f64| if active[k] { value } else { 0.0 };
                tie_of[2 * node] = u32::try_from(ties.len()).ok();
                ties.push(Tie {
                    weights: [share(0, nx), share(1, ny), share(2, 1.0), 0.0],
                    offset: -stance.gap,
                });
                // The circle turns the force as the node slides along it: −λ/|r| on the
                // tangential motion relative to the centre.
                let turn = -residual.force[2 * node] / stance.distance;
                if !self.is_held(node, 1) {
                    let (offsets, _, values) = self.pattern.columns_mut();
                    values[offsets[2 * node + 1]] -= turn;
                    let tangent = [-ny, nx];
                    for k in (0..2).filter(|&k| active[k]) {
                        border.add_coupling(2 * node + 1, k, turn * tangent[k]);
                        for m in (0..2).filter(|&m| active[m]) {
                            border.stiffness[k][m] -= turn * tangent[k] * tangent[m];
                        }
                    }
                }
            }
            if active[2] {
                border.stiffness[2][2] += contact.compliance.recip();
                border.right[2] += (tool.unloaded_radius - tool.radius) / contact.compliance;
            }
        }
        if active[3] {
            border.stiffness[3][3] += self.balance.axial_stiffness;
            border.right[3] -= self.balance.axial_force;
            for (node, coupling) in self.balance.axial_coupling.iter().enumerate() {
                border.add_coupling(2 * node, 3, coupling[0]);
                border.add_coupling(2 * node + 1, 3, coupling[1]);
            }
        }
        border.condense(self.pattern.columns_mut(), &residual.force, &tie_of, &ties);
        self.factor.factorize(self.pattern.matrix()).map_err(|_| Cause::Singular)?;
        let factor = &mut self.factor;
        let (mut local, moves) = border.solve(|columns, count| factor.solve(columns, count));
        for (dof, tie) in tie_of.iter().enumerate() {
            if let Some(tie) = tie.map(|index| &ties[index as usize]) {
                let carried: f64 = tie.weights.iter().zip(&moves).map(|(w, b)| w * b).sum();
                local[dof] = carried + tie.offset;
            }
        }
        let displacement = (0..nodes)
            .map(|node| {
                let moved = [local[2 * node], local[2 * node + 1]];
                self.frames[node].map_or(moved, |normal| out_of_frame(moved, normal))
            })
            .collect();
        Ok(Step { displacement, border: moves })
    }

    /// Largest displacement change since `old`, with a floor that a converged increment of no
    /// motion can meet, mm.
    fn movement(&self, old: &State, trial: &State) -> f64 {
        let moved = old.displacement.iter().zip(&trial.displacement);
        moved
            .map(|(a, b)| (b[0] - a[0]).abs().max((b[1] - a[1]).abs()))
            .fold(1e-7 * self.length, f64::max)
    }

    /// Largest distance of a closed node from the tool, mm.
    pub(crate) fn closed_gap(&self, trial: &State) -> f64 {
        let (Some(contact), Some(tool)) = (&self.tool, &trial.tool) else { return 0.0 };
        let closed = contact.nodes.iter().zip(&tool.status);
        closed
            .filter(|(_, status)| **status == ContactStatus::Closed)
            .map(|(&node, _)| {
                contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]).gap.abs()
            })
            .fold(0.0, f64::max)
    }

    fn store_contact_forces(&self, trial: &mut State) {
        let (Some(contact), Some(tool)) = (&self.tool, &mut trial.tool) else { return };
        for (k, &node) in contact.nodes.iter().enumerate() {
            tool.force[k] = match tool.status[k] {
                ContactStatus::Open => [0.0; 2],
                ContactStatus::Closed => {
                    let normal = contact
                        .stance(tool, self.mesh.nodes[node], trial.displacement[node])
                        .normal;
                    let out =
                        [0, 1].map(|i| self.balance.internal[node][i] - trial.external[node][i]);
                    out_of_frame([into_frame(out, normal)[0], 0.0], normal)
                }
            };
        }
    }
}

/// A correction of all unknowns.
#[derive(Clone, Debug)]
struct Step {
    displacement: Vec<[f64; 2]>,
    border: [f64; MOST],
}

impl Step {
    fn largest(&self) -> f64 {
        // f64::max drops a NaN; the sum does not.
        let sum: f64 = self.displacement.iter().map(|[x, y]| x + y).sum();
        if sum.is_finite() {
            self.displacement.iter().map(|[x, y]| x.abs().max(y.abs())).fold(0.0, f64::max)
        } else {
            f64::NAN
        }
    }

    fn scaled(&self, share: f64) -> Self {
        Self {
            displacement: self.displacement.iter().map(|[x, y]| [share * x, share * y]).collect(),
            border: self.border.map(|b| share * b),
        }
    }

    fn apply(&self, state: &mut State) {
        for (u, du) in state.displacement.iter_mut().zip(&self.displacement) {
            u[0] += du[0];
            u[1] += du[1];
        }
        if let Some(tool) = &mut state.tool {
            tool.centre[0] += self.border[0];
            tool.centre[1] += self.border[1];
            tool.radius += self.border[2];
        }
        state.axial_strain += self.border[3];
    }
}
