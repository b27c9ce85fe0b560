//! Which edge nodes touch their tool: frames, status changes, forces.
//!
//! A closed node that would pull opens, an open node inside the tool closes, all at once;
//! nodes that keep changing their mind are then taken one at a time.
//!
//! Floor 3, `solver`.

use crate::solver::assembly::{into_frame, out_of_frame};
use crate::solver::contact::ContactStatus;
use crate::solver::state::State;
use crate::solver::system::System;

/// Gap of a closed node over the radius: rounding of positions, far below any surface finish.
pub(crate) const GAP_TOLERANCE: f64 = 1e-10;

/// Changes of one node's status after which only the worst offender may change at a time.
const PATIENCE: usize = 4;

impl System {
    /// Turns the frames of the tool's nodes to where the trial puts them.
    pub(crate) fn set_frames(&mut self, trial: &State) {
        for (contact, tool) in self.tools.iter().zip(&trial.tools) {
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
    pub(crate) fn update_status(
        &self,
        trial: &mut State,
        switches: &mut [Vec<usize>],
        may_open: bool,
    ) -> Vec<usize> {
        let mut changed = Vec::new();
        for (index, switches) in switches.iter_mut().enumerate() {
            let contact = &self.tools[index];
            let mut wanted = self.wanted_changes(trial, index, may_open);
            if wanted.iter().any(|&(k, _)| switches[k] >= PATIENCE) {
                // Going round in circles: let one node change at a time, the worst offender.
                wanted.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
                wanted.truncate(1);
            }
            let status = &mut trial.tools[index].status;
            for (k, _) in wanted {
                switches[k] += 1;
                status[k] = match status[k] {
                    ContactStatus::Open => ContactStatus::Closed,
                    ContactStatus::Closed => ContactStatus::Open,
                };
                changed.push(contact.nodes[k]);
            }
        }
        changed
    }

    /// Contact nodes of one tool whose status contradicts gap or force, each with how badly.
    fn wanted_changes(&self, trial: &State, index: usize, may_open: bool) -> Vec<(usize, f64)> {
        let (contact, tool) = (&self.tools[index], &trial.tools[index]);
        let mut wanted = Vec::new();
        for (k, &node) in contact.nodes.iter().enumerate() {
            let stance = contact.stance(tool, self.mesh.nodes[node], trial.displacement[node]);
            match tool.status[k] {
                ContactStatus::Closed if may_open => {
                    let [force, _] = into_frame(self.contact_force(trial, node), stance.normal);
                    if force < 0.0 {
                        let scale = contact.areas[k] * self.material.elastic_limit();
                        wanted.push((k, -force / scale));
                    }
                }
                ContactStatus::Open if stance.gap < -GAP_TOLERANCE * self.length => {
                    wanted.push((k, -stance.gap / self.length));
                }
                _ => {}
            }
        }
        wanted
    }

    /// What a tool must put on `node` for balance: internal less other external force, N.
    pub(crate) fn contact_force(&self, trial: &State, node: usize) -> [f64; 2] {
        [0, 1].map(|i| self.balance.internal[node][i] - trial.external[node][i])
    }

    /// Largest distance of a closed node from its tool, mm.
    pub(crate) fn closed_gap(&self, trial: &State) -> f64 {
        let mut largest: f64 = 0.0;
        for (contact, tool) in self.tools.iter().zip(&trial.tools) {
            for (&node, status) in contact.nodes.iter().zip(&tool.status) {
                if *status == ContactStatus::Closed {
                    let position = self.mesh.nodes[node];
                    let stance = contact.stance(tool, position, trial.displacement[node]);
                    largest = largest.max(stance.gap.abs());
                }
            }
        }
        largest
    }

    pub(crate) fn store_contact_forces(&self, trial: &mut State) {
        for (index, contact) in self.tools.iter().enumerate() {
            for (k, &node) in contact.nodes.iter().enumerate() {
                let tool = &trial.tools[index];
                let force = match tool.status[k] {
                    ContactStatus::Open => [0.0; 2],
                    ContactStatus::Closed => {
                        let position = self.mesh.nodes[node];
                        let normal =
                            contact.stance(tool, position, trial.displacement[node]).normal;
                        let [push, _] = into_frame(self.contact_force(trial, node), normal);
                        out_of_frame([push, 0.0], normal)
                    }
                };
                trial.tools[index].force[k] = force;
            }
        }
    }
}
