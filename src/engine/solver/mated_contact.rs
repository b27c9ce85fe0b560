//! Mated edges in the iteration: status, forces passed on, stiffness, work.

use crate::material::strains::Strains;
use crate::mesh::topology::NodeId;
use crate::solver::contact::ContactStatus;
use crate::solver::frame::{into_frame, out_of_frame};
use crate::solver::mated::{MatedEdges, MatedState, PAIR_TOLERANCE};
use crate::solver::prescribed::mean_work;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::status::{BARE, FILM, Sensed};
use crate::solver::switching::Wish;
use crate::solver::system::System;

impl System {
    /// Makes `wanted` the pairs of one mating whose status contradicts gap, force or slip.
    pub(super) fn find_wanted_pairs(
        &self,
        trial: &State,
        index: usize,
        may_open: bool,
        wanted: &mut Vec<Wish>,
    ) {
        let (edges, mated) = (&self.mated[index], &trial.mated[index]);
        let [cling, slack] = if edges.sliding.is_some() { FILM } else { BARE };
        wanted.clear();
        for (place, &[inner, _]) in edges.mating.pairs.iter().enumerate() {
            let [push, along] = self.needed(trial, inner, mated.normals[place]);
            let sensed = Sensed {
                status: mated.status[place],
                gap: edges.gap(mated, place, &self.mesh, &trial.displacement),
                slip: edges.slip(mated, place, &trial.displacement),
                push,
                along,
                area: edges.areas[place],
                friction: &edges.friction,
                bilateral: false,
                cling,
                slack,
            };
            let wish = self.wanted(&sensed, may_open, PAIR_TOLERANCE);
            wanted.extend(wish.map(|(status, offence)| Wish { place, status, offence }));
        }
    }

    /// Force that the inner node of a pair needs for balance, along its normal and along the edge, N. On a
    /// mirror line the mirror image gives what it needs along the edge.
    fn needed(&self, trial: &State, inner: NodeId, normal: [f64; 2]) -> [f64; 2] {
        let [push, along] = into_frame(self.contact_force(trial, inner), normal);
        [push, if self.is_held(inner, 1) { 0.0 } else { along }]
    }

    /// Force on the inner node of a pair in `trial` as its status has it, in its frame, N.
    fn pair_force(
        &self,
        trial: &State,
        (edges, mated): (&MatedEdges, &MatedState),
        place: usize,
    ) -> [f64; 2] {
        let inner = edges.mating.pairs[place][0];
        let needed = || self.needed(trial, inner, mated.normals[place]);
        match mated.status[place] {
            ContactStatus::Open => {
                let spring = edges.spring(place);
                let gap = || edges.gap(mated, place, &self.mesh, &trial.displacement);
                [if spring > 0.0 { -spring * gap() } else { 0.0 }, 0.0]
            }
            ContactStatus::Stick => needed(),
            ContactStatus::Slip(drag) => {
                let push = needed()[0];
                [push, drag.sign() * edges.friction.limit(push, edges.areas[place])]
            }
        }
    }

    /// Forces that pairs put on each other in `trial`, by node; nothing without any mating.
    pub(super) fn pass_on(&self, trial: &State, passed: &mut Vec<[f64; 2]>) {
        passed.clear();
        if self.mated.is_empty() {
            return;
        }
        passed.resize(self.mesh.nodes.len(), [0.0; 2]);
        for (edges, mated) in self.mated.iter().zip(&trial.mated) {
            for (place, &[inner, _]) in edges.mating.pairs.iter().enumerate() {
                let force = self.pair_force(trial, (edges, mated), place);
                let force = out_of_frame(force, mated.normals[place]);
                for axis in 0..2 {
                    passed[inner][axis] += force[axis];
                    for (outer, weight) in edges.outer(place) {
                        passed[outer][axis] -= weight * force[axis];
                    }
                }
            }
        }
    }

    /// Adds to the right-hand side the forces that close the gaps of pairs that touch, and undo the
    /// slip of those that stick.
    pub(super) fn close_gaps(&self, trial: &State, residual: &mut Residual) {
        for (edges, mated) in self.mated.iter().zip(&trial.mated) {
            for (place, &[inner, _]) in edges.mating.pairs.iter().enumerate() {
                let status = mated.status[place];
                if !status.touches() {
                    continue;
                }
                let stiffness = edges.stiffness[place];
                let gap = edges.gap(mated, place, &self.mesh, &trial.displacement);
                let slip = match status {
                    ContactStatus::Stick => edges.slip(mated, place, &trial.displacement),
                    _ => 0.0,
                };
                let pull = [-stiffness * gap, -stiffness * slip];
                let turned = out_of_frame(pull, mated.normals[place]);
                for axis in 0..2 {
                    let own = (inner, pull[axis]);
                    let others = edges.outer(place).map(|(node, w)| (node, -w * turned[axis]));
                    for (node, force) in std::iter::once(own).chain(others) {
                        residual.force[2 * node + axis] += force;
                        if !self.is_held(node, axis) {
                            residual.free[2 * node + axis] += force;
                        }
                    }
                }
            }
        }
    }

