//! One Newton correction: ties, bordered system, factorization, and the step of all unknowns.

use std::time::Instant;

use crate::material::idealisation::Idealisation;
use crate::solver::bordered::{BorderedSystem, OF_TOOL, Tie};
use crate::solver::contact::ContactStatus;
use crate::solver::elements::Asked;
use crate::solver::equations::Equations;
use crate::solver::frame::out_of_frame;
use crate::solver::increment_error::Cause;
use crate::solver::residual::Residual;
use crate::solver::state::State;
use crate::solver::step::{Step, following};
use crate::solver::system::System;
use crate::solver::tangent::Precision;

impl System {
    /// Whether the factor that stands was made with the nodes in contact that are so in `trial`.
    pub(crate) fn factor_fits(&self, trial: &State) -> bool {
        let same = |(index, contact): (usize, &crate::solver::contact::ToolContact)| {
            let status = &trial.tools[index].status;
            let bordered = &self.equations.tangent.bordered;
            contact.nodes.iter().zip(status).all(|(&node, &status)| {
                bordered.follows_tool(2 * node) == status.touches()
                    && bordered.follows_tool(2 * node + 1) == (status == ContactStatus::Stick)
            })
        };
        let moves = |index: usize| self.equations.tangent.bordered.active()[OF_TOOL * index + 1];
        self.equations.tangent.stands()
            && (0..self.tools.len()).all(|index| moves(index) == self.moves(trial, index)[1])
            && self.tools.iter().enumerate().all(same)
            && self.pairs_fit(trial)
    }

    /// Factorizes the tangent of the last assembly, which gave what is said, with the ties of
    /// `trial`.
    pub(crate) fn renew_tangent(
        &mut self,
        trial: &State,
        residual: &Residual,
        (assembled, precision): (Asked, Precision),
    ) -> Result<(), Cause> {
        let clock = Instant::now();
        // A sheet that is held by little else than its layer, or a sleeve in its bore, asks for all digits.
        let asks = !self.joints.is_empty() || self.slides();
        let precision = if asks { Precision::Double } else { precision };
        let mut active = std::mem::take(&mut self.scratch.active);
        active.clear();
        for (index, contact) in self.tools.iter().enumerate() {
            let [x, y] = self.moves(trial, index);
            active.extend([x, y, contact.compliance > 0.0]);
        }
        // What is held is tied to a first tool with no weight, so there is always room for one.
        active.resize(active.len().max(OF_TOOL), false);
        let axial = active.len();
        active.push(self.metal.idealisation == Idealisation::GeneralisedPlaneStrain);
        let mut bordered = std::mem::take(&mut self.equations.tangent.bordered);
        bordered.begin(2 * self.mesh.nodes.len(), &active);
        self.scratch.active = active;
        bordered.hold(|dof| self.is_held(dof / 2, dof % 2));
        for (index, tool) in trial.tools.iter().enumerate() {
            for (k, &status) in tool.status.iter().enumerate() {
                if !status.touches() {
                    continue;
                }
                let node = self.tools[index].nodes[k];
                let turns = assembled == Asked::Tangent;
                let [normal, along] = self.ties(trial, (index, k), residual, turns, &mut bordered);
                bordered.tie(2 * node, normal);
                if status == ContactStatus::Stick {
                    bordered.tie(2 * node + 1, along);
                }
            }
            let compliance = self.tools[index].compliance;
            if compliance > 0.0 {
                let radius = OF_TOOL * index + 2;
                bordered.add_stiffness(radius, radius, compliance.recip());
            }
        }
        self.stiffen_links(&mut bordered);
        if bordered.active()[axial] {
            bordered.add_stiffness(axial, axial, self.equations.balance.axial_stiffness);
            for (node, coupling) in self.equations.balance.axial_coupling.iter().enumerate() {
                bordered.add_coupling(2 * node, axial, coupling[0]);
                bordered.add_coupling(2 * node + 1, axial, coupling[1]);
            }
        }
        self.stiffen_pairs(trial);
        bordered.condense(self.equations.pattern.columns_mut());
        self.equations.tangent.bordered = bordered;
        self.mark_stale();
        let outcome = self.equations.tangent.renew(self.equations.pattern.matrix(), precision);
        if outcome.is_ok() {
            self.equations.quads.renewed.fill(false);
            self.equations.triangles.renewed.fill(false);
        }
        self.times.factorization += clock.elapsed().as_secs_f64();
        outcome.map_err(|_| Cause::Singular)
    }

