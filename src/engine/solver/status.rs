//! Which nodes touch their tool, and which of them stick: frames, status changes, forces.
//!
//! A touching node that would pull opens, an open node inside the tool closes. A sticking node that
//! needs more than friction allows slips, a slipping one that moves the way friction pushes sticks.
//! All change at once; nodes that keep switching are then taken one at a time.

use crate::solver::contact::{ContactStatus, Drag};
use crate::solver::frame::{into_frame, out_of_frame};
use crate::solver::friction::Friction;
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

/// The same for edges that slide, where many begin to slip together.
const SLIDING_PATIENCE: usize = 12;

/// Changes of status within an increment up to which the end of a sleeve may lift off its stop. One that came back stays: a
/// sleeve that sticks to nothing as soon as its end lifts would go on for ever (measured, with eight).
const LETS_GO: usize = 2;

/// Cling and slack of faces without a film, see [`Sensed`].
pub(super) const BARE: [f64; 2] = [0.0, SLIP_TOLERANCE];

/// The same with the film on the faces of a sleeve: without it, places that carry nothing would part and meet again by
/// rounding. The slip is a few nanometres, far below what friction lets the metal give.
pub(super) const FILM: [f64; 2] = [1e-3, 1e-6];

/// Pull over the force at which the metal yields that takes a cap on which a puller stands off, and push that puts it on
/// again: rounding.
const NO_PULL: f64 = 1e-6;

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
        for (edges, mated) in self.mated.iter().zip(&trial.mated) {
            for (pair, normal) in edges.mating.pairs.iter().zip(&mated.normals) {
                self.frames[pair[0]] = Some(*normal);
            }
        }
    }

    /// Cling and slack of a tool at one of its nodes, see [`Sensed`].
    fn film(&self, index: usize, place: usize) -> [f64; 2] {
        match self.tools[index].surface {
            Surface::Mandrel { .. } if self.slides() => FILM,
            _ if place >= self.tools[index].face() => FILM,
            _ if self.hangs(index) => [NO_PULL, SLIP_TOLERANCE],
            _ => BARE,
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
        let (of_tools, of_mated) = switching.split_at_mut(self.tools.len());
        for (index, Switching { counts, wanted }) in of_tools.iter_mut().enumerate() {
            self.find_wanted_changes(trial, index, may_open, wanted);
            let face = self.tools[index].face();
            wanted.retain(|wish| {
                wish.place < face || wish.status.touches() || counts[wish.place] < LETS_GO
            });
            let nodes = &self.tools[index].nodes;
            let status = &mut trial.tools[index].status;
            change((counts, PATIENCE), wanted, status, |place| changed.push(nodes[place]));
        }
        for (index, Switching { counts, wanted }) in of_mated.iter_mut().enumerate() {
            self.find_wanted_pairs(trial, index, may_open, wanted);
            let pairs = &self.mated[index].mating.pairs;
            let status = &mut trial.mated[index].status;
            let slides = self.mated[index].sliding.is_some();
            let patience = if slides { SLIDING_PATIENCE } else { PATIENCE };
            change((counts, patience), wanted, status, |place| changed.push(pairs[place][0]));
        }
        // Judged by what sticks alone, whatever the forces are.
        if let Some(stop) = self.floats_off(trial) {
            let (contact, tool) = (&self.tools[stop], &mut trial.tools[stop]);
            let end = contact.face()..contact.nodes.len();
            tool.status[end.clone()].fill(ContactStatus::SMOOTH);
            of_tools[stop].counts[end.clone()].fill(LETS_GO);
            changed.extend_from_slice(&contact.nodes[end]);
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
            let [cling, slack] = self.film(index, place);
            let stance =
                contact.stance(tool, place, self.mesh.nodes[node], trial.displacement[node]);
            let [push, along] = into_frame(self.contact_force(trial, node), stance.normal);
            let sensed = Sensed {
                status: tool.status[place],
                gap: stance.gap,
                slip: tool.slip(place, trial.displacement[node], &stance),
                push,
                along,
                area: contact.areas[place],
                friction: &contact.friction,
                bilateral: contact.holds(place),
                cling,
                slack,
            };
            let wish = self.wanted(&sensed, may_open, GAP_TOLERANCE);
            wanted.extend(wish.map(|(status, offence)| Wish { place, status, offence }));
        }
    }

    /// The status that a contact should have instead of its own, if any, and how badly its own is wrong.
    /// An open one closes when it overlaps by more than `tolerance` times the size of the hole.
    pub(super) fn wanted(
        &self,
        sensed: &Sensed<'_>,
        may_open: bool,
        tolerance: f64,
    ) -> Option<(ContactStatus, f64)> {
        let gap = sensed.gap / self.scale.length;
        let slip = sensed.slip / self.scale.length;
        if !sensed.status.touches() {
            return if gap < -tolerance {
                Some((arriving(sensed.friction, slip), -gap))
            } else if sensed.bilateral {
                Some((ContactStatus::SMOOTH, gap))
            } else {
                None
            };
        }
        if !may_open {
            return None;
        }
        let (push, along) = (sensed.push, sensed.along.abs());
        let scale = sensed.area * self.metal.material.elastic_limit();
        let limit = sensed.friction.limit(push, sensed.area);
        let film = sensed.cling * scale;
        match sensed.status {
            _ if push < -film && !sensed.bilateral => Some((ContactStatus::Open, -push / scale)),
            ContactStatus::Stick if along > limit * (1.0 + LIMIT_TOLERANCE) + film => {
                Some((ContactStatus::Slip(Drag::of(sensed.along)), (along - limit) / scale))
            }
            // Sliding the way that friction pushes is no sliding.
            ContactStatus::Slip(drag) if slip * drag.sign() > sensed.slack => {
                Some((ContactStatus::Stick, slip.abs()))
            }
            _ => None,
        }
    }

    /// Lets tools that carry the axial force of another one have what that is now, less what their own stop bears.
    pub(crate) fn hand_on_forces(&self, trial: &mut State) {
        for (index, contact) in self.tools.iter().enumerate() {
            let Some(from) = contact.carries else { continue };
            let (puller, state) = (&self.tools[from], &trial.tools[from]);
            let touching = puller.nodes.iter().zip(&state.status);
            let along = match contact.surface {
                Surface::Flat { normal } => normal,
                _ => [0.0, 1.0],
            };
            let needed = |&node: &usize| {
                let [x, y] = self.contact_force(trial, node);
                x * along[0] + y * along[1]
            };
            let touching = touching.filter(|(_, status)| status.touches());
            let pull: f64 = touching.map(|(node, _)| needed(node)).sum();
            let stopped: f64 = contact.nodes[contact.face()..].iter().map(needed).sum();
            // Along its normal it pushes back what the other one pulls.
            let push = -pull - stopped;
            let area: f64 = contact.areas[..contact.face()].iter().sum();
            let rounding = if self.hangs(index) {
                NO_PULL * area * self.metal.material.elastic_limit()
            } else {
                0.0
            };
            let push = if push > rounding { push } else { 0.0 };
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
        self.store_pair_forces(trial);
    }
}

/// Changes the status of one tool or mating as `wanted`: all at once, unless one has switched so often
/// that it goes round in circles; then only the worst offender changes.
fn change(
    (counts, patience): (&mut [usize], usize),
    wanted: &mut Vec<Wish>,
    status: &mut [ContactStatus],
    mut changed: impl FnMut(usize),
) {
    if wanted.iter().any(|wish| counts[wish.place] >= patience) {
        wanted.sort_by(|a, b| b.offence.total_cmp(&a.offence).then(a.place.cmp(&b.place)));
        wanted.truncate(1);
    }
    for wish in wanted {
        counts[wish.place] += 1;
        status[wish.place] = wish.status;
        changed(wish.place);
    }
}

/// A contact as its status is judged: gap and slip in mm, forces on the metal in N.
pub(super) struct Sensed<'a> {
    pub(super) status: ContactStatus,
    pub(super) gap: f64,
    pub(super) slip: f64,
    /// Force along the normal, and along the tangent.
    pub(super) push: f64,
    pub(super) along: f64,
    /// Area that it stands for, mm².
    pub(super) area: f64,
    pub(super) friction: &'a Friction,
    pub(super) bilateral: bool,
    /// Pull up to which it does not open, and friction beyond the limit up to which it does not slip, over the force at which the metal yields.
    pub(super) cling: f64,
    /// Slip back up to which it does not begin to stick, over the size of the hole.
    pub(super) slack: f64,
}

/// Status of a node that comes onto the tool having slipped by `slip`, over the size of the hole.
fn arriving(friction: &Friction, slip: f64) -> ContactStatus {
    if !friction.acts() {
        ContactStatus::SMOOTH
    } else if slip.abs() <= SLIP_TOLERANCE {
        ContactStatus::Stick
    } else {
        ContactStatus::Slip(Drag::of(-slip))
    }
}
