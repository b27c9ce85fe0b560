//! Which nodes touch their tool, and which of them stick: frames, status changes, forces.
//!
//! A touching node that would pull opens, an open node inside the tool closes. A sticking node that
//! needs more than friction allows slips, a slipping one that moves the way friction pushes sticks.
//! All change at once; nodes that keep switching are then taken one at a time.

use crate::solver::contact::{ContactStatus, Drag, ToolContact};
use crate::solver::frame::{into_frame, out_of_frame};
use crate::solver::state::State;
use crate::solver::surface::Surface;
use crate::solver::switching::{GAP_TOLERANCE, Switching, Wish};
use crate::solver::system::System;

/// Slip over the radius that counts as none.
const SLIP_TOLERANCE: f64 = 1e-10;

/// Share of the friction limit by which a sticking node may exceed it: rounding of the residual.
const LIMIT_TOLERANCE: f64 = 1e-6;

/// Changes of one node's status after which only the worst offender may change at a time.
const PATIENCE: usize = 4;

impl System {
    /// Turns the frames of the tool's nodes to where the trial puts them.
    pub(crate) fn set_frames(&mut self, trial: &State) {
        for (contact, tool) in self.tools.iter().zip(&trial.tools) {
            for (place, &node) in contact.nodes.iter().enumerate() {
                let stance =
                    contact.stance(tool, place, self.mesh.nodes[node], trial.displacement[node]);
                self.frames[node] = Some(stance.normal);
            }
        }
    }

    /// Opens and closes contact nodes, and lets them stick and slip; returns those that changed.
    ///
    /// Forces mean nothing before the first correction, so nodes open, and begin or end to slip,
    /// only once `may_open`.
    pub(crate) fn update_status(
        &self,
        trial: &mut State,
        switching: &mut [Switching],
        may_open: bool,
    ) -> Vec<usize> {
        let mut changed = Vec::new();
        for (index, Switching { counts, wanted }) in switching.iter_mut().enumerate() {
            let contact = &self.tools[index];
            self.find_wanted_changes(trial, index, may_open, wanted);
            if wanted.iter().any(|wish| counts[wish.place] >= PATIENCE) {
                // Going round in circles: let one node change at a time, the worst offender.
                wanted.sort_by(|a, b| b.offence.total_cmp(&a.offence).then(a.place.cmp(&b.place)));
                wanted.truncate(1);
            }
            let status = &mut trial.tools[index].status;
            for wish in wanted {
                counts[wish.place] += 1;
                status[wish.place] = wish.status;
                changed.push(contact.nodes[wish.place]);
            }
        }
        changed
    }

    /// Makes `wanted` the contact nodes of one tool whose status contradicts gap, force or slip.
    fn find_wanted_changes(
        &self,
        trial: &State,
        index: usize,
        may_open: bool,
        wanted: &mut Vec<Wish>,
    ) {
        let (contact, tool) = (&self.tools[index], &trial.tools[index]);
        wanted.clear();
        for (place, &node) in contact.nodes.iter().enumerate() {
            let stance =
                contact.stance(tool, place, self.mesh.nodes[node], trial.displacement[node]);
            let status = tool.status[place];
            let wish = |status, offence| Some(Wish { place, status, offence });
            let slip = || tool.slip(place, trial.displacement[node], &stance) / self.scale.length;
            let wish = if !status.touches() {
                if stance.gap < -GAP_TOLERANCE * self.scale.length {
                    wish(arriving(contact, slip()), -stance.gap / self.scale.length)
                } else if contact.bilateral {
                    wish(ContactStatus::SMOOTH, stance.gap / self.scale.length)
                } else {
                    None
                }
            } else if may_open {
                let [push, along] = into_frame(self.contact_force(trial, node), stance.normal);
                let scale = contact.areas[place] * self.metal.material.elastic_limit();
                let limit = contact.friction.limit(push, contact.areas[place]);
                match status {
                    _ if push < 0.0 && !contact.bilateral => {
                        wish(ContactStatus::Open, -push / scale)
                    }
                    ContactStatus::Stick if along.abs() > limit * (1.0 + LIMIT_TOLERANCE) => {
                        wish(ContactStatus::Slip(Drag::of(along)), (along.abs() - limit) / scale)
                    }
                    // Sliding the way that friction pushes is no sliding.
                    ContactStatus::Slip(drag) if slip() * drag.sign() > SLIP_TOLERANCE => {
                        wish(ContactStatus::Stick, slip().abs())
                    }
                    _ => None,
                }
            } else {
                None
            };
            wanted.extend(wish);
        }
    }

    /// Lets tools that carry the axial force of another one have what that is now.
    pub(crate) fn hand_on_forces(&self, trial: &mut State) {
        for (index, contact) in self.tools.iter().enumerate() {
            let Some(from) = contact.carries else { continue };
            let (puller, state) = (&self.tools[from], &trial.tools[from]);
            let touching = puller.nodes.iter().zip(&state.status);
            let along = match contact.surface {
                Surface::Flat { normal } => normal,
                _ => [0.0, 1.0],
            };
            let pull: f64 = touching
                .filter(|(_, status)| status.touches())
                .map(|(&node, _)| {
                    let [x, y] = self.contact_force(trial, node);
                    x * along[0] + y * along[1]
                })
                .sum();
            // Along its normal it pushes back what the other one pulls.
            let push = (-pull).max(0.0);
            trial.tools[index].bearing = along.map(|part| push * part);
        }
    }

    /// Force of a tool on `node` needed for balance: internal less other external force, N.
    pub(crate) fn contact_force(&self, trial: &State, node: usize) -> [f64; 2] {
        [0, 1].map(|i| self.equations.balance.internal[node][i] - trial.external[node][i])
    }

    /// Largest distance of a touching node from its tool, mm.
    pub(crate) fn closed_gap(&self, trial: &State) -> f64 {
        let mut largest: f64 = 0.0;
        for (contact, tool) in self.tools.iter().zip(&trial.tools) {
            for (place, (&node, status)) in contact.nodes.iter().zip(&tool.status).enumerate() {
                if status.touches() {
                    let position = self.mesh.nodes[node];
                    let stance = contact.stance(tool, place, position, trial.displacement[node]);
                    largest = largest.max(stance.gap.abs());
                }
            }
        }
        largest
    }

    /// Keeps the contact forces of an equilibrium, and counts slip from there.
    pub(crate) fn store_contact_forces(&self, trial: &mut State) {
        for (index, contact) in self.tools.iter().enumerate() {
            for (place, &node) in contact.nodes.iter().enumerate() {
                let tool = &trial.tools[index];
                let force = if tool.status[place].touches() {
                    let position = self.mesh.nodes[node];
                    let normal =
                        contact.stance(tool, place, position, trial.displacement[node]).normal;
                    let [push, along] = into_frame(self.contact_force(trial, node), normal);
                    let along = if contact.friction.acts() { along } else { 0.0 };
                    out_of_frame([push, along], normal)
                } else {
                    [0.0; 2]
                };
                trial.tools[index].force[place] = force;
            }
            trial.tools[index].begin_slip(contact, &trial.displacement);
        }
    }
}

/// Status of a node that comes onto the tool having slipped by `slip`, over the size of the hole.
fn arriving(contact: &ToolContact, slip: f64) -> ContactStatus {
    if !contact.friction.acts() {
        ContactStatus::SMOOTH
    } else if slip.abs() <= SLIP_TOLERANCE {
        ContactStatus::Stick
    } else {
        ContactStatus::Slip(Drag::of(-slip))
    }
}