    /// Tells the factor where elements have a new stiffness.
    fn mark_stale(&mut self) {
        if !self.joints.is_empty() {
            // Contact changes the layer's part of the matrix too.
            self.equations.tangent.touch_all();
        }
        let Self { mesh, equations, .. } = self;
        let Equations { quads, triangles, tangent, .. } = equations;
        let quads = mesh.quads.iter().zip(&quads.renewed).filter(|(_, renewed)| **renewed);
        let triangles = mesh.triangles.iter().zip(&triangles.renewed).filter(|(_, new)| **new);
        let nodes =
            quads.flat_map(|(nodes, _)| nodes).chain(triangles.flat_map(|(nodes, _)| nodes));
        for &node in nodes {
            tangent.touch(2 * node);
        }
    }

    /// Solves for a correction with the factor that stands.
    pub(crate) fn correct(&mut self, trial: &State, residual: &Residual, step: &mut Step) {
        let clock = Instant::now();
        let pushes: Vec<[f64; 2]> =
            (0..self.tools.len()).map(|index| self.push_on(trial, index)).collect();
        let bodies: Vec<usize> = (0..self.tools.len()).map(|index| self.body(index)).collect();
        let Self { equations, tools, mesh, frames, .. } = self;
        let Equations { tangent, pattern, balance, .. } = equations;
        let right = &mut step.right;
        right.clear();
        for (index, (contact, tool)) in tools.iter().zip(&trial.tools).enumerate() {
            let dragged = residual.dragged[index];
            right.extend([0, 1].map(|axis| pushes[index][axis] - dragged[axis]));
            right.push(if contact.compliance > 0.0 {
                (tool.unloaded_radius - tool.radius) / contact.compliance
            } else {
                0.0
            });
        }
        right.resize(right.len().max(OF_TOOL), 0.0);
        right.push(-balance.axial_force);
        for (contact, tool) in tools.iter().zip(&trial.tools) {
            for (place, &node) in contact.nodes.iter().enumerate() {
                let displacement = trial.displacement[node];
                let stance = contact.stance(tool, place, mesh.nodes[node], displacement);
                step.ties[node] = following(&stance, tool.slip(place, displacement, &stance));
            }
        }
        // The forces of the tool are large: however old the factor, they must act along the normals
        // of now.
        tangent.bordered.update_ties(|dof| step.ties[dof / 2][dof % 2]);
        step.column.clear();
        step.column.extend_from_slice(&residual.force);
        let moves = tangent.correct(pattern.matrix(), &mut step.column, right);
        step.parts.clear();
        for (moved, normal) in step.column.as_chunks::<2>().0.iter().zip(&*frames) {
            step.parts.extend(normal.map_or(*moved, |normal| out_of_frame(*moved, normal)));
        }
        step.displacements = step.parts.len();
        step.parts.extend_from_slice(moves);
        for (index, &body) in bodies.iter().enumerate().filter(|(index, body)| index != *body) {
            let shift = step.displacements + 1;
            step.parts[shift + OF_TOOL * index] = step.parts[shift + OF_TOOL * body];
        }
        self.times.solution += clock.elapsed().as_secs_f64();
    }

    /// The ties of a touching node to its tool, along the normal and along the tangent, and in
    /// `border` and matrix the stiffness that comes from the curvature of the tool, when it `turns`:
    /// the force turns as the node slides, −λ over the distance from the centre of curvature on the tangential
    /// motion relative to the tool.
    fn ties(
        &mut self,
        trial: &State,
        (index, place): (usize, usize),
        residual: &Residual,
        turns: bool,
        bordered: &mut BorderedSystem,
    ) -> [Tie; 2] {
        let contact = &self.tools[index];
        let node = contact.nodes[place];
        let free = self.moves(trial, index);
        let tool = &trial.tools[index];
        let displacement = trial.displacement[node];
        let stance = contact.stance(tool, place, self.mesh.nodes[node], displacement);
        let first = OF_TOOL * self.body(index);
        let slides = tool.status[place] != ContactStatus::Stick;
        let ties = following(&stance, tool.slip(place, displacement, &stance))
            .map(|(weights, offset)| Tie { first, weights, offset });
        if turns && slides && !self.is_held(node, 1) {
            let turn = -residual.force[2 * node] / stance.arm;
            let (offsets, _, values) = self.equations.pattern.columns_mut();
            values[offsets[2 * node + 1]] -= turn;
            let tangent = stance.tangent();
            for k in (0..2).filter(|&k| free[k]) {
                bordered.add_coupling(2 * node + 1, first + k, turn * tangent[k]);
                for m in (0..2).filter(|&m| free[m]) {
                    let both = -turn * tangent[k] * tangent[m];
                    bordered.add_stiffness(first + k, first + m, both);
                }
            }
        }
        ties
    }
}