    /// Whether the factor that stands was made with the status of all pairs in `trial`.
    pub(super) fn pairs_fit(&self, trial: &State) -> bool {
        let kind = |status: &ContactStatus| (status.touches(), *status == ContactStatus::Stick);
        let now = trial.mated.iter().flat_map(|mated| &mated.status).map(kind);
        now.eq(self.equations.paired.iter().map(kind))
    }

    /// Adds the stiffness of all pairs to the matrix of the last assembly.
    pub(super) fn stiffen_pairs(&mut self, trial: &State) {
        let Self { mated: all, equations, .. } = self;
        equations.paired.clear();
        for (edges, mated) in all.iter().zip(&trial.mated) {
            equations.paired.extend_from_slice(&mated.status);
            for (place, &[inner, _]) in edges.mating.pairs.iter().enumerate() {
                let full = edges.stiffness[place];
                let status = mated.status[place];
                let weak = edges.weak(place);
                let across = if status.touches() { full } else { weak[0] };
                let along = if status == ContactStatus::Stick { full } else { weak[1] };
                let [x, y] = mated.normals[place];
                let directions = [[x, y], [-y, x]];
                for (axis, stiffness) in [across, along].into_iter().enumerate() {
                    let direction = directions[axis];
                    let own = 2 * inner + axis;
                    equations.pattern.add(own, own, stiffness);
                    for (k, (outer, weight)) in edges.outer(place).enumerate() {
                        for (other, part) in direction.into_iter().enumerate() {
                            let coupling = -stiffness * weight * part;
                            equations.pattern.add(own, 2 * outer + other, coupling);
                        }
                        for (a, b) in [(0, 0), (1, 0), (1, 1)] {
                            let both = stiffness * weight * weight * direction[a] * direction[b];
                            equations.pattern.add(2 * outer + a, 2 * outer + b, both);
                        }
                        for (next, share) in edges.outer(place).skip(k + 1) {
                            for (a, b) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
                                let both = stiffness * weight * share * direction[a] * direction[b];
                                equations.pattern.add(2 * outer + a, 2 * next + b, both);
                            }
                        }
                    }
                }
                equations.tangent.touch(2 * inner);
                edges.outer(place).for_each(|(outer, _)| equations.tangent.touch(2 * outer));
            }
        }
    }

    /// Largest gap of a pair that touches, mm.
    pub(crate) fn pair_gap(&self, trial: &State) -> f64 {
        let mut largest: f64 = 0.0;
        for (edges, mated) in self.mated.iter().zip(&trial.mated) {
            for (place, status) in mated.status.iter().enumerate() {
                if status.touches() {
                    let gap = edges.gap(mated, place, &self.mesh, &trial.displacement);
                    largest = largest.max(gap.abs());
                }
            }
        }
        largest
    }

    /// Keeps the forces of an equilibrium, counts slip from there, and turns the normals as the edge
    /// stands now.
    pub(super) fn store_pair_forces(&self, trial: &mut State) {
        let finite = self.method.strains == Strains::Finite;
        for (index, edges) in self.mated.iter().enumerate() {
            let mated = &trial.mated[index];
            let force: Vec<[f64; 2]> = (0..mated.status.len())
                .map(|place| {
                    let force = self.pair_force(trial, (edges, mated), place);
                    out_of_frame(force, mated.normals[place])
                })
                .collect();
            let State { mated, displacement, .. } = trial;
            let mated = &mut mated[index];
            mated.force = force;
            mated.begin_slip(edges, displacement);
            // Edges that slide are seen to before the next increment.
            if finite && edges.sliding.is_none() {
                let held = |node: usize, axis: usize| self.supports.held[node][axis];
                edges.turn_normals(mated, &self.mesh, displacement, held);
            }
        }
    }

    /// Work that the pairs do on the metal from `old` to `new`, N·mm of the modelled part: what
    /// interference brings in and what friction takes.
    pub(super) fn pair_work(&self, old: &State, new: &State) -> f64 {
        let mut work = 0.0;
        for (index, edges) in self.mated.iter().enumerate() {
            let (before, after) = (&old.mated[index], &new.mated[index]);
            for place in 0..edges.mating.pairs.len() {
                let by = edges.difference(place, |node| {
                    [0, 1].map(|axis| new.displacement[node][axis] - old.displacement[node][axis])
                });
                work += mean_work(before.force[place], after.force[place], by);
            }
        }
        work
    }
}
